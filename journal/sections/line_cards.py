"""What was written, to read again: gratitude, memories, notes, reflections and decisions. Frames in, `Html` out."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from journal.measures import distinctive_words
from journal.periods import Period
from journal.sections.cards import answers, by_day, card, dated, empty, lines
from journal.sections.escape import Html, join, tag
from journal.settings import Settings
from journal.wording import dates, numbers

_LABELS = {"memory": "To remember", "note": "Note"}

FREQUENT_Z, FREQUENT_DAYS, MOST_WORDS = 1.96, 3, 8
"""A word is told from the z of a two-sided 5 % on (of each by itself) and on three days or more: our choice, since of
some hundred words a few lie beyond that z by chance, and most of those are written twice or so."""


def to_read_again(written: pl.DataFrame, *, nothing: str, year: bool = False) -> Html:
    """Lines under their days, with the year where these are of others. In: `lines.lines`, cut to what is meant."""
    days = [
        (date, [line(row["kind"], row["text"]) for row in group.iter_rows(named=True)])
        for (date,), group in written.group_by("date", maintain_order=True)
    ]
    return by_day(days, nothing=nothing, year=year)


def memories(written: pl.DataFrame, *, nothing: str) -> Html:
    """The memories of a month, each led by its day. In: `lines.lines` of one month and kind."""
    return tag("div", dated(_led_by_day(written), nothing=nothing), class_="spread")


def memories_by_month(written: pl.DataFrame, *, nothing: str) -> Html:
    """Memories under their months, the first of them open, each led by its day.

    In: `lines.lines` of one year and kind.
    """
    if written.is_empty():
        return empty(nothing)
    parts: list[Html] = []
    for (month,), group in written.group_by(pl.col("date").dt.month(), maintain_order=True):
        heading = f"{dates.MONTH_NAMES[int(str(month)) - 1]}, {numbers.plural(group.height, 'memory', 'memories')}"
        inside = tag("div", dated(_led_by_day(group), nothing=""), class_="spread")
        parts.append(tag("details", tag("summary", heading), inside, open=not parts))
    return tag("div", *parts, class_="months")


def _led_by_day(written: pl.DataFrame) -> list[tuple[str, str]]:
    return [(dates.day_of_month(row["date"]), row["text"]) for row in written.iter_rows(named=True)]


def line(kind: str, text: object) -> Html:
    """One line, led by a word on what it is where that is not plain."""
    label = tag("span", f"{_LABELS[kind]} ", class_="label") if kind in _LABELS else None
    return tag("span", label, text, class_=f"line {kind}")


def reflection(reflections: pl.DataFrame, period: Period, prompts: Sequence[str]) -> Html:
    """The reflection of a week, month or year; where none is written, its prompts, unanswered.

    In: `Tables.reflections`.
    """
    here = reflections.filter(kind=period.kind, period=period.key).sort("position")
    if here.is_empty():
        below = f"Nothing is written for this {period.kind} yet. The page would be {page_path(period)}."
        asked = [tag("li", prompt) for prompt in prompts]
        return join([tag("p", below, class_="quiet"), tag("ul", *asked, class_="prompts") if asked else None])
    return answers(here.select("prompt", "answer").iter_rows(), nothing="")


def page_path(period: Period) -> str:
    """Where the page of a week, month or year is, from the journal's folder on.

    >>> from journal.periods import parse
    >>> [page_path(parse(name, week_starts="monday")) for name in ("2025-W11", "2025")]
    ['2025/2025-W11.toml', '2025/2025.toml']
    """
    return f"{period.key[:4]}/{period.key}.toml"


def decisions(decided: pl.DataFrame, period: Period, settings: Settings) -> Html:
    """A card with what becomes of each habit, nothing where nothing is decided. In: `Tables.decisions`."""
    here = decided.filter(period=period.key)
    rows = [(settings.habit_name(row["habit"]), row["decision"]) for row in here.iter_rows(named=True)]
    return card("Decided", lines(rows, nothing=""), note="What becomes of each habit.") if rows else Html("")


def words_of(recorded: pl.DataFrame, period: Period, settings: Settings) -> Html:
    """A card of the words that a period has more often than the days before it, nothing where there are none.

    In: `Tables.lines`. What was written after the period is not looked at.
    """
    until = recorded.filter(pl.col("date") <= period.last)
    told = distinctive_words.compared(until, first=period.first, last=period.last, leave_out=settings.lines.stop_words)
    often = told.filter(pl.col("z") >= FREQUENT_Z, pl.col("days") >= FREQUENT_DAYS).head(MOST_WORDS)
    if often.is_empty():
        return Html("")
    rows = [
        (
            row["word"],
            f"{numbers.plural(row['count'], 'time')} on {numbers.plural(row['days'], 'day')}, "
            + ("new" if row["new"] else f"{numbers.plural(row['rest'], 'time')} before"),
        )
        for row in often.iter_rows(named=True)
    ]
    note = "More frequent here than on all days before (log-odds with a prior, Monroe et al. 2008)."
    return card("Words of this " + period.kind, lines(rows, nothing=""), note=note)
