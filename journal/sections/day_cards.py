"""Mood and energy, tasks, appointments and logged days as HTML. Frames in, `Html` out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import polars as pl

from journal.language.catalogue import N_, _, _n
from journal.measures import coverage, mood
from journal.periods import Period
from journal.sections.cards import empty, lines, table
from journal.sections.escape import Html, join, tag
from journal.sections.page_chapters import PageChapter, told
from journal.settings import Settings
from journal.wording import dates, entries, numbers

if TYPE_CHECKING:
    from journal import Journal

_ENDS = (
    ("done", N_("Done, {count}"), N_("{count} done")),
    ("carried", N_("Carried, {count}"), N_("{count} carried on")),
    ("open", N_("Still open, {count}"), N_("{count} still open")),
    ("dropped", N_("Dropped, {count}"), N_("{count} dropped")),
)
"""The ends of a task, each with its heading and its words in a sentence."""


def energy(moods: pl.DataFrame, energies: pl.DataFrame, settings: Settings) -> Html:
    """Energy of a period in a sentence, and after low mood a quiet note. In: a row of `mood.summary` for each."""
    said = [tag("p", entries.felt(row, "energy")) for row in energies.head(1).iter_rows(named=True)]
    scale = settings.mood
    low = any(mood.is_low(row, scale.low, scale.high) for row in moods.head(1).iter_rows(named=True))
    quiet = tag("p", _(entries.NO_DIAGNOSIS), class_="quiet small") if low else None
    return join([*said, quiet]) if said else empty(_("No energy was noted."))


def tasks(week: pl.DataFrame) -> Html:
    """Tasks that were done, carried, still open or dropped, each once with its last status. In: rows of `Tables.tasks`.

    An open task that was carried before counts as carried. Any other open task, e.g. of a future day, is still open.
    """
    if week.is_empty():
        return empty(_("No tasks were written for this week."))
    last = _ends(week)
    parts = []
    for end, heading, _words in _ENDS:
        rows = last.filter(pl.col("end") == end)
        if rows.is_empty() and end == "open":
            continue  # past weeks rarely have one, so an empty group would be noise
        parts.append(tag("h3", _(heading, count=rows.height)))
        parts.append(lines(map(_task, rows.iter_rows(named=True)), nothing=_("None."), kind="stacked"))
    return join(parts)


def task_counts(week: pl.DataFrame) -> str:
    """How the tasks of a week ended, in a sentence; empty without a task. In: rows of `Tables.tasks`."""
    if week.is_empty():
        return ""
    ends = _ends(week).get_column("end")
    counts = [_(words, count=count) for end, _heading, words in _ENDS if (count := (ends == end).sum())]
    return _n("{count} task: {ends}", "{count} tasks: {ends}", ends.len(), ends=numbers.listed(counts))


def _ends(week: pl.DataFrame) -> pl.DataFrame:
    """The last row of each task of a week, with its `end`, ranked tasks first."""
    # A carried task keeps its id even if it is reworded. A task that was never carried has only a title.
    return (
        week.with_columns(chain=pl.col("id").fill_null(pl.col("title")))
        .sort("date", "position")
        .group_by("chain", maintain_order=True)
        .agg(pl.all().last(), (pl.col("status") == "carried").sum().alias("carries"))
        .with_columns(
            end=pl.when(pl.col("carries") > 0, pl.col("status") == "open").then(pl.lit("carried")).otherwise("status")
        )
        .sort(pl.col("rank"), nulls_last=True, maintain_order=True)
    )


def _task(row: dict[str, Any]) -> tuple[str, str]:
    return row["title"], entries.task(row)


def appointments(rows: pl.DataFrame, settings: Settings) -> Html:
    """Appointments by day and time. In: rows of `Tables.appointments`."""
    items = []
    ordered = rows.sort("date", "start_minute", nulls_last=False)
    for row in ordered.iter_rows(named=True):
        items.append((row["title"], f"{dates.day(row['date'])}, {_times(row, settings)}"))
    return lines(items, nothing=_("No appointments were written for this week."))


def _times(row: dict[str, Any], settings: Settings) -> str:
    span = [dates.clock(row[end], settings.clock) for end in ("start_minute", "end_minute") if row[end] is not None]
    if len(span) < 2:
        return span[0] if span else _("all day")
    return _("{start} to {end}", start=span[0], end=span[1])


def appointment_chapter(book: Journal, week: Period) -> PageChapter:
    """The chapter of a week's appointments."""
    rows = book.tables.appointments.filter(pl.col("date").is_between(week.first, week.last))
    said = _("No appointment was written")
    if rows.height:
        days = _n("on {count} day", "on {count} days", rows.get_column("date").n_unique())
        said = _n("{count} appointment {days}", "{count} appointments {days}", rows.height, days=days)
    return told("appointments", _("Appointments"), said, lambda: appointments(rows, book.settings))


def logged_chapter(book: Journal, year: Period) -> PageChapter:
    """The chapter of a year's logged days, by month."""
    lived, starts = book.lived_in(year), book.settings.week_starts
    said = days_logged(coverage.coverage(lived, week_starts=starts)).rstrip(".") or _("No day has come yet")

    def inside() -> Html:
        return months_logged(coverage.coverage(lived, by="month", week_starts=starts))

    return told("logged", _("Days logged"), said, inside)


def categories(settings: Settings) -> dict[str, tuple[str, str]]:
    """The name and colour of each category of hours, by key."""
    return {category.key: (category.name, settings.colour(category.key)) for category in settings.categories}


def days_logged(coverage: pl.DataFrame) -> str:
    """The number of logged days in a sentence. In: `coverage.coverage` of one period."""
    said = next(map(entries.logged, coverage.iter_rows(named=True)), "")
    return f"{said[0].upper()}{said[1:]}." if said else ""


def months_logged(coverage: pl.DataFrame) -> Html:
    """A table of logged days by month. In: `coverage.coverage` by month."""
    rows = [
        (dates.month_name(row["from"].month), numbers.of(row["logged"], row["days"]), row["longest_gap"])
        for row in coverage.iter_rows(named=True)
    ]
    head = (_("Month"), _("Days logged"), _("Longest gap, days"))
    return table(_("Days logged by month"), head, rows, kind="numbers")
