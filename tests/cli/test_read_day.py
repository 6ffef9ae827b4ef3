"""`duskbook read` of a day's sheet: what it prints and asks, its rows of JSON, and the pages."""

from __future__ import annotations

import datetime as dt
import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

import journal
from journal.commands import clock, import_files
from journal.export import day_sheet
from tests import journals
from tests.cli.conftest import Typed
from tests.paper import simulated

FRIDAY = dt.date(2025, 3, 14)
NOW = dt.datetime(2025, 3, 15, 8, 0, tzinfo=dt.UTC)
TASKS = [{"title": "Glue", "rank": 1}, {"title": "Quote", "since": dt.date(2025, 3, 11), "id": "t7k2"}]
NIGHT = {f"hours.actual.sleep {hour:02}:{half}": "#" for hour in range(6) for half in ("00", "30")}


@pytest.fixture
def photo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A picture, without any fault, of a day's sheet with some marks; its journal is beside it."""
    monkeypatch.setattr(clock, "now", lambda: NOW)
    sleep = {"key": "sleep", "name": "Sleep", "sleep": True}
    shop = {"key": "shop", "name": "Workshop"}
    folder = journals.write(tmp_path / "journal", {FRIDAY: {"tasks": TASKS}}, categories=[sleep, shop])
    (sheet,) = day_sheet.of(journal.open(folder, today=FRIDAY, cache=False), FRIDAY)
    marks = NIGHT | {"hours.actual.sleep 23:30": "#", "hours.actual.shop 09:00": "#", "hours.actual.shop 05:30": "#"}
    marks |= {"mood": "___#_", "tasks.0 done": "#", "tasks.1 carried": "#", "tasks.1 done": "#"}
    page = simulated.written(sheet, simulated.printed(sheet), {14: marks})
    Image.fromarray((page * 255).astype(np.uint8)).reduce(2).save(tmp_path / "day.png", compress_level=1)
    return tmp_path / "day.png"


def values(folder: Path, day: int) -> dict[str, Any]:
    return tomllib.loads((folder / "2025" / f"2025-03-{day}.toml").read_text(encoding="utf-8"))


def test_a_day_is_printed_asked_about_and_written_once(
    typed: Typed, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = photo.parent / "journal"
    monkeypatch.setattr(import_files, "is_terminal", lambda: True)
    result = typed("read", photo, folder, answers="yes\nno\nlater\ncarried\ny\n")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout == (
        "day.png: sheet of the day 2025-03-14, 19 of 110 boxes marked\n"
        "  2025-03-14  mood 4\n"
        "              hours: sleep 00:00-05:30 23:30-24:00, shop 09:00-09:30, sleep 05:30 ?, shop 05:30 ?\n"
        "              done: Glue\n"
        "              not clear: Quote\n"
        "3 fields are not clear. Enter leaves one out.\n"
        "2025-03-14 sleep 05:30: filled, as it is for shop. What is it? (yes or no): yes\n"
        "2025-03-14 shop 05:30: filled, as it is for sleep. What is it? (yes or no): no\n"
        "2025-03-14 Quote: done filled, carried filled. What is it? (done, carried or open): later\n"
        "Expected done, carried or open; write one of them.\n"
        "2025-03-14 Quote: done filled, carried filled. What is it? (done, carried or open): carried\n"
        "Pages: 1 new, 1 added to, 0 unchanged.\n"
        "Write 2 pages? [y/N]: y\n"
        "Wrote 2 pages.\n"
    )
    friday = values(folder, 14)
    assert friday == {
        "mood": 4,
        "asked": False,
        "hours": {"actual": {"sleep": ["00:00-06:00", "23:30-24:00"], "shop": ["09:00-09:30"]}},
        "tasks": [TASKS[0] | {"status": "done"}, TASKS[1] | {"status": "carried"}],
    }
    assert values(folder, 15) == {"tasks": [TASKS[1] | {"status": "open"}]}
    again = typed("read", photo, folder)
    assert again.stdout.endswith("Pages: 0 new, 0 added to, 1 unchanged.\nThere is nothing to write.\n")
    assert values(folder, 14) == friday


def test_rows_of_a_day_say_half_hours_and_tasks(typed: Typed, photo: Path) -> None:
    rows = json.loads(typed("read", photo, photo.parent / "journal", "--format", "json", "--dry-run").stdout)
    found = {row["field"]: row for row in rows}
    names = ("sheet", "date", "value", "sure", "stands", "read", "task")
    assert {field: tuple(found[field][name] for name in names) for field in (
        "hours.actual.sleep 00:30", "hours.actual.sleep 06:00", "tasks.0 done", "tasks.0 carried", "tasks.1 done",
    )} == {
        "hours.actual.sleep 00:30": ("day", "2025-03-14", True, True, None, True, None),
        "hours.actual.sleep 06:00": ("day", "2025-03-14", None, True, None, None, None),
        "tasks.0 done": ("day", "2025-03-14", True, True, "open", "done", "Glue"),
        "tasks.0 carried": ("day", "2025-03-14", None, True, "open", "done", "Glue"),
        "tasks.1 done": ("day", "2025-03-14", True, True, "open", None, "Quote"),
    }  # fmt: skip
    assert found["tasks.1 done"]["doubt"] == "done filled, carried filled"
