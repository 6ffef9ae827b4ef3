"""The places of a day's sheet: a row of half hours a category, a line a task, a row a habit, a box a step of mood.

Lengths are millimetres from the upper left of the sheet. Nothing here depends on the width of a text. What does not fit
the first sheet of a day is on further parts, which have tasks and habits only. No box but those of tasks depends on
the tasks, so a sheet can be read though its tasks are not known.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from journal.paper import half_hours, layout, month_plan, sheet_code
from journal.paper.day_plan import DayPlan, PaperHabit, TaskLine
from journal.paper.layout import SIDE, PaperBox, SheetLayout

LEFT, RIGHT = 19.5, 136.8
MIDDLE = 84.0
"""Right edge of the column of tasks."""
HABITS_LEFT = 89.0

HOURS_TOP = 40.5
HOURS_ROW = 3.8
HOURS_LEFT = 40.8
HALF_HOUR = 2.0
HALF_HOURS = 48
HOUR_BOX = (1.55, 2.4)
"""A half hour that a line is drawn through: no half and no stroke is told apart in it, so it may be small."""

UNDER_HOURS = 8.6  # appointments as bars, and the hours in numbers
HEADING = 5.0
TASK_ROW = 8.0  # distance of lines for handwriting (common practice, no source)
HABIT_ROW = 5.9
DONE_LEFT, CARRIED_LEFT = 72.3, MIDDLE - SIDE

LINES_BOTTOM = 176.0
LINE = 8.0
REMEMBER_LINES = 2
LABEL = 26.0
"""Width of the place for the label of a line. What is dark right of it was written by hand."""
MOST_LINES = 4
"""Most good things on the sheet itself; lines for more follow on another page."""
SCALES_TOP = 180.8
SCALE_ROW = 5.4
STEPS_LEFT = 36.0

MORE_TOP, MORE_BOTTOM = 27.0, 187.0
"""The columns of further parts."""

_TASK_BITS = 4
DEFINITION_MASK = (1 << sheet_code.PIECE_BITS) - (1 << _TASK_BITS)
"""The bits of each quarter of the digest that are of journal.toml; the others are of the tasks."""


class DayColumns(NamedTuple):
    """Upper and lower edge of the columns of tasks and habits of a part."""

    top: float
    bottom: float

    @property
    def task_rows(self) -> int:
        return int((self.bottom - self.top - HEADING) / TASK_ROW + 1e-6)

    @property
    def habit_rows(self) -> int:
        return int((self.bottom - self.top - HEADING) / HABIT_ROW + 1e-6)


class DayPart(NamedTuple):
    """The tasks and habits of a part of a day's sheet. `lines` is None if the tasks are not known."""

    number: int
    columns: DayColumns
    lines: tuple[TaskLine, ...] | None
    habits: tuple[PaperHabit, ...]


def parts(plan: DayPlan, lines: Sequence[TaskLine] | None) -> list[DayPart]:
    """The parts of a day's sheet: at most as many as a code can number. Tasks beyond them are left out."""
    habits = _habits_by_part(plan)
    found = list[DayPart]()
    left = list(lines or ())
    while not found or left or len(found) < len(habits) or lines is None:
        columns = columns_of(plan, len(found))
        own = None if lines is None else tuple(left[: columns.task_rows])
        left = left[columns.task_rows :]
        found.append(DayPart(len(found), columns, own, habits[len(found)] if len(found) < len(habits) else ()))
        if len(found) == sheet_code.MOST_PARTS:
            break
    return found


def of(plan: DayPlan, part: DayPart) -> SheetLayout:
    """The layout of a part. Its `tasks` are those with boxes: the task of the fields "tasks.N" is the Nth of them."""
    lines = part.lines
    known = [f"day {sheet_code.VERSION} {part.number}"]
    boxes = [*_tasks(plan, part), *_habits(plan, part)]
    if part.number == 0:
        boxes = [*_hours(plan), *boxes, *_scales(plan)]
        known += [
            f"hours {','.join(plan.categories)}",
            *(f"{name} {_said(one.values)}" for name, one in (("mood", plan.mood), ("energy", plan.energy))),
        ]
    known.append(f"columns {part.columns.top:.1f} {part.columns.bottom:.1f}")
    known += [f"{habit.field} {_said(habit.values)} {habit.is_tall}" for habit in part.habits]
    return SheetLayout(
        kind="day",
        first=plan.date,
        part=part.number,
        digest=_digest(known, lines or ()),
        boxes=tuple(boxes),
        lines=0 if part.number else line_count(plan),
        tasks=None if lines is None else tuple(line.task for line in lines if line.task is not None),
    )


