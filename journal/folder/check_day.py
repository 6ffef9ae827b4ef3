"""Checks of a page that types cannot make: unknown names, numbers outside their scale, contradictory days and hours.

Each check returns a list of faults, empty for a valid page. Checks are fast enough to run on every page.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Collection, Iterable, Mapping
from itertools import chain, pairwise
from typing import Any

from journal.entry import (
    DAY_FIELDS,
    MINUTES_A_DAY,
    Appointment,
    Entry,
    Mark,
    Review,
    Span,
    Task,
    Tick,
    Undated,
    UndatedTask,
    clock_text,
)
from journal.fields import Field
from journal.folder import check_pictures
from journal.folder.faults import ABOVE, Fault, Key, chosen, quoted, value_words
from journal.folder.page_names import NAMES_OF, Known
from journal.language.lazy_text import L_, L_p

_CHECKED = tuple(field for field in DAY_FIELDS if field.is_number or field.keys)


def entry(page: Entry, day: dt.date, known: Known) -> list[Fault]:
    """Return the faults of a day's page."""
    faults: list[Fault] = []
    for field in _CHECKED:
        value = field.value(page)
        if value is not None:
            faults += _field(field, value, known)
    if page.weather is not None:
        faults += _weather(page.weather.high, page.weather.low)
    if page.habits:
        faults += _marks(page.habits, day, known)
    if page.challenges:
        faults += _ticks(page.challenges, day, known)
    for layer, strip in (("planned", page.hours.planned), ("actual", page.hours.actual)):
        if strip:
            faults += hours(strip, ("hours", layer), known.categories)
    for i, appointment in enumerate(page.appointments):
        faults += _appointment(appointment, ("appointments", i))
    if page.tasks:
        faults += _tasks(page.tasks, day, known.ranks)
    if page.pictures or page.captions:
        faults += check_pictures.of_day(page.pictures, page.captions)
    return faults


def review(page: Review, kind: str, known: Known) -> list[Fault]:
    """Return the faults of a week's, month's or year's page."""
    decided = [name for name in ("decisions", "decision_dates") if getattr(page, name)]
    if decided and kind != "month":
        return [
            Fault(
                where=(decided[0],),
                expected=L_("decisions on the page of a month"),
                got=L_("some on that of a week") if kind == "week" else L_("some on that of a year"),
                remedy=L_("move them to the page of a month, e.g. 2025-03.toml"),
                at_key=True,
            )
        ]
    if known.habits is None:
        return []
    return [
        _unknown((name, key), key, "habits", known.habits)
        for name in decided
        for key in getattr(page, name)
        if key not in known.habits
    ]


def undated(page: Undated) -> list[Fault]:
    """Return the faults of undated.toml."""
    faults: list[Fault] = []
    by_id: dict[str, Task | UndatedTask] = {}
    for i, task in enumerate(page.tasks):
        faults += minutes(task.estimate, ("tasks", i, "estimate"))
        faults += _own_id(task, by_id, ("tasks", i, "id"))
    return faults


def hours(strip: Mapping[str, tuple[Span, ...]], where: Key, categories: Collection[str] | None) -> list[Fault]:
    """Return the faults of one strip of a day: unknown categories and overlapping spans."""
    faults = []
    if categories is not None and not strip.keys() <= categories:  # type: ignore[operator]
        faults = [_unknown((*where, key), key, "categories", categories) for key in strip if key not in categories]
    spans = sorted(chain.from_iterable(strip.values()))
    if all(span[1] <= later[0] for span, later in pairwise(spans)):
        return faults
    spans_by_start = sorted((span, key, i) for key, key_spans in strip.items() for i, span in enumerate(key_spans))
    last_end, last_key, last_i = 0, "", 0
    for (start, end), key, i in spans_by_start:
        if start < last_end:
            last_span = strip[last_key][last_i]
            faults.append(
                Fault(
                    where=(*where, key, i),
                    expected=L_("hours that are not taken yet (from {time} on)", time=clock_text(last_end)),
                    got=L_(
                        "{span} beside {other} of {name}",
                        span=quoted(_span_text(Span(start, end))),
                        other=quoted(_span_text(last_span)),
                        name=last_key,
                    ),
                    remedy=L_("let one of them give way"),
                )
            )
        elif end > last_end:
            last_end, last_key, last_i = end, key, i
    return faults


