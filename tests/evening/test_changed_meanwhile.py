"""Files that change during a request: between the opening of the journal and the write of each page.

A page keeps changes by others, or nothing is written and both values are shown. journal.toml has one version
throughout.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import journal
from journal.errors import FolderError
from journal.evening import save_evening
from journal.folder import page_versions, writing
from journal.pages import form_endpoints
from journal.saving.save_pages import SaveResult
from tests.evening.evenings import DAY, NEXT, NOW, entered, fields, offered, opened, text, written
from tests.file_reads import rested

Edit = Callable[[], Any]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return rested(written(tmp_path / "journal", {DAY: {"mood": 3, "tasks": [{"title": "Quote"}]}, NEXT: {"mood": 2}}))


@pytest.fixture(params=[False, True], ids=["file times change", "file times never change"])
def states(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also with a file system whose sizes and times never show a change: writing must not depend on them."""
    if request.param:
        monkeypatch.setattr(page_versions, "is_still", lambda *_: True)


def edit(folder: Path, day: object, old: str, new: str) -> None:
    """A change by another editor; by its times the page is a minute old."""
    path = folder / "2025" / f"{day}.toml"
    before = path.read_text(encoding="utf-8")
    assert old in before
    path.write_text(before.replace(old, new), encoding="utf-8")
    rested(folder)


def at_write(monkeypatch: pytest.MonkeyPatch, number: int, change: Edit) -> None:
    """Run a function right before the n-th page is written, after all were rehearsed."""
    real, writes = writing.save, list[str]()

    def saving(folder: Path, key: str, *given: Any, rehearse: bool = False, **more: Any) -> Any:
        if not rehearse:
            writes.append(key)
            if len(writes) == number:
                change()
        return real(folder, key, *given, rehearse=rehearse, **more)

    monkeypatch.setattr(writing, "save", saving)


def whole(folder: Path) -> dict[str, Any]:
    """An evening that writes both pages."""
    return entered(
        offered(folder),
        mood=4,
        habits={"walk": True},
        tasks=[{"ref": "Quote", "title": "Quote", "what": "carry"}],
        tomorrow={"planned": {"workshop": ["09:00-10:00"]}},
    )


def page(folder: Path, day: Any) -> dict[str, Any]:
    return tomllib.loads(text(folder, day))


@pytest.mark.parametrize("write", [None, 1, 2])
def test_changes_by_others_to_other_values_are_kept(
    folder: Path, monkeypatch: pytest.MonkeyPatch, states: None, write: int | None
) -> None:
    raw, book = whole(folder), opened(folder)

    def change() -> None:
        edit(folder, DAY, "mood = 3", "mood = 3\nenergy = 2")
        edit(folder, NEXT, "mood = 2", "mood = 2\nenergy = 5")

    if write is None:
        change()
    else:
        at_write(monkeypatch, write, change)
    answer = save_evening.save(book, raw, now=NOW)
    assert answer.saved
    assert (page(folder, DAY)["mood"], page(folder, DAY)["habits"]) == (4, {"walk": True})
    assert [task["title"] for task in page(folder, NEXT)["tasks"]] == ["Quote"]
    assert page(folder, NEXT)["energy"] == 5
    assert page(folder, DAY)["energy"] == 2
    assert answer.said.endswith("What was changed there meanwhile is kept.")


def test_a_clash_stops_all_pages(folder: Path) -> None:
    raw, book = whole(folder), opened(folder)
    edit(folder, DAY, "mood = 3", "mood = 1")
    before = text(folder, NEXT)
    answer = save_evening.save(book, raw, now=NOW)
    assert [(clash.field, clash.yours, clash.theirs) for clash in answer.conflict] == [("mood", 4, 1)]
    assert (page(folder, DAY)["mood"], text(folder, NEXT)) == (1, before)


def test_a_last_moment_clash_is_a_conflict(folder: Path, monkeypatch: pytest.MonkeyPatch, states: None) -> None:
    raw, book = whole(folder), opened(folder)
    at_write(monkeypatch, 2, lambda: edit(folder, DAY, "mood = 3", "mood = 1"))
    answer = save_evening.save(book, raw, now=NOW)
    assert [(clash.field, clash.yours, clash.theirs) for clash in answer.conflict] == [("mood", 4, 1)]
    assert page(folder, DAY)["mood"] == 1


