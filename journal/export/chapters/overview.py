"""The chapter of the year: logged days, mood and energy, findings, the year with a field a day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

import polars as pl

from journal.charts import year_pixels
from journal.export.document import Block, Facts, Picture, Sentences, Words
from journal.export.year_data import YearData
from journal.frames import Row
from journal.language.catalogue import _, _n
from journal.measures import coverage, mood
from journal.measures.finding_sentences import looked_at
from journal.measures.findings import by_page
from journal.sections import care_box, finding_cards, mood_cards
from journal.wording import dates, entries, numbers

FEWEST_RATED = 2
"""Fewest rated days for a line of mood; one day would be a dot."""
DAYS_LISTED = 14
"""Most days behind a sentence that are listed. Of more, the number, the first and the last are shown."""


def blocks(subject: YearData) -> list[Block]:
    """The chapter of the year."""
    if not subject.written:
        return []
    settings, lived = subject.settings, subject.lived
    facts = tuple(_facts(subject))
    blocks: list[Block] = [Facts(title=_("How the year was"), facts=facts)] if facts else []
    blocks += quiet(subject, lived)
    blocks += _care(subject)
    blocks += _findings(subject)
    rated = lived["mood"].count()
    if rated:
        pixels = year_pixels.draw(subject.days, subject.first.year, today=subject.today, scale=settings.mood)
        blocks.append(Picture(figure=pixels, spread=True))
    if rated >= FEWEST_RATED:
        blocks.append(Picture(figure=mood_cards.line_drawn(subject.days, lived, settings, subject.year)))
        blocks.append(Picture(figure=mood_cards.weekdays_drawn(lived, settings)))
    return blocks


def _facts(subject: YearData) -> Iterable[tuple[str, str]]:
    settings, lived = subject.settings, subject.lived
    for row in coverage.coverage(lived, week_starts=subject.week_starts).iter_rows(named=True):
        yield _("Days logged"), f"{numbers.of(row['logged'], row['days'])}, {numbers.percent(row['coverage'])}"
        if row["longest_gap"] > 1:
            yield _("Longest gap"), _n("{count} day", "{count} days", row["longest_gap"])
    for column, scale in (("mood", settings.mood), ("energy", settings.energy)):
        for row in mood.summary(
            lived, column=column, low=scale.low, high=scale.high, week_starts=subject.week_starts
        ).iter_rows(named=True):
            yield from _mood_facts(row, column)
    counts = {kind: subject.lines.filter(kind=kind).height for kind in ("memory", "gratitude", "note")}
    written = (
        _n("{count} memory", "{count} memories", counts["memory"]) if counts["memory"] else None,
        _n("{count} line of gratitude", "{count} lines of gratitude", counts["gratitude"])
        if counts["gratitude"]
        else None,
        _n("{count} note", "{count} notes", counts["note"]) if counts["note"] else None,
    )
    if any(written):
        yield _("Written"), numbers.joined(written, ", ")


def _mood_facts(row: Row, column: str) -> Iterable[tuple[str, str]]:
    if not row["n"]:
        return
    parts = {"mean": numbers.mean(row["mean"]), "days": numbers.of(row["n"], row["days"], "day")}
    value = (
        _("{mean} over {days}", **parts)
        if row["sd"] is None
        else _("{mean} over {days}, spread {spread}", **parts, spread=numbers.number(row["sd"], 2))
    )
    if column == "energy":
        yield _("Energy, mean"), value
        return
    yield _("Mood, mean"), value
    for label, share in ((_("High days"), row["high_share"]), (_("Low days"), row["low_share"])):
        yield label, f"{numbers.of(round(row['n'] * share), row['n'])}, {numbers.percent(share)}"


def quiet(subject: YearData, lived: pl.DataFrame) -> list[Block]:
    """The sentence that the numbers are no diagnosis, if the mean of mood is low."""
    scale = subject.settings.mood
    for row in mood.summary(lived, low=scale.low, high=scale.high, week_starts=subject.week_starts).iter_rows(
        named=True
    ):
        if mood.is_low(row, scale.low, scale.high):
            return [Words(title="", paragraphs=(_(entries.NO_DIAGNOSIS),))]
    return []


def _care(subject: YearData) -> list[Block]:
    """The care box, while the year is current or just over."""
    signs = care_box.signs(subject.days, subject.narrowed.nights, subject.settings, subject.year, subject.today)
    if signs.is_empty():
        return []
    paragraphs = [text for row in signs.iter_rows(named=True) for text in (row["text"], care_box.publication(row))]
    paragraphs += [_(care_box.NO_DIAGNOSIS), _(care_box.IN_DANGER)]
    return [Words(title=_(care_box.TITLE), paragraphs=tuple(paragraphs), care=True)]


def _findings(subject: YearData) -> list[Block]:
    for _week, page in by_page(subject.book.facts, [subject.year]):
        sentences = tuple((found.text, listed_days(found.dates)) for found in page.findings)
        looked = looked_at(page.looked_at, page.by_chance, "year")
        note = f"{_(finding_cards.NOTE)} {looked}".rstrip()
        return [Sentences(title=_(finding_cards.TITLE), sentences=sentences, note=note)] if sentences else []
    return []


def listed_days(days: list[dt.date]) -> str:
    """The days behind a sentence, as text.

    >>> listed_days([dt.date(2025, 3, 4), dt.date(2025, 3, 7)])
    'March 2025: 4, 7'
    >>> listed_days([dt.date(2025, 1, 1) + dt.timedelta(days=2 * i) for i in range(60)])
    '60 days, 1 January to 29 April 2025'
    """
    if len(days) <= DAYS_LISTED:
        return "; ".join(dates.by_month(days))
    count = _n("{count} day", "{count} days", len(days))
    return f"{count}, {dates.stretch(min(days), max(days))}"