def _field(field: Field, value: Any, known: Known) -> list[Fault]:
    """Return the faults of a field that has a value: outside its scale or bounds, or an unknown name."""
    if field.keys:
        names = known.places  # the only block that a field refers to
        if names is None or value in names:
            return []
        return [_unknown(field.path, value, field.keys, names, at_key=False)]
    if field.scale:
        scale = known.scales.get(field.scale)
        if scale is None or scale.low <= value <= scale.high:
            return []
        expected = L_("a number from {low} to {high}", low=scale.low, high=scale.high)
        remedy = L_("write one in between, or change [{scale}] in journal.toml", scale=field.scale)
    elif field.holds(value):
        return []
    else:
        expected, remedy = field.expected(), L_("write e.g. {example}", example=field.sample())
    return [Fault(where=field.path, expected=expected, got=value_words(value), remedy=remedy)]


def _weather(high: float | None, low: float | None) -> list[Fault]:
    if high is None or low is None or not high < low:
        return []
    expected, remedy = L_("at least the low of {low}", low=low), L_("swap the two if they were mixed up")
    return [Fault(where=("weather", "high"), expected=expected, got=value_words(high), remedy=remedy, drop=())]


def _marks(marks: Mapping[str, Mark], day: dt.date, known: Known) -> list[Fault]:
    if known.habits is None:
        return []
    faults = []
    for key, mark in marks.items():
        spans = known.habits.get(key)
        if spans is None:
            faults.append(_unknown(("habits", key), key, "habits", known.habits))
            continue
        counted = False
        for span in spans:
            if span.first <= day <= span.last:
                counted = span.counted
                break
        else:
            if spans:
                faults.append(_out_of_force(("habits", key), day, spans[0].first, spans[-1].last))
                continue
        if mark is True or mark is False or mark == "rest":
            continue
        if not counted and spans:
            expected = L_('true, false or "rest" (it has no target)')
            remedy = L_("write true or false, or give the habit a target in journal.toml")
            faults.append(Fault(where=("habits", key), expected=expected, got=value_words(mark), remedy=remedy))
        elif not 0 <= mark < math.inf:
            expected, remedy = L_("a number from 0 up"), L_("write how many, e.g. 20")
            faults.append(Fault(where=("habits", key), expected=expected, got=value_words(mark), remedy=remedy))
    return faults


def _out_of_force(where: Key, day: dt.date, first: dt.date, last: dt.date) -> Fault:
    expected = L_("a day on which it holds (from {first})", first=str(first))
    if last != dt.date.max:
        expected = L_("a day on which it holds (from {first} to {last})", first=str(first), last=str(last))
    return Fault(
        where=where,
        expected=expected,
        got=str(day),
        remedy=L_('take it out, or change "from" or "until" in journal.toml'),
        at_key=True,
        drop=(),
    )


def _ticks(ticks: Mapping[str, Tick], day: dt.date, known: Known) -> list[Fault]:
    if known.challenges is None:
        return []
    faults = []
    for key, tick in ticks.items():
        spans = known.challenges.get(key)
        if spans is None:
            faults.append(_unknown(("challenges", key), key, "challenges", known.challenges))
        elif spans and not spans[0].first <= day <= spans[0].last:
            faults.append(_out_of_force(("challenges", key), day, spans[0].first, spans[0].last))
        if not isinstance(tick, bool) and tick <= day:
            expected, remedy = L_("a day after {day}, on which it was caught up on", day=str(day)), L_("write true")
            faults.append(Fault(where=("challenges", key), expected=expected, got=str(tick), remedy=remedy))
    return faults


