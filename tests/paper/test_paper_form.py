"""Sheets on a page: read, looked at with answers, saved once and taken back; what is sent back is checked."""

from __future__ import annotations

import base64
import datetime as dt
import io
import shutil
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

import journal
from journal import Journal
from journal.errors import UsageError
from journal.paper import paper_form, picture_file, sheet_pictures, sheet_reader
from journal.paper.paper_form import PhotographOffer
from journal.saving import take_back
from tests.cli.test_read import PHOTO, UNCLEAR
from tests.paper import simulated

TODAY = dt.date(2025, 8, 20)
NOW = dt.datetime(2025, 8, 20, 21, 0, tzinfo=dt.UTC)
MOOD, WALK, READ = "2025-08-11/mood/", "2025-08-12/habits.walk/", "2025-08-12/habits.read/"


def opened(folder: Path) -> Journal:
    return journal.open(folder, today=TODAY, cache=False)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "2025").mkdir()
    shutil.copy("example_year/journal.toml", tmp_path)
    (tmp_path / "2025" / "2025-08-18.toml").write_text("# A short one.\nmood = 3\n", encoding="utf-8")
    return tmp_path


@pytest.fixture(scope="module")
def unclear() -> bytes:
    page = simulated.written(*simulated.month("2025-08"), UNCLEAR)
    data = io.BytesIO()
    Image.fromarray((page * 255).astype(np.uint8)).reduce(2).save(data, "PNG", compress_level=1)
    return data.getvalue()


def read(book: Journal, data: bytes, name: str = "a.jpg") -> PhotographOffer:
    return paper_form.read(book, {"name": name, "data": base64.b64encode(data).decode()})


def picture(address: str) -> Image.Image:
    head, _, text = address.partition(",")
    assert head == "data:image/jpeg;base64"
    return Image.open(io.BytesIO(base64.b64decode(text)))


def values(folder: Path) -> dict[str, dict[str, Any]]:
    return {path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in (folder / "2025").glob("*.toml")}


def test_a_photograph_is_shown_straight_beside_what_it_says_and_saved_once(folder: Path) -> None:
    offer = read(opened(folder), PHOTO.read_bytes())
    (sheet,) = offer.sheets
    assert (sheet.title, sheet.said, offer.told) == ("Sheet of August 2025", "a.jpg, 5 days with marks", [])
    assert sheet.days[1] == (
        "Tuesday 12 August",
        ["Mood: 4 good", "Walk by the river: done", "Stretch: rest", "Screen after nine: 0"],
    )
    assert picture(sheet.picture).size == (888, 1260)
    raw = {"read": [offer.read]}
    look = paper_form.look(opened(folder), raw, now=NOW)
    assert (look.pages, look.kept, look.asked) == (5, ["2025-08-18: mood stays 3, the file has 4"], [])
    assert list(values(folder)) == ["2025-08-18"]
    saved = paper_form.save(opened(folder), raw, now=NOW)
    assert saved.saved and saved.said.startswith("Wrote 2025/2025-08-11.toml, ")
    assert values(folder)["2025-08-12"]["habits"] == {"walk": True, "stretch": "rest", "screen": 0}
    again = paper_form.save(opened(folder), raw, now=NOW)
    assert (again.saved, again.said, again.undo) == (True, "Nothing to save: it is there already.", "")
    assert take_back.take_back(opened(folder), saved.undo, now=NOW, by="import").saved
    assert values(folder) == {"2025-08-18": {"mood": 3}}


def test_what_is_not_clear_is_asked_beside_its_picture(folder: Path, unclear: bytes) -> None:
    offer = read(opened(folder), unclear, "scan.png")
    assert set(offer.crops) == {MOOD, WALK, READ}
    wide, high = picture(offer.crops[MOOD]).size
    assert 150 < wide < 300 and 40 < high < 80
    look = paper_form.look(opened(folder), {"read": [offer.read]}, now=NOW)
    assert [(one.key, one.title, one.looks, [value for value, _ in one.choices]) for one in look.asked] == [
        (MOOD, "Monday 11 August, Mood", "3 filled, 4 filled", ["1", "2", "3", "4", "5"]),
        (WALK, "Tuesday 12 August, Walk by the river", "half", ["yes", "rest", "no"]),
        (READ, "Tuesday 12 August, Read", "5 filled, 10 stroke", []),
    ]
    wrong = {"read": [offer.read], "answers": {MOOD: "9", READ: "some"}}
    refused = paper_form.save(opened(folder), wrong, now=NOW)
    assert [(one.field, refused.saved) for one in refused.problems] == [(MOOD, False), (READ, False)]
    assert list(values(folder)) == ["2025-08-18"]
    paper_form.save(opened(folder), wrong | {"answers": {MOOD: "4", READ: "12,5"}}, now=NOW)
    after = values(folder)
    assert after["2025-08-11"] == {"mood": 4, "habits": {"walk": True}, "asked": False}
    assert after["2025-08-12"] == {"habits": {"read": 12.5}, "asked": False}
    left = paper_form.look(opened(folder), {"read": [offer.read]}, now=NOW).asked
    assert [one.key for one in left] == [WALK]


@pytest.mark.parametrize("sent", [None, {}, {"read": "x"}, {"read": [1]}, {"read": ["x"]}, {"read": ["eJwDAAAAAAE="]}])
def test_what_was_not_read_cannot_be_saved(folder: Path, sent: object) -> None:
    with pytest.raises(UsageError, match="what was read is missing"):
        paper_form.look(opened(folder), sent, now=NOW)
    assert not paper_form.save(opened(folder), sent, now=NOW).saved


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ({"name": "a.txt", "data": base64.b64encode(b"walk").decode()}, '"a.txt" is not a JPEG'),
        ({"name": "C:\\fakepath\\a.jpg", "data": "%"}, "what was sent is no picture"),
        ({"name": "a.jpg"}, '"a.jpg" has more than 60 MB'),
    ],
)
def test_a_file_that_is_no_picture_is_told(folder: Path, raw: object, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        paper_form.read(opened(folder), raw)


def test_a_photograph_of_something_else_is_told(folder: Path) -> None:
    bench = io.BytesIO()
    Image.linear_gradient("L").resize((900, 900)).save(bench, "JPEG")
    offer = read(opened(folder), bench.getvalue())
    assert offer.sheets == [] and len(offer.told) == 1


def test_a_straight_sheet_is_where_the_layout_says() -> None:
    page = simulated.written(*simulated.month("2025-08"), {11: {"mood": "__#__"}})
    data = io.BytesIO()
    Image.fromarray((page * 255).astype(np.uint8)).reduce(2).rotate(90, expand=True).save(data, "PNG", compress_level=1)
    (given,) = picture_file.of("a.png", data.getvalue())
    layout = simulated.month("2025-08")[0].layout
    (sheet,) = sheet_reader.read(given, lambda _: layout).sheets
    assert sheet.lies is not None
    straight = np.asarray(sheet_pictures.straight(given, sheet.lies).convert("L"), float)
    wide = straight.shape[1] / 148
    for box in [box for box in layout.boxes if box.field == "mood" and box.date.day == 11]:
        inside = straight[
            round((box.y + 1) * wide) : round((box.y + 2.2) * wide),
            round((box.x + 1) * wide) : round((box.x + 2.2) * wide),
        ]
        assert (inside.mean() < 160) == (box.value == 3), box.value
