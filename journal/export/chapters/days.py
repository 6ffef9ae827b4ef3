"""Sleep and hours of the year."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

import polars as pl

from journal.export.document import Block, Facts, Grid, Picture, Words
from journal.export.subject import Subject
from journal.measures import hours
from journal.pages import night, spent, wording
from journal.wording import minutes, plural

REGULAR = (
    "The index runs from -100 to 100: 100 is every day alike, 0 is chance (Phillips et al. 2017). Half of 60,977 "
    "adults who wore an accelerometer for a week lay between 74 and 86 (Windred et al. 2024). What is written by hand "
    "has no short wakings, so the two do not quite compare."
)
"""Phillips and others (2017), Sci. Rep. 7:3216. Windred and others (2024), Sleep 47(1), zsad253: median 81.0,
interquartile range 73.8 to 86.3, by its abstract."""
NO_ADVICE = (
    "To read by, no advice and no diagnosis. Whoever sleeps badly for weeks, or too little to be awake by day, has a "
    "reason to talk to a doctor."
)


def sleep(subject: Subject) -> list[Block]:
    """The chapter of sleep."""
    found = night.summed(subject.nights, subject.year)
    drawn = night.raster(subject.nights, found, subject.year, subject.settings)
    if drawn is None:
        return []
    blocks: list[Block] = [Picture(figure=drawn)]
    for row in found.iter_rows(named=True):
        if not row["nights"]:
            continue
        blocks.append(Facts(title="Nights of the year", facts=tuple(_facts(row, subject.settings.clock))))
        beside = [night.short(row), night.READING, *([REGULAR] if row["regularity"] is not None else []), NO_ADVICE]
        blocks.append(Words(title=night.BESIDE, paragraphs=tuple(beside)))
    return blocks


def _facts(row: wording.Row, clock: Literal[12, 24]) -> Iterable[tuple[str, str]]:
    yield "Nights written", str(row["nights"])
    spread = f", spread {minutes(row['sd_minutes'])}" if row["sd_minutes"] is not None else ""
    yield "Sleep, mean", f"{minutes(row['mean_minutes'])}{spread}"
    for end, name in (("bed", "To bed, mean"), ("wake", "Up, mean")):
        if row[f"{end}_mean_minute"] is not None:
            yield name, wording.clock(round(row[f"{end}_mean_minute"]) % 1440, clock)
    if row["regularity"] is not None:
        pairs = plural(row["regularity_pairs"], "pair")
        yield "Regularity index", f"{row['regularity']:.0f} of 100, over {pairs} of days"
    if row["social_jetlag_minutes"] is not None:
        yield "Work and free days", f"middles of sleep {minutes(row['social_jetlag_minutes'])} apart"


def spent_hours(subject: Subject) -> list[Block]:
    """The chapter of hours."""
    found: list[Block] = [Picture(figure=f) for f in spent.figures(subject.tables, subject.settings, subject.year)]
    totals = hours.as_planned(hours.totals(subject.cut(subject.tables.hours)))
    compared = totals.filter(pl.col("as_planned_share").is_not_null())
    if compared.is_empty():
        return found
    names = {category.key: category.name for category in subject.settings.categories}
    rows = tuple(
        (
            names.get(row["category"], row["category"]),
            minutes(row["compared_minutes"]),
            minutes(row["as_planned_minutes"]),
            wording.percent(row["as_planned_share"]),
        )
        for row in compared.iter_rows(named=True)
    )
    head = ("Category", "Planned", "Spent so", "Share")
    note = "Of what was planned on days whose hours were written as they went, too: how much was spent so at that time."
    return [
        *found,
        Grid(title="As planned", header=head, rows=rows, numeric=(1, 2, 3)),
        Words(title="", paragraphs=(note,)),
    ]
