"""Filling a month as a grid: only the changed cells are written, on their own days, all or none."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import msgspec
import pytest

from journal.errors import UsageError, WriteError
from journal.evening import month_fill
from journal.folder import writing
from journal.saving.save_pages import SaveResult
from tests.evening.evenings import DAY, NOW, fields, opened, text, written

SECOND, FIFTH = dt.date(2025, 3, 2), dt.date(2025, 3, 5)


def offer(folder: Path, today: dt.date = DAY) -> dict[str, Any]:
    plain = msgspec.json.decode(msgspec.json.encode(month_fill.month(opened(folder, today), "2025-03")))
    assert isinstance(plain, dict)
    return plain


def filled(folder: Path, marks: dict[str, dict[str, Any]], base: str = "") -> SaveResult:
    raw = {"base": base or offer(folder)["base"], "month": "2025-03", "marks": marks}
    return month_fill.save_month(opened(folder), msgspec.json.decode(msgspec.json.encode(raw)), now=NOW)


def test_the_grid(tmp_path: Path) -> None:
    grid = offer(written(tmp_path, {FIFTH: {"mood": 3, "habits": {"walk": True, "read": 12}}}))
    assert (grid["title"], len(grid["days"]), grid["days"][-1]) == ("March 2025", 13, "2025-03-13")
    rows = ["day/mood", "walk", "read", "swim", "call", "challenges/letters"]
    assert [row["key"] for row in grid["habits"]] == rows
    assert (grid["marks"]["day/mood"]["2025-03-05"], grid["habits"][0]["unit"]) == (3, "1 to 5")
    assert grid["marks"]["read"]["2025-03-05"] == 12 and grid["marks"]["read"]["2025-03-06"] is None
    assert [grid["due"]["call"][day] for day in ("2025-03-02", "2025-03-03")] == [True, False]
    assert [grid["due"]["swim"][day] for day in ("2025-03-02", "2025-03-03")] == [None, True], "from 3 March"
    assert [day for day, logged in grid["logged"].items() if logged] == ["2025-03-05"]


def test_the_changed_cells_are_written_and_no_other(tmp_path: Path) -> None:
    folder = written(tmp_path, {})
    path = folder / "2025" / f"{FIFTH}.toml"
    path.parent.mkdir()
    path.write_text("mood = 3 # tired\n[habits]\nwalk = true # by the river\n", encoding="utf-8")
    cells: dict[str, dict[str, Any]] = {
        "walk": {"2025-03-02": True, "2025-03-05": None},
        "read": {"2025-03-02": 24, "2025-03-05": "rest"},
    }
    result = filled(folder, cells)
    assert (result.saved, result.said) == (True, "Saved 2 days, from 2 March to 5 March.")
    assert text(folder, FIFTH) == 'mood = 3 # tired\n[habits]\nread = "rest"\n# by the river\n'
    assert text(folder, SECOND) == "asked = false\n\n[habits]\nwalk = true\nread = 24\n"
    assert sorted(path.name for path in (folder / "2025").iterdir()) == ["2025-03-02.toml", "2025-03-05.toml"]
    assert filled(folder, {"walk": {"2025-03-02": True}}).said.startswith("Nothing to save")


def test_mood_and_challenges_are_written_and_their_faults_named(tmp_path: Path) -> None:
    folder = written(tmp_path, {FIFTH: {"mood": 3, "challenges": {"letters": True}}})
    cells: dict[str, dict[str, Any]] = {
        "day/mood": {"2025-03-02": 4, "2025-03-05": None},
        "challenges/letters": {"2025-03-02": True, "2025-03-05": False},
    }
    assert filled(folder, cells).saved
    assert text(folder, SECOND) == "mood = 4\nasked = false\n\n[challenges]\nletters = true\n"
    assert text(folder, FIFTH) == "[challenges]\nletters = false\n"
    cells = {
        "day/mood": {"2025-03-02": 9, "2025-03-05": "good"}, "challenges/letter": {"2025-03-02": True}, "x/y": {},
    }  # fmt: skip
    assert set(fields(filled(folder, cells))) == {
        "marks.day/mood.2025-03-02", "marks.day/mood.2025-03-05", "marks.challenges/letter.2025-03-02", "marks.x/y",
    }  # fmt: skip


def test_all_problems_are_reported_and_nothing_is_written(tmp_path: Path) -> None:
    folder = written(tmp_path)
    cells: dict[str, dict[str, Any]] = {
        "walk": {"2025-03-02": True, "2025-03-05": 3, "2025-04-01": True, "2025-02-30": True},
        "swim": {"2025-03-02": True},
        "read": {"2025-03-02": "lots", "2025-03-05": -1},
    }
    assert set(fields(filled(folder, cells))) == {
        "marks.walk.2025-03-05", "marks.walk.2025-04-01", "marks.walk.2025-02-30", "marks.swim.2025-03-02",
        "marks.read.2025-03-02", "marks.read.2025-03-05",
    }  # fmt: skip
    assert not (folder / "2025").exists()


def test_a_clash_stops_all_days(tmp_path: Path) -> None:
    folder = written(tmp_path, {FIFTH: {"habits": {"walk": True}}})
    base = offer(folder)["base"]
    (folder / "2025" / f"{FIFTH}.toml").write_text("[habits]\nwalk = false\n", encoding="utf-8")
    answer = filled(folder, {"walk": {"2025-03-02": True, "2025-03-05": "rest"}}, base)
    assert [(one.field, one.yours, one.theirs) for one in answer.conflict] == [("marks.walk.2025-03-05", "rest", False)]
    assert text(folder, SECOND) == ""


def test_the_days_that_could_not_be_saved_are_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = written(tmp_path)
    real = writing.save

    def failing(where: Path, key: str, *arguments: Any, rehearse: bool = False, **more: Any) -> Any:
        if key == "2025-03-05" and not rehearse:
            raise WriteError("the disk is full")
        return real(where, key, *arguments, rehearse=rehearse, **more)

    monkeypatch.setattr(writing, "save", failing)
    answer = filled(folder, {"walk": {f"2025-03-0{day}": True for day in (2, 5, 7)}})
    assert (answer.saved, answer.said) == (False, "Saved 2 days, from 2 March to 7 March.")
    assert fields(answer) == {"days.2025-03-05": "the disk is full."}


def test_a_broken_page_stops_all_and_is_named(tmp_path: Path) -> None:
    folder = written(tmp_path, {FIFTH: {}})
    (folder / "2025" / f"{FIFTH}.toml").write_text("mood = \n", encoding="utf-8")
    assert "2025/2025-03-05.toml:1" in offer(folder)["problems"][0]
    assert list(fields(filled(folder, {"walk": {"2025-03-02": True, "2025-03-05": True}}))) == ["days.2025-03-05"]
    assert text(folder, SECOND) == ""


def test_an_invalid_or_future_month(tmp_path: Path) -> None:
    book = opened(written(tmp_path))
    for key in ("2025-13", "2025-04", "soon"):
        with pytest.raises(UsageError):
            month_fill.month(book, key)
    assert "open the month anew" in month_fill.save_month(book, None, now=NOW).problems[0].message
