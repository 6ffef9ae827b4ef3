"""The edits of a day's pictures: each is on disk at once, can be taken back, and overwrites nobody's."""

from __future__ import annotations

import base64
import datetime as dt
import tomllib
from pathlib import Path
from typing import Any

import pytest

import journal
from journal.planning import day_pictures
from journal.planning.day_edits import EditResult
from tests.journals import write
from tests.pictures.drawn import jpeg

DAY = dt.date(2025, 3, 14)
NOW = dt.datetime(2025, 3, 14, 21, 0, tzinfo=dt.UTC)
PAGE = f"2025/{DAY}.toml"
NAME = "2025-03-14-bench.jpg"


class Window:
    """A window with the pictures of a day."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.look()

    def look(self) -> None:
        self.offer = day_pictures.offer(journal.open(self.folder, today=DAY, cache=False), DAY)

    def does(self, what: str, **sent: Any) -> EditResult:
        book = journal.open(self.folder, today=DAY, cache=False)
        raw = {"day": str(DAY), "base": self.offer.base} | sent
        return getattr(day_pictures, what)(book, raw, now=NOW)  # type: ignore[no-any-return]

    def add(self, data: bytes, name: str = "bench.jpg") -> EditResult:
        return self.does("add", name=name, data=base64.b64encode(data).decode())

    @property
    def page(self) -> dict[str, Any]:
        path = self.folder / PAGE
        return tomllib.loads(path.read_text(encoding="utf-8")) if path.exists() else {}


@pytest.fixture
def window(tmp_path: Path) -> Window:
    return Window(write(tmp_path, {DAY: {"memory": "Hooks."}}))


def test_a_picture_is_added_captioned_and_taken_off(window: Window) -> None:
    added = window.add(jpeg(1, 60, 40))
    assert (added.answer.saved, added.did) == (True, f"{NAME}: added")
    assert window.add(jpeg(1, 60, 40)).answer.said == f"{NAME} is there already."
    window.look()
    assert window.does("caption", name=NAME, text=" The bench. ").answer.saved
    assert window.page == {"memory": "Hooks.", "pictures": [NAME], "captions": {NAME: "The bench."}}
    window.look()
    (offered,) = window.offer.pictures
    assert (offered.name, offered.file, offered.caption, offered.problem) == (NAME, f"2025/{NAME}", "The bench.", "")
    before = (window.folder / PAGE).read_bytes()
    off = window.does("take_off", name=NAME)
    assert window.page == {"memory": "Hooks."} and (window.folder / "2025" / NAME).exists()
    assert window.does("undo", undo=off.undo).answer.saved
    assert (window.folder / PAGE).read_bytes() == before


def test_a_page_of_two_pictures_keeps_the_other_caption(window: Window) -> None:
    window.add(jpeg(1, 60, 40))
    window.add(jpeg(2, 60, 40), "press.jpg")
    for name, text in ((NAME, "The bench."), ("2025-03-14-press.jpg", "The press.")):
        window.look()
        window.does("caption", name=name, text=text)
    window.look()
    window.does("take_off", name=NAME)
    assert window.page["captions"] == {"2025-03-14-press.jpg": "The press."}
    window.look()
    window.does("caption", name="2025-03-14-press.jpg", text="")
    assert "2025-03-14-press.jpg" not in window.page.get("captions", {})


def test_taking_back_an_added_picture(window: Window) -> None:
    undo = window.add(jpeg(1, 60, 40)).undo
    assert window.does("undo", undo=undo).answer.saved and window.page == {"memory": "Hooks."}
    assert window.add(jpeg(1, 60, 40)).did == f"{NAME}: added"  # the file is there already, and is taken


def test_two_windows_and_an_editor(window: Window) -> None:
    other = Window(window.folder)
    window.add(jpeg(1, 60, 40))
    other.add(jpeg(2, 60, 40), "press.jpg")
    assert window.page["pictures"] == [NAME, "2025-03-14-press.jpg"]
    window.look()
    other.look()
    window.does("caption", name=NAME, text="The bench.")
    clash = other.does("caption", name=NAME, text="The old bench.").answer
    assert not clash.saved and [one.theirs for one in clash.conflict] == ["The bench."]
    assert window.page["captions"] == {NAME: "The bench."}
    picked = [{"field": one.field, "file": one.file, "theirs": one.theirs, "which": "mine"} for one in clash.conflict]
    assert other.does("caption", name=NAME, text="The old bench.", resolve=picked).answer.saved
    other.look()
    refused = window.does("take_off", name=NAME).answer  # its window does not show that caption
    assert not refused.saved and "was changed elsewhere; look at it" in refused.problems[0].message
    window.look()
    assert window.does("take_off", name=NAME).answer.saved and "captions" not in window.page
    assert not other.does("caption", name=NAME, text="Another.").answer.saved


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"data": "%"}, "what was sent is no picture"),
        ({"data": None}, "expected at most 60,000,000 bytes"),
        ({"data": base64.b64encode(b"<html>").decode()}, "got something else; save it as JPEG"),
        ({"data": base64.b64encode(jpeg(1, 60, 40)).decode(), "day": "14 March"}, "choose one from the calendar"),
    ],
)
def test_what_cannot_be_added_is_told(sent: dict[str, Any], sentence: str, window: Window) -> None:
    answer = window.does("add", **({"name": "a.jpg"} | sent)).answer
    assert not answer.saved and sentence in answer.problems[0].message
    assert [path.name for path in (window.folder / "2025").iterdir()] == [f"{DAY}.toml"]


def test_a_name_from_a_page_has_no_path(window: Window) -> None:
    window.add(jpeg(1, 60, 40), "..\\..\\/etc/the lathe.jpg")
    assert window.page["pictures"] == ["2025-03-14-the-lathe.jpg"]
    for what in ("caption", "take_off"):
        answer = window.does(what, name="../journal.toml", text="x").answer
        assert not answer.saved and "is not on the page any more" in answer.problems[0].message


def test_a_missing_picture_is_a_sentence_of_the_offer(window: Window) -> None:
    (window.folder / PAGE).write_text('pictures = ["bench.jpg"]\n', encoding="utf-8")
    window.look()
    assert window.offer.pictures[0].problem.startswith('bench.jpg cannot be shown: expected a file "bench.jpg" beside')
    assert "without where and when it was taken" in window.offer.kept
