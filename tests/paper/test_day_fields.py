"""From the marks of a day's sheet to its page: half hours, tasks done and carried, and what is told instead."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

import journal
from journal import Journal
from journal.export import day_sheet
from journal.importing import apply_plan, planning
from journal.paper import day_layout, sheet_fields, sheet_import
from journal.paper.layout import SheetLayout
from journal.paper.picture_file import PictureFile
from journal.paper.sheet_fields import FieldRead
from journal.paper.sheet_reader import BoxRead, SheetRead
from tests import journals

FRIDAY = dt.date(2025, 3, 14)
SATURDAY = dt.date(2025, 3, 15)
TODAY = dt.date(2025, 3, 16)
NOW = dt.datetime(2025, 3, 16, 20, tzinfo=dt.UTC)
SETTINGS: dict[str, Any] = {
    "categories": [
        {"key": "sleep", "name": "Sleep", "sleep": True},
        {"key": "shop", "name": "Workshop", "work": True},
    ],
    "routines": [{"title": "Count", "every": "FREQ=DAILY", "from": dt.date(2025, 1, 1), "estimate": 30}],
}
TASKS: list[dict[str, Any]] = [
    {"title": "Glue", "status": "open", "rank": 1},
    {"title": "Quote", "status": "open", "since": dt.date(2025, 3, 11), "id": "t7k2", "estimate": 45},
]


def opened(folder: Path, days: Mapping[dt.date, Mapping[str, Any]] | None = None) -> Journal:
    if days is not None:
        journals.write(folder, days, **SETTINGS)
    return journal.open(folder, today=TODAY, cache=False)


def read(layout: SheetLayout, *filled: str, unsure: tuple[str, ...] = ()) -> list[FieldRead]:
    """The fields of a sheet on which the boxes of some fields are filled."""
    boxes = []
    for box in layout.boxes:
        name = box.field if box.value is True else f"{box.field} {box.value:g}"
        mark = "filled" if name in filled else "empty"
        boxes.append(BoxRead(box, mark, 0.8 if name in unsure else 1.0, (0, 0, 9, 9)))  # type: ignore[arg-type]
    return sheet_fields.of(SheetRead(PictureFile("a.jpg", b"", 9, 9), layout, boxes))


def written(book: Journal, fields: list[FieldRead]) -> tuple[list[str], list[str]]:
    """Write what the fields say. Returns what is told, and the written pages."""
    given = [field.settled({}) for field in sheet_import.standing(book, fields)]
    values = sheet_import.imported(book, "a.jpg", given)
    plan = planning.plan(book.folder, values, book.files.basis.known, now=NOW, files=book.files)
    result = apply_plan.write(book.folder, plan.pages, now=NOW, files=book.files)
    return [*map(str, plan.problems), *plan.kept], result.paths


def page(folder: Path, day: dt.date) -> dict[str, Any]:
    path = folder / "2025" / f"{day}.toml"
    return tomllib.loads(path.read_text(encoding="utf-8")) if path.exists() else {}


def night(*hours: int) -> tuple[str, ...]:
    return tuple(f"hours.actual.sleep {hour:02}:{minute}" for hour in hours for minute in ("00", "30"))


def test_marks_hours_and_tasks_reach_the_page_once(tmp_path: Path) -> None:
    book = opened(tmp_path, {FRIDAY: {"tasks": TASKS}})
    (sheet,) = day_sheet.of(book, FRIDAY)
    fields = read(
        sheet.layout, "mood 4", "energy 2", *night(0, 1, 23), "hours.actual.shop 09:00", "tasks.0 done",
        "tasks.1 carried", "tasks.2 done",
    )  # fmt: skip
    assert written(book, fields) == ([], ["2025/2025-03-15.toml", "2025/2025-03-14.toml"])
    assert page(tmp_path, FRIDAY) == {
        "mood": 4,
        "energy": 2,
        "asked": False,
        "hours": {"actual": {"sleep": ["00:00-02:00", "23:00-24:00"], "shop": ["09:00-09:30"]}},
        "tasks": [
            {"title": "Glue", "status": "done", "rank": 1},
            TASKS[1] | {"status": "carried"},
            {"title": "Count", "status": "done", "estimate": 30},
        ],
    }
    carried = TASKS[1] | {"status": "open"}
    assert page(tmp_path, SATURDAY) == {"tasks": [carried]}
    after = opened(tmp_path)
    assert written(after, fields) == ([], [])
    path = tmp_path / "2025" / "2025-03-15.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('"open"', '"done"'), encoding="utf-8")
    assert written(opened(tmp_path), fields) == ([], [])


def test_what_stands_is_kept_and_told(tmp_path: Path) -> None:
    book = opened(tmp_path, {FRIDAY: {"tasks": TASKS}})
    (sheet,) = day_sheet.of(book, FRIDAY)
    fields = read(sheet.layout, "energy 2", *night(0, 1), "tasks.0 done", "tasks.1 carried")
    stands = {
        "energy": 3,
        "hours": {"actual": {"sleep": ["00:00-02:10"]}},
        "tasks": [TASKS[0] | {"status": "dropped"}, TASKS[1] | {"status": "done"}],
    }
    book = opened(tmp_path, {FRIDAY: stands})
    told, paths = written(book, fields)
    assert (paths, told) == (
        [],
        [
            "2025-03-14: energy stays 3, the file has 2",
            "2025-03-14: hours.actual stays as it is, the file has other hours",
            '2025-03-14: task "Glue": status stays "dropped", the file has "done"',
            '2025-03-14: task "Quote": status stays "done", the file has "carried"',
        ],
    )
    assert page(tmp_path, FRIDAY) == stands


@pytest.mark.parametrize(
    ("saturday", "after"),
    [
        ([{"title": "Glue"}], [{"title": "Glue", "since": FRIDAY, "id": "ID"}]),
        ([{"title": "Sew"}], [{"title": "Sew"}, {"title": "Glue", "status": "open", "since": FRIDAY, "id": "ID"}]),
        ([{"title": "Glue", "since": FRIDAY, "status": "done"}], None),
    ],
)
def test_a_carried_task_without_an_id_gets_one_and_stands_on_the_next_day_once(
    tmp_path: Path, saturday: list[dict[str, Any]], after: list[dict[str, Any]] | None
) -> None:
    book = opened(tmp_path, {FRIDAY: {"tasks": TASKS[:1]}, SATURDAY: {"tasks": saturday}})
    (sheet,) = day_sheet.of(book, FRIDAY)
    fields = read(sheet.layout, "tasks.0 carried")
    assert written(book, fields)[0] == []
    (glue,) = page(tmp_path, FRIDAY)["tasks"]
    assert (glue["status"], glue["since"]) == ("carried", FRIDAY)
    wanted = [row | ({"id": glue["id"]} if "id" in row else {}) for row in after or saturday]
    assert page(tmp_path, SATURDAY)["tasks"] == wanted
    assert written(opened(tmp_path), fields) == ([], [])


def test_a_task_is_never_on_no_page(tmp_path: Path) -> None:
    book = opened(tmp_path, {FRIDAY: {"tasks": TASKS}})
    (sheet,) = day_sheet.of(book, FRIDAY)
    fields = read(sheet.layout, "tasks.1 carried", "tasks.0 done")
    (tmp_path / "2025" / "2025-03-15.toml").write_text("mood = \n", encoding="utf-8")
    book = opened(tmp_path)
    told, paths = written(book, fields)
    assert paths == ["2025/2025-03-14.toml"] and "to carry it to" in told[0] and "Quote" in told[0]
    assert [row["status"] for row in page(tmp_path, FRIDAY)["tasks"]] == ["done", "open"]


def test_an_interrupted_import_is_repeated_to_the_same_pages(tmp_path: Path) -> None:
    book = opened(tmp_path / "whole", {FRIDAY: {"tasks": TASKS[:1]}})
    (sheet,) = day_sheet.of(book, FRIDAY)
    fields = read(sheet.layout, "tasks.0 carried")
    written(book, fields)
    stopped = opened(tmp_path / "stopped", {FRIDAY: {"tasks": TASKS[:1]}})
    values = sheet_import.imported(stopped, "a.jpg", fields)
    plan = planning.plan(stopped.folder, values, stopped.files.basis.known, now=NOW, files=stopped.files)
    apply_plan.write(stopped.folder, plan.pages[:1], now=NOW, files=stopped.files)
    assert page(tmp_path / "stopped", FRIDAY) == {"tasks": TASKS[:1]}
    assert page(tmp_path / "stopped", SATURDAY) == page(tmp_path / "whole", SATURDAY) != {}
    written(opened(tmp_path / "stopped"), fields)
    for day in (FRIDAY, SATURDAY):
        assert page(tmp_path / "stopped", day) == page(tmp_path / "whole", day)


def test_a_task_that_has_left_the_page_is_told(tmp_path: Path) -> None:
    (sheet,) = day_sheet.of(opened(tmp_path, {FRIDAY: {"tasks": TASKS}}), FRIDAY)
    fields = read(sheet.layout, "tasks.0 done")
    book = opened(tmp_path, {FRIDAY: {"tasks": TASKS[1:]}})
    (told,), paths = written(book, fields)
    assert (paths, told) == (
        [],
        (
            'a.jpg: a task of 2025-03-14: expected a task that the page has, got "Glue"; it is left out; it was '
            "moved, reworded or taken off since the sheet was printed"
        ),
    )


def test_half_hours_in_doubt_keep_the_hours_off_the_page(tmp_path: Path) -> None:
    book = opened(tmp_path, {})
    (sheet,) = day_sheet.of(book, FRIDAY)
    twice = read(sheet.layout, "mood 4", *night(0), "hours.actual.shop 00:30")
    doubts = {field.field: field.doubt for field in twice if field.doubt}
    assert doubts == {
        "hours.actual.sleep 00:30": "filled, as it is for shop",
        "hours.actual.shop 00:30": "filled, as it is for sleep",
    }
    (told,), paths = written(book, twice)
    assert told == (
        "a.jpg: hours.actual of 2025-03-14: expected hours that are clear, got sleep 00:30 filled, as it is for shop, "
        "shop 00:30 filled, as it is for sleep; none of its hours are written; read it again and answer, or enter them "
        "on its page"
    )
    assert (paths, page(tmp_path, FRIDAY)) == (["2025/2025-03-14.toml"], {"mood": 4, "asked": False})


def test_a_doubt_is_compared_as_the_page_has_it(tmp_path: Path) -> None:
    book = opened(tmp_path, {FRIDAY: {"hours": {"actual": {"sleep": ["00:00-01:00"]}}}})
    (sheet,) = day_sheet.of(book, FRIDAY)
    fields = read(sheet.layout, "hours.actual.sleep 00:00", unsure=("hours.actual.sleep 00:30",))
    (doubt,) = [one for one in sheet_import.standing(book, fields) if one.read.doubt]
    assert (doubt.read.field, doubt.stands, doubt.is_asked) == ("hours.actual.sleep 00:30", True, False)
    assert written(book, fields) == ([], [])


def test_tasks_that_are_not_known_are_told_by_their_lines(tmp_path: Path) -> None:
    book = opened(tmp_path, {FRIDAY: {"tasks": TASKS}})
    (sheet,) = day_sheet.of(book, FRIDAY)
    unknown = day_layout.of(sheet.plan, day_layout.parts(sheet.plan, None)[0])
    fields = read(unknown, "tasks.2 done")
    assert [field.doubt for field in fields if field.doubt] == ["line 3 is marked, but its task is not known"]
    assert not any(field.is_asked for field in sheet_import.standing(book, fields))
    assert written(book, fields) == ([], [])


def test_a_day_to_come_has_no_hours_and_no_tasks(tmp_path: Path) -> None:
    ahead = dt.date(2025, 3, 20)
    book = opened(tmp_path, {ahead: {"tasks": TASKS}})
    (sheet,) = day_sheet.of(book, ahead)
    told, paths = written(book, read(sheet.layout, *night(0), "tasks.0 done"))
    assert (len(told), paths) == (3, [])


def test_a_box_that_is_printed_filled_says_nothing(tmp_path: Path) -> None:
    book = opened(tmp_path, {FRIDAY: {"tasks": [TASKS[0] | {"status": "done"}]}})
    (sheet,) = day_sheet.of(book, FRIDAY)
    fields = read(sheet.layout, "tasks.0 done")
    assert [field.value for field in fields if field.is_task and field.task and field.task.title == "Glue"] == [None]
