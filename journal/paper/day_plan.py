"""What a day's sheet has boxes for: mood, energy, the half hours of each category, habits, challenges and tasks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from typing import Any

import msgspec
import polars as pl

from journal import Journal
from journal.entry import Entry
from journal.evening import habit_preview, tomorrow
from journal.language.catalogue import _
from journal.paper import month_plan, upcoming
from journal.settings import Scale, Settings
from journal.wording import numbers, rules

MOST_CATEGORIES = 8
"""Most categories with a row of half hours. With more, the tasks of a usual day would have no room."""


class PaperScale(msgspec.Struct, frozen=True, kw_only=True):
    """The boxes of a scale: its whole steps with their labels. A scale with too many steps has none."""

    values: tuple[float, ...] = ()
    labels: tuple[str, ...] = ()


class PaperHabit(msgspec.Struct, frozen=True, kw_only=True):
    """A habit or challenge to mark. `kind` is "due", "any" (of a quota) or "rest"; `detail` is its target or quota.

    `prompt` is that of the challenge. `is_tall` says whether the challenge has prompts, which take a second row.
    """

    field: str
    name: str
    detail: str = ""
    kind: str = "due"
    values: tuple[bool | float, ...] = (True,)
    prompt: str = ""
    is_tall: bool = False


class PaperTask(msgspec.Struct, frozen=True, kw_only=True):
    """A task to print: `id` as on its page, if it has one, and `repeats`, the rule of a routine in words."""

    title: str
    id: str | None = None
    rank: int | None = None
    estimate: float | None = None
    repeats: str = ""
    is_done: bool = False


class TaskLine(msgspec.Struct, frozen=True, kw_only=True):
    """A line for a task: its rank if it is the first of it, and the task, None for one to be written by hand."""

    rank: int | None = None
    task: PaperTask | None = None


class DayPlan(msgspec.Struct, frozen=True, kw_only=True):
    """Everything that decides where the boxes of a day's sheet lie, except its tasks. `categories` are keys."""

    date: dt.date
    mood: PaperScale
    energy: PaperScale
    categories: tuple[str, ...]
    habits: tuple[PaperHabit, ...]
    gratitude_lines: int
    ranks: int


def of(book: Journal, date: dt.date) -> DayPlan:
    """What the sheet of a day has boxes for, by journal.toml, except tasks."""
    settings = book.settings
    return DayPlan(
        date=date,
        mood=scale(settings.mood),
        energy=scale(settings.energy),
        categories=categories(settings),
        habits=(*_habits(book, date), *_challenges(book, date)),
        gratitude_lines=settings.day.gratitude_lines,
        ranks=settings.day.ranked_tasks,
    )


def scale(of_field: Scale) -> PaperScale:
    """The boxes of a scale.

    >>> scale(Scale(low=1, high=3, words=("low", "even", "high")))
    PaperScale(values=(1, 2, 3), labels=('low', 'even', 'high'))
    >>> scale(Scale(low=0, high=100)).values
    ()
    """
    values = month_plan.steps(of_field)
    if len(values) > month_plan.MOST_STEPS:
        return PaperScale()
    return PaperScale(values=values, labels=tuple(of_field.word(value) or numbers.number(value) for value in values))


def categories(settings: Settings) -> tuple[str, ...]:
    """The keys of the categories that have a row: the first of journal.toml, and always sleep.

    >>> from journal.settings import Category
    >>> many = [Category(key=f"c{nth}", name="", sleep=nth == 9) for nth in range(10)]
    >>> categories(Settings(title="Small", places=(), categories=tuple(many)))[5:]
    ('c5', 'c6', 'c9')
    """
    keys = [category.key for category in settings.categories]
    first = keys[:MOST_CATEGORIES]
    if settings.asleep and settings.asleep not in first:
        first[-1] = settings.asleep
    return tuple(first)


def tasks(entry: Entry, settings: Settings, date: dt.date, *, every: bool = False) -> tuple[PaperTask, ...]:
    """The tasks of a page that are open or done, then the routines of the day that are not on it.

    With `every`, carried and dropped ones as well: they were on a sheet that was printed before the day was closed.
    """
    repeats = {routine.title: rules.words(routine.every, routine.start) for routine in settings.routines}
    on_page = [
        PaperTask(
            title=task.title,
            id=task.id,
            rank=task.rank,
            estimate=task.estimate,
            # A routine that is on the page already keeps the words of its rule.
            repeats="" if task.rank else repeats.get(task.title, ""),
            is_done=task.status == "done",
        )
        for task in entry.tasks
        if every or task.status in {"open", "done"}
    ]
    offered = tomorrow.routines(settings, date, {task.title for task in entry.tasks})
    return *on_page, *(PaperTask(title=one.title, estimate=one.estimate, repeats=one.said) for one in offered)


def lines(listed: Iterable[PaperTask], ranks: int) -> tuple[TaskLine, ...]:
    """The lines of tasks: those of each rank, an empty one for a rank that is not chosen yet, then the others.

    >>> [(line.rank, line.task and line.task.title) for line in lines([PaperTask(title="Glue", rank=2)], 2)]
    [(1, None), (2, 'Glue')]
    """
    some = list(listed)
    found = list[TaskLine]()
    for rank in range(1, max([ranks, *(task.rank or 0 for task in some)]) + 1):
        own: list[PaperTask | None] = [task for task in some if task.rank == rank] or [None]
        found += [TaskLine(rank=None if nth else rank, task=task) for nth, task in enumerate(own)]
    return (*found, *(TaskLine(task=task) for task in some if task.rank is None))


def _habits(book: Journal, date: dt.date) -> list[PaperHabit]:
    """The habits due on a day, then the quota habits."""
    rows = upcoming.marks(book, date, date).filter(pl.col("due").fill_null(True))
    return sorted((_habit(row, book.settings, date) for row in rows.iter_rows(named=True)), key=_is_any)


def _habit(row: dict[str, Any], settings: Settings, date: dt.date) -> PaperHabit:
    habit = settings.habit_on(row["habit"], date)
    assert habit is not None  # `upcoming.marks` has rows only for days on which the habit is in force
    return PaperHabit(
        field=f"habits.{habit.key}",
        name=habit.name,
        detail=_("a rest day") if row["rest"] else upcoming.target(row, habit.unit),
        kind="rest" if row["rest"] else "any" if row["per"] is not None else "due",
        values=month_plan.values_of(habit),
    )


def _is_any(habit: PaperHabit) -> bool:
    return habit.kind == "any"


def _challenges(book: Journal, date: dt.date) -> Iterator[PaperHabit]:
    """The challenges of a day: the name with the number of the day, and the prompt."""
    prompted = {challenge.key for challenge in book.settings.challenges if challenge.prompts}
    for offer in habit_preview.challenges(book.settings, book.tables.ticks, date, {}):
        yield PaperHabit(
            field=f"challenges.{offer.key}",
            name=_("{name}, {number} of {days}", name=offer.name, number=offer.number, days=offer.days),
            prompt=offer.prompt or "",
            is_tall=offer.key in prompted,
        )