def columns_of(plan: DayPlan, number: int) -> DayColumns:
    """The edges of the columns of a part.

    >>> import datetime as dt
    >>> from journal.paper.day_plan import PaperScale
    >>> five = PaperScale(values=(1, 2, 3, 4, 5))
    >>> plan = DayPlan(date=dt.date(2025, 3, 14), mood=five, energy=five, categories=("sleep",) * 7, habits=(),
    ...                gratitude_lines=2, ranks=3)
    >>> columns_of(plan, 0).task_rows, columns_of(plan, 0).habit_rows, columns_of(plan, 1).task_rows
    (7, 10, 19)
    """
    if number:
        return DayColumns(MORE_TOP, MORE_BOTTOM)
    top = HOURS_TOP + len(plan.categories) * HOURS_ROW + UNDER_HOURS
    return DayColumns(round(top, 3), LINES_BOTTOM - line_count(plan) * LINE - 2)


def line_count(plan: DayPlan) -> int:
    """The lines to write on: those for good things, and those to remember."""
    return min(plan.gratitude_lines, MOST_LINES) + REMEMBER_LINES


def step_lefts(count: int) -> list[float]:
    """The left edge of the box of each step of a scale, evenly spread."""
    return [round(STEPS_LEFT + nth * (RIGHT - STEPS_LEFT) / max(1, count), 3) for nth in range(count)]


def box_lefts(habit: PaperHabit) -> list[float]:
    """The left edge of each box of a habit. Boxes with longer numbers over them are further apart."""
    longest = max(map(len, month_plan.labels(habit.values)), default=0)
    pitch = 3.9 if longest <= 2 else 5.6 if longest <= 4 else 7.6
    count = len(habit.values)
    return [round(RIGHT - SIDE - (count - 1 - nth) * pitch, 3) for nth in range(count)]


def habit_tops(part: DayPart) -> list[float]:
    """The upper edge of the row of each habit."""
    tops, y = list[float](), part.columns.top + HEADING
    for habit in part.habits:
        tops.append(round(y, 3))
        y += HABIT_ROW * _rows(habit)
    return tops


def task_top(part: DayPart, row: int) -> float:
    """The upper edge of a line for a task."""
    return round(part.columns.top + HEADING + row * TASK_ROW, 3)


def _habits_by_part(plan: DayPlan) -> list[tuple[PaperHabit, ...]]:
    found, left = list[list[PaperHabit]]([[]]), columns_of(plan, 0).habit_rows
    for habit in plan.habits:
        if _rows(habit) > left:
            found.append([])
            left = columns_of(plan, 1).habit_rows
        found[-1].append(habit)
        left -= _rows(habit)
    return [tuple(own) for own in found]


def _rows(habit: PaperHabit) -> int:
    return 2 if habit.is_tall else 1


def _hours(plan: DayPlan) -> Iterator[PaperBox]:
    """The half hours: the field names the category and the start."""
    width, height = HOUR_BOX
    for row, key in enumerate(plan.categories):
        for nth in range(HALF_HOURS):
            yield PaperBox(
                field=half_hours.field(key, nth * half_hours.MINUTES),
                date=plan.date,
                value=True,
                x=round(HOURS_LEFT + nth * HALF_HOUR + (HALF_HOUR - width) / 2, 3),
                y=round(HOURS_TOP + row * HOURS_ROW, 3),
                kind="hour",
                width=width,
                height=height,
            )


def _tasks(plan: DayPlan, part: DayPart) -> Iterator[PaperBox]:
    """Two boxes a task, done and carried. If the tasks are not known, any line may have had some."""
    lines = [TaskLine()] * part.columns.task_rows if part.lines is None else part.lines
    number = 0
    for row, line in enumerate(lines):
        if line.task is None and part.lines is not None:
            continue
        y = round(task_top(part, row) + TASK_ROW - SIDE - 1.4, 3)
        is_done = line.task is not None and line.task.is_done
        for word, x, kind in (("done", DONE_LEFT, "done" if is_done else "due"), ("carried", CARRIED_LEFT, "due")):
            yield PaperBox(field=f"tasks.{number} {word}", date=plan.date, value=True, x=x, y=y, kind=kind)
        number += 1


def _habits(plan: DayPlan, part: DayPart) -> Iterator[PaperBox]:
    for habit, top in zip(part.habits, habit_tops(part), strict=True):
        for value, x in zip(habit.values, box_lefts(habit), strict=True):
            yield PaperBox(field=habit.field, date=plan.date, value=value, x=x, y=round(top + 2.3, 3), kind=habit.kind)


def _scales(plan: DayPlan) -> Iterator[PaperBox]:
    for row, (field, steps) in enumerate((("mood", plan.mood), ("energy", plan.energy))):
        for value, x in zip(steps.values, step_lefts(len(steps.values)), strict=True):
            yield PaperBox(field=field, date=plan.date, value=value, x=x, y=round(SCALES_TOP + row * SCALE_ROW, 3))


def _said(values: Sequence[bool | float]) -> str:
    return ",".join(map(str, values))


def _digest(known: list[str], lines: Sequence[TaskLine]) -> int:
    """The digest: in each quarter five bits of the definitions, and four of the lines and titles of the tasks."""
    titles = [f"{row} {line.task.title}" for row, line in enumerate(lines) if line.task is not None]
    definitions, tasks = layout.digest(known), layout.digest(titles)
    return (definitions & layout.in_each_piece(DEFINITION_MASK)) | (tasks & layout.in_each_piece((1 << _TASK_BITS) - 1))
