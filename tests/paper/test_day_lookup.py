"""Which tasks a day's sheet in a picture has: those of the page, also after the page has changed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import journal
from journal.export import day_sheet
from journal.folder import history
from journal.paper import day_layout, day_plan, frame, perspective, sheet_code, sheet_lookup
from journal.paper.corner_search import FoundCode, FoundSheet
from journal.paper.layout import SheetLayout
from tests import journals

FRIDAY = dt.date(2025, 3, 14)
TASKS: list[dict[str, Any]] = [{"title": "Glue", "rank": 1, "id": "t7k2"}, {"title": "Quote"}, {"title": "Sweep"}]


def found(layout: SheetLayout, corners: Iterable[int] = range(4)) -> FoundSheet:
    """A sheet as the search finds it."""
    codes = {}
    for corner in corners:
        code = sheet_code.read(layout.codes()[corner])
        assert code is not None
        codes[corner] = FoundCode(code, np.array([frame.codes()[corner]] * 4))
    square = np.array([(0, 0), (10, 0), (10, 20), (0, 20)], float)
    return FoundSheet(codes, perspective.fitted(square, square))


def opened(folder: Path, tasks: list[dict[str, Any]], **settings: Any) -> journal.Journal:
    return journal.open(journals.write(folder, {FRIDAY: {"tasks": tasks}}, **settings), today=FRIDAY, cache=False)


def titles(layout: SheetLayout | None) -> list[str] | None:
    assert layout is not None
    return None if layout.tasks is None else [task.title for task in layout.tasks]


def test_tasks_are_those_that_were_printed(tmp_path: Path) -> None:
    (sheet,) = day_sheet.of(opened(tmp_path / "before", TASKS), FRIDAY)
    printed = found(sheet.layout)
    assert (titles(sheet.layout), sheet.layout.tasks[0].id if sheet.layout.tasks else "") == (
        ["Glue", "Quote", "Sweep"],
        "t7k2",
    )
    closed = [task | {"status": status} for task, status in zip(TASKS, ("done", "carried", "dropped"), strict=True)]
    after = opened(tmp_path / "closed", closed)
    read = sheet_lookup.layout(after, printed)
    assert titles(read) == ["Glue", "Quote", "Sweep"]
    assert [box.field for box in sheet.layout.boxes if box.field.startswith("tasks.1 ")] == [
        "tasks.1 done",
        "tasks.1 carried",
    ]


@pytest.mark.parametrize("corners", [(0, 1, 2, 3), (0, 1, 3)])
def test_other_tasks_make_them_unknown_and_all_else_is_read(tmp_path: Path, corners: tuple[int, ...]) -> None:
    (sheet,) = day_sheet.of(opened(tmp_path / "before", TASKS), FRIDAY)
    for nth, others in enumerate((TASKS[::-1], TASKS[:2], [*TASKS[:2], {"title": "Sweep up"}])):
        read = sheet_lookup.layout(opened(tmp_path / f"after{nth}", others), found(sheet.layout, corners))
        assert titles(read) is None and read is not None
        lines = {box.field for box in read.boxes if box.field.startswith("tasks.")}
        assert len(lines) == 2 * day_layout.columns_of(sheet.plan, 0).task_rows
        known, unknown = (
            [box for box in boxes if not box.field.startswith("tasks.")] for boxes in (sheet.layout.boxes, read.boxes)
        )
        assert known == unknown


def test_an_earlier_state_of_the_page_has_the_tasks(tmp_path: Path) -> None:
    folder = tmp_path / "journal"
    book = opened(folder, TASKS)
    (sheet,) = day_sheet.of(book, FRIDAY)
    base = book.files.pages.look(FRIDAY.isoformat())
    history.keep_seen(folder, base, now=dt.datetime(2025, 3, 14, 8, tzinfo=dt.UTC))
    after = opened(folder, [{"title": "Something else"}])
    assert titles(sheet_lookup.layout(after, found(sheet.layout))) == ["Glue", "Quote", "Sweep"]


def test_other_definitions_are_of_another_journal(tmp_path: Path) -> None:
    (sheet,) = day_sheet.of(opened(tmp_path / "before", TASKS), FRIDAY)
    for nth, settings in enumerate(({"mood": {"low": 1, "high": 6}}, {"day": {"gratitude_lines": 3}})):
        other = opened(tmp_path / f"other{nth}", TASKS, **settings)
        assert sheet_lookup.layout(other, found(sheet.layout)) is None


def test_many_tasks_and_habits_are_on_further_parts(tmp_path: Path) -> None:
    habits = [
        {"key": f"h{nth}", "name": f"H{nth}", "from": dt.date(2025, 1, 1), "every": "FREQ=DAILY"} for nth in range(40)
    ]
    book = opened(tmp_path / "many", [{"title": f"Task {nth}"} for nth in range(200)], habits=habits)
    sheets = day_sheet.of(book, FRIDAY)
    assert len(sheets) == sheet_code.MOST_PARTS
    for sheet in (sheets[0], sheets[1], sheets[-1]):
        read = sheet_lookup.layout(book, found(sheet.layout))
        assert read == sheet.layout and read.tasks
    fields = [box.field for sheet in sheets for box in sheet.layout.boxes]
    assert [f"habits.h{nth}" for nth in range(40)] == [field for field in fields if field.startswith("habits.")]
    printed = sum(len(sheet.layout.tasks or ()) for sheet in sheets)
    assert sheets[0].words.missing_tasks == 200 - printed


def test_more_categories_than_rows_keep_sleep(tmp_path: Path) -> None:
    names = [{"key": f"c{nth}", "name": f"C{nth}"} for nth in range(9)]
    categories = [*names, {"key": "sleep", "name": "Sleep", "sleep": True}]
    plan = day_plan.of(opened(tmp_path / "many", TASKS, categories=categories), FRIDAY)
    assert plan.categories == (*(f"c{nth}" for nth in range(7)), "sleep")