def _appointment(appointment: Appointment, where: Key) -> list[Fault]:
    start, end = appointment.start, appointment.end
    if start is None:
        if end is None:
            return []
        lone, remedy = L_("only an end at {time}", time=quoted(clock_text(end))), L_('add e.g. start = "08:30"')
        return [Fault(where=(*where, "end"), expected=L_("a start too"), got=lone, remedy=remedy)]
    if start == MINUTES_A_DAY:
        expected, remedy = L_("a start before 24:00"), L_('write it on the next day as "00:00"')
        return [Fault(where=(*where, "start"), expected=expected, got='"24:00"', remedy=remedy)]
    if end is not None and end <= start:
        remedy = L_('give the later one, at most "24:00"')
        expected, got = L_("an end after {time}", time=clock_text(start)), quoted(clock_text(end))
        return [Fault(where=(*where, "end"), expected=expected, got=got, remedy=remedy)]
    return []


def _tasks(tasks: Iterable[Task], day: dt.date, ranks: int) -> list[Fault]:
    faults: list[Fault] = []
    by_rank: dict[int, Task] = {}
    by_id: dict[str, Task | UndatedTask] = {}
    for i, task in enumerate(tasks):
        if task.estimate is not None and not 0 < task.estimate < math.inf:
            faults += minutes(task.estimate, ("tasks", i, "estimate"))
        if task.took is not None and not 0 < task.took < math.inf:
            faults += minutes(task.took, ("tasks", i, "took"))
        if task.since is not None and task.since > day:
            remedy = L_("write the day it first stood on")
            expected = L_("a day up to {day}, the day of the page", day=str(day))
            faults.append(Fault(where=("tasks", i, "since"), expected=expected, got=str(task.since), remedy=remedy))
        if task.rank is not None and not (1 <= task.rank <= ranks and by_rank.setdefault(task.rank, task) is task):
            faults += _rank(task, task.rank, by_rank, ranks, ("tasks", i, "rank"))
        if task.id is not None and by_id.setdefault(task.id, task) is not task:
            faults += _own_id(task, by_id, ("tasks", i, "id"))
    return faults


def _rank(task: Task, rank: int, by_rank: dict[int, Task], ranks: int, where: Key) -> list[Fault]:
    if not 1 <= rank <= ranks:
        expected = L_("a rank from {low} to {high}", low=1, high=ranks)
        remedy = L_("leave it out for a task that is not ranked")
    elif (holder := by_rank.setdefault(rank, task)) is not task:
        expected = L_("a rank that no other task has ({name} has it)", name=quoted(holder.title))
        remedy = L_p("a rank", "give one of them another")
    else:
        return []
    return [Fault(where=where, expected=expected, got=value_words(rank), remedy=remedy)]


def _own_id(task: Task | UndatedTask, by_id: dict[str, Task | UndatedTask], where: Key) -> list[Fault]:
    if task.id is None or (holder := by_id.setdefault(task.id, task)) is task:
        return []
    expected = L_("an id that no other task has ({name} has it)", name=quoted(holder.title))
    remedy = L_("take it out; Duskbook gives a task its id when it first carries it")
    return [Fault(where=where, expected=expected, got=quoted(task.id), remedy=remedy)]


def minutes(value: float | None, where: Key) -> list[Fault]:
    """Return the faults of a duration in minutes."""
    if value is None or 0 < value < math.inf:
        return []
    expected, remedy = L_("minutes, more than 0"), L_("write e.g. 45, or leave it out")
    return [Fault(where=where, expected=expected, got=value_words(value), remedy=remedy)]


def _unknown(where: Key, name: str, block: str, known: Iterable[str], *, at_key: bool = True) -> Fault:
    """Return the fault of a name that a block of journal.toml does not have."""
    remedy = chosen(name, known, L_("write one that is there, or add a [[{block}]] to journal.toml", block=block))
    if at_key and name in Entry.__struct_fields__:
        remedy = ABOVE
    return Fault(where=where, expected=NAMES_OF[block], got=quoted(name), remedy=remedy, at_key=at_key)


def _span_text(span: Span) -> str:
    return f"{clock_text(span.start_minute)}-{clock_text(span.end_minute)}"
