"""Whether the next day has room for its tasks, as the form shows it: of an offer, and of what is entered so far.

`capacity` has the estimate, `tomorrow` the room. This module reads the entered values and puts both together.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import polars as pl

from journal.entry import Entry, Span
from journal.evening import capacity, tomorrow
from journal.evening.capacity import Fit
from journal.evening.form_schema import FitOffer, TomorrowOffer
from journal.language.catalogue import _
from journal.measures import tasks as task_measures
from journal.saving import base_pages

if TYPE_CHECKING:
    from journal import Journal


def fit(book: Journal, day: dt.date, asked: Mapping[str, Any]) -> FitOffer:
    """Return whether the day that the evening of `day` opens has time for its planned tasks.

    `asked` has "tasks", each with a title and an estimate or null, or only "estimates"; "planned", a strip; and
    "appointments", the typed ones, with start and end: those of the calendars are added here. Invalid values are
    skipped: saving reports them.
    """
    tasks = asked.get("tasks")
    if not isinstance(tasks, list):
        tasks = [{"title": "", "estimate": estimate} for estimate in _listed(asked.get("estimates"))]
    rows = [(_title(task.get("title")), _minutes(task.get("estimate"))) for task in tasks if isinstance(task, dict)]
    planned = asked.get("planned")
    spans = {
        str(key): [span for text in texts if (span := _span(text)) is not None]
        for key, texts in (planned.items() if isinstance(planned, dict) else ())
        if isinstance(texts, list)
    }
    set_times = [
        tomorrow.Timed(str(appointment.get("title") or _("An appointment")), *span)
        for appointment in _listed(asked.get("appointments"))
        if isinstance(appointment, dict)
        and appointment.get("from") != "calendar"
        and (span := _span(f"{appointment.get('start')}-{appointment.get('end')}")) is not None
    ]
    date = base_pages.next_day(day, book.today)
    calendar, _other = tomorrow.calendar_of(book, date)
    set_times += tomorrow.timed(tomorrow.appointments(Entry(), calendar, date))
    return of_day(book, date, rows, spans, set_times)


def _listed(value: object) -> list[Any]:
    return value if isinstance(value, list) else []


def _title(value: object) -> str:
    """Return a title to compare with others. Half a character, which a page may send, is like no other."""
    return str(value or "").encode("utf-8", "replace").decode("utf-8")


def _minutes(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) and value > 0 else None


def _span(text: object) -> Span | None:
    try:
        return Span.parse(str(text))
    except ValueError:
        return None


def of_offer(book: Journal, date: dt.date, following: TomorrowOffer) -> FitOffer:
    """Return whether the next day has room for its tasks as offered, before anything is entered."""
    rows = [(task.title, task.estimate) for task in following.tasks if task.status == "open"]
    spans = {key: [Span.parse(text) for text in texts] for key, texts in following.planned.items()}
    return of_day(book, date, rows, spans, tomorrow.timed(following.appointments))


def of_day(
    book: Journal,
    date: dt.date,
    rows: Sequence[tuple[str, float | None]],
    planned: tomorrow.SpansByCategory,
    set_times: Sequence[tomorrow.Timed],
) -> FitOffer:
    """Return whether a day has room for tasks, each with its title and its estimate or None."""
    lives = book.task_frames.past_lives_on(date - base_pages.DAY)
    room = tomorrow.room(planned, set_times, set(book.settings.working))
    result = of_tasks(rows, lives, task_measures.ratios(lives), room.open)
    usual = capacity.usual(book.tables.tasks, day=date)
    return FitOffer(
        sentence=capacity.sentence(result, room.work),
        detail=capacity.detail(result, usual, date, work_minutes=room.work),
        planned=result.planned,
        expected=result.expected,
        low=result.low,
        high=result.high,
        open=room.open,
        work=room.work,
        room=room.both,
        overlaps=tomorrow.overlaps(set_times, planned, book.settings),
    )


def of_tasks(
    rows: Sequence[tuple[str, float | None]], lives: pl.DataFrame, ratios: pl.DataFrame, open_minutes: int
) -> Fit:
    """Compare tasks, each with its title and its estimate or None, with open time. `lives` give missing estimates."""
    tasks = pl.DataFrame(rows, schema={"title": pl.String, "estimate": pl.Float64}, orient="row")
    filled = capacity.filled_in(tasks, lives)
    from_like = filled.filter(pl.col("like").is_in(["same", "any"])).height
    estimates = filled.get_column("minutes").to_list()
    return capacity.fit(estimates, ratios, open_minutes=open_minutes, filled=from_like)
