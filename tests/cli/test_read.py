"""`duskbook read`: what it prints, its questions, the written pages, the rows of JSON and the exit codes."""

from __future__ import annotations

import datetime as dt
import io
import json
import shutil
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from journal.commands import clock, import_files, read_sheets
from journal.folder import writing
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import SETTINGS
from journal.folder.writing import Changes
from tests.cli.conftest import PROJECT, Typed, program
from tests.paper import simulated

PHOTO = PROJECT / "tests" / "paper" / "august.jpg"
NOW = dt.datetime(2025, 8, 20, 21, 0, tzinfo=dt.UTC)
HEAD = "sheet of the month 2025-08, "
READ = """\
  2025-08-11  mood 3, walk done, read 25, bench done, swim done
  2025-08-12  mood 4, walk done, stretch rest, screen 0
  2025-08-14  mood 5, read 5, exhibition done
  2025-08-17  mood 4, walk done, call done
  2025-08-18  mood 4, walk done
"""
UNCLEAR: dict[int, dict[str, str]] = {
    11: {"mood": "__##_", "habits.walk": "#"},
    12: {"habits.walk": "/", "habits.read": "#-_"},
}

Drawn = Callable[[Mapping[int, Mapping[str, str]]], Path]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A journal with the habits of the example year, and one page."""
    monkeypatch.setattr(clock, "now", lambda: NOW)
    place = tmp_path / "journal"
    (place / "2025").mkdir(parents=True)
    shutil.copy(PROJECT / "example_year" / "journal.toml", place)
    (place / "2025" / "2025-08-18.toml").write_text("# A short one.\nmood = 3\n", encoding="utf-8")
    return place


@pytest.fixture
def on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(import_files, "is_terminal", lambda: True)


@pytest.fixture
def drawn(tmp_path: Path) -> Drawn:
    """A picture, without any fault, of the sheet of August with some marks."""

    def made(days: Mapping[int, Mapping[str, str]]) -> Path:
        return picture(tmp_path / "drawn.png", simulated.written(*simulated.month("2025-08"), days))

    return made


def picture(path: Path, page: Any) -> Path:
    Image.fromarray((page * 255).astype(np.uint8)).reduce(2).save(path, compress_level=1)
    return path


def pages(folder: Path) -> dict[str, str]:
    return {path.stem: path.read_text(encoding="utf-8") for path in sorted((folder / "2025").glob("*.toml"))}


def values(folder: Path) -> dict[str, dict[str, Any]]:
    return {key: tomllib.loads(text) for key, text in pages(folder).items()}


def test_a_photograph_is_read_asked_about_and_written_once(typed: Typed, folder: Path, on_a_terminal: None) -> None:
    before = pages(folder)
    said = f"august.jpg: {HEAD}18 of 546 boxes marked\n{READ}2025-08-18: mood stays 3, the file has 4\n"
    refused = typed("read", PHOTO, folder, answers="\n")
    assert (refused.exit_code, refused.stderr) == (0, "")
    counted = "Pages: 4 new, 1 added to, 0 unchanged.\nWrite 5 pages? [y/N]: "
    assert refused.stdout.replace("\n\n", "\n") == f"{said}{counted}\nNothing is written.\n"
    assert pages(folder) == before
    assert typed("read", PHOTO, folder, answers="y\n").stdout == f"{said}{counted}y\nWrote 5 pages.\n"
    assert values(folder) == {
        "2025-08-11": {"mood": 3, "habits": {"walk": True, "read": 25, "bench": True, "swim": True}, "asked": False},
        "2025-08-12": {"mood": 4, "habits": {"walk": True, "stretch": "rest", "screen": 0}, "asked": False},
        "2025-08-14": {"mood": 5, "habits": {"read": 5, "exhibition": True}, "asked": False},
        "2025-08-17": {"mood": 4, "habits": {"walk": True, "call": True}, "asked": False},
        "2025-08-18": {"mood": 3, "habits": {"walk": True}},
    }
    assert pages(folder)["2025-08-18"].startswith("# A short one.\n")
    after = pages(folder)
    again = typed("read", PHOTO, PHOTO, folder)
    assert again.stdout == f"{said}Pages: 0 new, 0 added to, 5 unchanged.\nThere is nothing to write.\n"
    assert pages(folder) == after


@pytest.mark.parametrize(
    ("options", "end"),
    [
        (["--dry-run"], "Nothing is written (--dry-run)."),
        ([], "Nothing is written: there is no terminal to ask on. Add --yes to write these pages."),
    ],
)
def test_what_is_not_clear_is_told_and_nothing_is_written_without_a_yes(
    typed: Typed, folder: Path, drawn: Drawn, options: list[str], end: str
) -> None:
    before = pages(folder)
    result = typed("read", drawn(UNCLEAR), folder, *options)
    assert (result.exit_code, result.stderr) == (1, "")
    assert result.stdout.splitlines() == [
        f"drawn.png: {HEAD}6 of 546 boxes marked",
        "  2025-08-11  mood ?, walk done",
        "  2025-08-12  walk ?, read ?",
        "Not clear, and left out:",
        "  2025-08-11 mood: 3 filled, 4 filled",
        "  2025-08-12 walk: half",
        "  2025-08-12 read: 5 filled, 10 stroke",
        "Pages: 1 new, 0 added to, 0 unchanged.",
        end,
    ]
    assert pages(folder) == before


def test_what_is_not_clear_is_asked_on_a_terminal_and_only_once(
    typed: Typed, folder: Path, drawn: Drawn, on_a_terminal: None
) -> None:
    result = typed("read", drawn(UNCLEAR), folder, answers="7\neven\nperhaps\nno\n\ny\n")
    assert result.exit_code == 1  # one was left out
    assert "3 fields are not clear. Enter leaves one out.\n" in result.stdout
    assert "2025-08-11 mood: 3 filled, 4 filled. What is it? (1 to 5): 7\n" in result.stdout
    assert "Expected a number from 1 to 5; write one of them.\n" in result.stdout
    assert "2025-08-12 walk: half. What is it? (yes, no or rest): perhaps\nExpected yes, no or rest" in result.stdout
    assert values(folder) == {
        "2025-08-11": {"mood": 3, "habits": {"walk": True}, "asked": False},
        "2025-08-12": {"habits": {"walk": False}, "asked": False},
        "2025-08-18": {"mood": 3},
    }
    again = typed("read", drawn(UNCLEAR), folder, answers="25\nn\n")
    assert again.stdout.count("What is it?") == 1
    assert "2025-08-12 read: 5 filled, 10 stroke. What is it? (a number or rest): 25\n" in again.stdout
    assert again.exit_code == 0


def test_questions_end_and_the_rest_is_told(
    typed: Typed, folder: Path, drawn: Drawn, on_a_terminal: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(read_sheets, "MOST_QUESTIONS", 1)
    result = typed("read", drawn(UNCLEAR), folder, answers="x\nx\nx\nn\n")
    assert result.stdout.count("What is it?") == 3  # the same one, until it is given up
    assert "Not clear, and left out:\n  2025-08-12 walk: half\n  2025-08-12 read" in result.stdout
    assert typed("read", drawn(UNCLEAR), folder, answers="").exit_code == 2  # the input ended
    assert list(pages(folder)) == ["2025-08-18"]


def test_rows_of_json_have_the_fixed_keys_a_row_for_each_box_and_nothing_else_is_printed(
    typed: Typed, folder: Path
) -> None:
    result = typed("read", PHOTO, folder, "--format", "json", "--yes")
    assert (result.exit_code, result.stderr.splitlines()[-1]) == (0, "Wrote 5 pages.")
    rows = json.loads(result.stdout)
    keys = ["photo", "sheet", "date", "field", "value", "certainty", "sure", "stands", "photo_box"]
    assert [list(row)[:9] for row in rows] == [keys] * 546
    (one,) = [row for row in rows if (row["date"], row["field"], row["value"]) == ("2025-08-18", "mood", 4)]
    assert (one["photo"], one["sheet"], one["sure"], one["stands"], one["box"]) == ("august.jpg", "month", True, 3, 4)
    with Image.open(PHOTO) as image:
        wide, high = image.size
    assert all(0 < x < x + w < wide and 0 < y < y + h < high for x, y, w, h in (row["photo_box"] for row in rows))
    read = {row["value"] for row in rows if (row["date"], row["field"]) == ("2025-08-14", "habits.read")}
    assert read == {None, 5}
    assert {row["read"] for row in rows if (row["date"], row["field"]) == ("2025-08-11", "habits.read")} == {25}


def test_days_to_come_are_left_out(typed: Typed, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", lambda: NOW.replace(day=12))
    result = typed("read", PHOTO, folder, "--yes")
    assert result.exit_code == 1
    assert "august.jpg: mood of 2025-08-14: expected a day up to 2025-08-12" in result.stdout
    assert list(pages(folder)) == ["2025-08-11", "2025-08-12", "2025-08-18"]


def test_a_broken_page_costs_its_day_only(typed: Typed, folder: Path, drawn: Drawn, on_a_terminal: None) -> None:
    broken = folder / "2025" / "2025-08-11.toml"
    broken.write_text("mood = = 3\n", encoding="utf-8")
    result = typed("read", drawn(UNCLEAR), folder, answers="rest\n\ny\n")
    assert "2025/2025-08-11.toml:1:8:" in result.stdout and "2025-08-11 mood" not in result.stdout
    assert result.exit_code == 1
    assert broken.read_text(encoding="utf-8") == "mood = = 3\n"
    assert tomllib.loads(pages(folder)["2025-08-12"])["habits"] == {"walk": "rest"}


def test_a_sheet_that_was_printed_before_a_habit_was_added_is_read_as_it_was(typed: Typed, folder: Path) -> None:
    files = OpenedFiles(folder)
    base = files.pages.current(SETTINGS)
    new = {"key": "letters", "name": "Letters", "every": "FREQ=DAILY", "from": dt.date(2025, 1, 1)}
    changes: Changes = {("habits",): [*base.values["habits"], new]}
    writing.save(folder, SETTINGS, base, changes, now=NOW, by="settings")
    with_history = typed("read", PHOTO, folder, "--dry-run")
    assert (with_history.exit_code, with_history.stdout.splitlines()[1:6]) == (0, READ.splitlines())
    shutil.rmtree(folder / ".history")
    result = typed("read", PHOTO, folder, "--dry-run")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "the sheet of the month 2025-08 in it is of another journal, or of columns that no state" in result.stderr


def test_a_picture_that_cannot_be_read_costs_a_sentence_and_the_others_are_read(
    typed: Typed, folder: Path, tmp_path: Path
) -> None:
    half = tmp_path / "half.png"
    with Image.open(PHOTO) as image:
        image.crop((0, 0, image.width, image.height // 2)).save(half)
    torn = tmp_path / "torn.jpg"
    torn.write_bytes(PHOTO.read_bytes()[:60_000])
    result = typed("read", half, torn, PHOTO, tmp_path / "none.jpg", folder, "--dry-run")
    assert result.exit_code == 1 and READ in result.stdout
    told = [line.split(":")[1] for line in result.stderr.splitlines()]
    assert told == [' "half.png"', ' "torn.jpg" is damaged', ' "none.jpg" cannot be read']
    alone = typed("read", half, folder)
    assert (alone.exit_code, alone.stdout) == (2, "")
    assert alone.stderr.startswith('duskbook: "half.png": of the sheet of the month 2025-08 in it too few corners')
    two = typed("read", half, torn, folder, "--format", "json")
    assert (two.exit_code, two.stdout, len(two.stderr.splitlines())) == (2, "[]\n", 2)


def test_a_picture_of_a_hundred_megapixels_is_refused_before_it_is_decoded(folder: Path, tmp_path: Path) -> None:
    vast = io.BytesIO()
    Image.new("1", (10_000, 10_000)).save(vast, "PNG")
    (tmp_path / "vast.png").write_bytes(vast.getvalue())
    result = program("read", tmp_path / "vast.png", folder)
    assert (result.returncode, result.stdout) == (2, "")
    assert result.stderr == 'duskbook: "vast.png" has 100 megapixels; at most 64 are read\n'


def test_the_last_argument_is_the_folder_if_it_is_one(
    typed: Typed, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    result = typed("read", folder)
    assert (result.exit_code, "is a folder, and no picture is named" in result.stderr) == (2, True)
    monkeypatch.chdir(folder)
    assert typed("read", PHOTO, "--dry-run").exit_code == 0
    monkeypatch.chdir(folder.parent)
    result = typed("read", PHOTO)
    assert (result.exit_code, "no folder was given" in result.stderr) == (2, True)
    assert typed("read").exit_code == 2
