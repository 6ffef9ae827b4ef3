"""`duskbook read` of a sheet that was printed before journal.toml changed."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path
from typing import Any

import pytest

import journal
from journal.commands import clock
from journal.export import day_sheet
from journal.folder import writing
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import SETTINGS
from journal.folder.writing import Changes
from journal.paper import sheet_lookup, year_layout
from journal.periods import year
from journal.settings import Scale, Settings
from tests.cli.conftest import PROJECT, Typed
from tests.cli.test_read import NOW, PHOTO, READ, values
from tests.paper.test_day_lookup import found


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A journal with the settings of the example year, and no page."""
    monkeypatch.setattr(clock, "now", lambda: NOW)
    place = tmp_path / "journal"
    (place / "2025").mkdir(parents=True)
    shutil.copy(PROJECT / "example_year" / "journal.toml", place)
    return place


def change(folder: Path, changed: dict[str, dict[str, Any] | None]) -> None:
    """Change habits of journal.toml by key, or remove them, as the settings page does."""
    base = OpenedFiles(folder).pages.current(SETTINGS)
    habits = [habit | new for habit in base.values["habits"] if (new := changed.get(habit["key"], {})) is not None]
    changes: Changes = {("habits",): habits}
    writing.save(folder, SETTINGS, base, changes, now=NOW, by="settings")


def test_a_reworded_habit_is_the_same_and_a_renamed_or_removed_one_is_told(typed: Typed, folder: Path) -> None:
    change(folder, {"walk": {"name": "Along the river"}})
    shutil.rmtree(folder / ".history")
    assert READ in typed("read", PHOTO, folder, "--dry-run").stdout
    change(folder, {"stretch": {"key": "limber"}, "bench": None})
    result = typed("read", PHOTO, folder, "--yes")
    assert (result.exit_code, READ in result.stdout) == (1, True)
    for day, key in ((11, "bench"), (12, "stretch")):
        assert f'{key} of 2025-08-{day}: expected a habit of journal.toml, got "{key}"' in result.stdout
    assert values(folder)["2025-08-11"] == {
        "mood": 3,
        "habits": {"walk": True, "read": 25, "swim": True},
        "asked": False,
    }


def test_moods_of_another_scale_are_told_and_left_out(typed: Typed, folder: Path) -> None:
    base = OpenedFiles(folder).pages.current(SETTINGS)
    writing.save(folder, SETTINGS, base, {("mood",): {"low": 0, "high": 10}}, now=NOW, by="settings")
    result = typed("read", PHOTO, folder, "--yes")
    assert (result.exit_code, result.stderr) == (
        1,
        (
            'duskbook: "august.jpg": mood has other steps by now than on the sheet of the month 2025-08; what is '
            "marked there is left out\n"
        ),
    )
    assert values(folder)["2025-08-17"] == {"habits": {"walk": True, "call": True}, "asked": False}


def test_a_year_of_another_scale_has_nothing_to_write() -> None:
    five, three = (year_layout.of(year(2025), year_layout.swatch_steps(Scale(low=1, high=high))) for high in (5, 3))
    now = Settings(title="Small", places=(), mood=Scale(low=1, high=3))
    assert [sheet_lookup.other_scales(now, one) for one in (five, three)] == [["mood"], []]


def test_a_day_is_read_by_the_categories_that_it_was_printed_with(typed: Typed, folder: Path) -> None:
    date = dt.date(2025, 8, 12)
    (sheet,) = day_sheet.of(journal.open(folder, today=date, cache=False), date)
    base = OpenedFiles(folder).pages.current(SETTINGS)
    more = [*base.values["categories"], {"key": "garden", "name": "Garden"}]
    writing.save(folder, SETTINGS, base, {("categories",): more}, now=NOW, by="settings")
    book = journal.open(folder, today=date, cache=False)
    assert sheet_lookup.layout(book, found(sheet.layout)) == sheet.layout
    shutil.rmtree(folder / ".history")
    assert sheet_lookup.layout(book, found(sheet.layout)) is None
