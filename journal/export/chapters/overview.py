"""The year as a whole: how much was logged, how the days felt, what stands out, the year in pixels."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

import polars as pl

from journal.charts import year_pixels
from journal.export.document import Block, Facts, Picture, Sentences, Words
from journal.export.year_data import Subject
from journal.frames import Row
from journal.measures import coverage, mood
from journal.measures.findings import findings
from journal.sections import care_box, mood_cards
from journal.sections import finding_cards as told
from journal.wording import dates, entries, numbers

FEWEST_RATED = 2
"""Rated days without which a line of mood is a dot."""
DAYS_LISTED = 14
"""So many days behind a sentence are named one by one; of more, their number and the first and the last."""


def blocks(subject: Subject) -> list[Block]:
    """The chapter of the year."""
    if not subject.written:
        return []
    settings, lived = subject.settings, subject.lived
    facts = tuple(_facts(subject))
    found: list[Block] = [Facts(title="How the year was", facts=facts)] if facts else []
    found += quiet(subject, lived)
    found += _care(subject)
    found += _findings(subject)
    rated = lived["mood"].count()
    if rated:
        pixels = year_pixels.draw(subject.days, subject.first.year, today=subject.today, scale=settings.mood)
        found.append(Picture(figure=pixels, spread=True))
    if rated >= FEWEST_RATED:
        found.append(Picture(figure=mood_cards.line_drawn(subject.days, lived, settings, subject.year)))
        found.append(Picture(figure=mood_cards.weekdays_drawn(lived, settings)))
    return found


def _facts(subject: Subject) -> Iterable[tuple[str, str]]:
    settings, lived = subject.settings, subject.lived
    for row in coverage.coverage(lived, week_starts=subject.week_starts).iter_rows(named=True):
        yield "Days logged", f"{numbers.of(row['logged'], row['days'])}, {numbers.percent(row['coverage'])}"
        if row["longest_gap"] > 1:
            yield "Longest gap", numbers.plural(row["longest_gap"], "day")
    for column, scale in (("mood", settings.mood), ("energy", settings.energy)):
        for row in mood.summary(
            lived, column=column, low=scale.low, high=scale.high, week_starts=subject.week_starts
        ).iter_rows(named=True):
            yield from _felt(row, column)
    counts = {kind: subject.lines.filter(kind=kind).height for kind in ("memory", "gratitude", "note")}
    said = (
        numbers.plural(counts["memory"], "memory", "memories") if counts["memory"] else None,
        f"{numbers.plural(counts['gratitude'], 'line')} of gratitude" if counts["gratitude"] else None,
        numbers.plural(counts["note"], "note") if counts["note"] else None,
    )
    if any(said):
        yield "Written", numbers.joined(said, ", ")


def _felt(row: Row, word: str) -> Iterable[tuple[str, str]]:
    if row["n"]:
        spread = f", spread {numbers.number(row['sd'], 2)}" if row["sd"] is not None else ""
        over = f"over {numbers.of(row['n'], row['days'])} days"
        yield f"{word.capitalize()}, mean", f"{numbers.mean(row['mean'])} {over}{spread}"
    if row["n"] and word == "mood":
        for end in ("high", "low"):
            share = row[f"{end}_share"]
            days = numbers.of(round(row["n"] * share), row["n"])
            yield f"{end.capitalize()} days", f"{days}, {numbers.percent(share)}"


def quiet(subject: Subject, lived: pl.DataFrame) -> list[Block]:
    """Where the mean of mood is low, that the numbers diagnose nothing."""
    scale = subject.settings.mood
    for row in mood.summary(lived, low=scale.low, high=scale.high, week_starts=subject.week_starts).iter_rows(
        named=True
    ):
        if mood.is_low(row, scale.low, scale.high):
            return [Words(title="", paragraphs=(entries.NO_DIAGNOSIS,))]
    return []


def _care(subject: Subject) -> list[Block]:
    """The box of care, in the year that is still looked over."""
    signs = care_box.signs(subject.days, subject.narrowed.nights, subject.settings, subject.year, subject.today)
    if signs.is_empty():
        return []
    said = [text for row in signs.iter_rows(named=True) for text in (row["text"], care_box.publication(row))]
    return [Words(title=care_box.TITLE, paragraphs=(*said, care_box.NO_DIAGNOSIS, care_box.IN_DANGER), care=True)]


def _findings(subject: Subject) -> list[Block]:
    found = findings(subject.book.facts, [subject.year])
    sentences = tuple((row["text"], behind(row["dates"])) for row in found.iter_rows(named=True))
    return [Sentences(title=told.TITLE, sentences=sentences, note=told.NOTE)] if sentences else []


def behind(days: list[dt.date]) -> str:
    """The days behind a sentence.

    >>> behind([dt.date(2025, 3, 4), dt.date(2025, 3, 7)])
    'March 2025: 4, 7'
    >>> behind([dt.date(2025, 1, 1) + dt.timedelta(days=2 * i) for i in range(60)])
    '60 days, 1 January to 29 April 2025'
    """
    if len(days) <= DAYS_LISTED:
        return "; ".join(dates.by_month(days))
    return f"{numbers.plural(len(days), 'day')}, {dates.stretch(min(days), max(days))}"