def test_an_entered_value_that_others_removed_meanwhile_is_written(folder: Path, states: None) -> None:
    raw = entered(offered(folder), mood=4)
    edit(folder, DAY, "mood = 3", "mood = 4")
    book = opened(folder)  # which has the values to be saved already
    assert book.files.pages.look(str(DAY)).values["mood"] == 4
    edit(folder, DAY, "mood = 4", "mood = 3")
    assert save_evening.save(book, raw, now=NOW).saved
    assert page(folder, DAY)["mood"] == 4


def test_a_page_moved_or_created_elsewhere_meanwhile_stays_the_only_one(folder: Path, states: None) -> None:
    raw, book = whole(folder), opened(folder)
    raw["tasks"][0] |= {"what": "move", "to": "2025-03-20"}
    away = folder / "away"
    away.mkdir()
    (folder / "2025" / f"{DAY}.toml").rename(away / f"{DAY}.toml")
    (away / "2025-03-20.toml").write_text("mood = 5\n", encoding="utf-8")
    assert save_evening.save(book, raw, now=NOW).saved
    assert not opened(folder).problems
    assert text(folder, DAY) == ""
    assert tomllib.loads((away / f"{DAY}.toml").read_text(encoding="utf-8"))["mood"] == 4
    assert tomllib.loads((away / "2025-03-20.toml").read_text(encoding="utf-8"))["mood"] == 5


def test_a_page_deleted_meanwhile_is_a_conflict(folder: Path) -> None:
    raw, book = whole(folder), opened(folder)
    (folder / "2025" / f"{DAY}.toml").unlink()
    answer = save_evening.save(book, raw, now=NOW)
    assert [clash.file for clash in answer.conflict] == [f"2025/{DAY}.toml"]
    assert text(folder, DAY) == ""
    assert "tasks" not in page(folder, NEXT)


OTHER_NAMES = 'title = "A test"\n[[places]]\nkey = "home"\nname = "L"\nlatitude = 46\nlongitude = 14\n'
OTHER_NAMES += 'timezone = "Europe/Ljubljana"\n[[categories]]\nkey = "night"\nname = "Night"\nsleep = true\n'


@pytest.mark.parametrize("write", [None, 1, 2])
@pytest.mark.parametrize("source", [OTHER_NAMES, "title = "], ids=["other names", "broken"])
def test_one_save_uses_one_journal_toml(
    folder: Path, monkeypatch: pytest.MonkeyPatch, write: int | None, source: str
) -> None:
    """The saved habit and category are unknown in the new journal.toml, and known in the one that was opened."""

    def change() -> None:
        (folder / "journal.toml").write_text(source, encoding="utf-8")
        rested(folder)

    def read() -> journal.Journal:
        book = opened(folder)
        if write is None:
            change()
        return book

    raw = whole(folder)
    if write is not None:
        at_write(monkeypatch, write, change)
    answers = form_endpoints.answers(read, lambda: NOW)
    response = answers["save"](raw)
    assert response["answer"]["saved"], response["answer"]
    assert page(folder, DAY)["habits"] == {"walk": True}
    assert page(folder, NEXT)["hours"] == {"planned": {"workshop": ["09:00-10:00"]}}
    # The form then shows the current files.
    offer = answers["saved"]({"day": str(DAY)})["offer"]
    categories = [category["key"] for category in offer["categories"]]
    assert categories == [category.key for category in opened(folder).settings.categories]
    assert "workshop" not in categories
    moods = [field["value"] for field in offer["fields"] if field["path"] == ["mood"]]
    assert moods == [4]
    # The next save uses the new journal.toml. It is broken in one case, and then every name passes.
    again = save_evening.save(opened(folder), raw | {"habits": {"walk": False}}, now=NOW)
    assert ("habits.walk" in fields(again)) == (source == OTHER_NAMES)


@pytest.mark.parametrize("write", [None, 1])
def test_nothing_is_written_if_the_journal_is_gone(
    folder: Path, monkeypatch: pytest.MonkeyPatch, write: int | None
) -> None:
    """As after a drive was removed and its empty mount folder is left."""
    raw, book = whole(folder), opened(folder)
    away = folder.with_name("away")

    def change() -> None:
        folder.rename(away)
        folder.mkdir()

    if write is None:
        change()
    else:
        at_write(monkeypatch, write, change)
    answer: SaveResult = save_evening.save(book, raw, now=NOW)
    assert not answer.saved
    assert "is not saved: its folder is gone" in answer.problems[0].message
    assert not list(folder.iterdir())
    with pytest.raises(FolderError, match=r"there is no journal\.toml"):
        journal.open(folder, today=DAY, files=book.files)
