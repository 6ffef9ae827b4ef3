"""Sleep and hours of the year."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

import polars as pl

from journal.export.document import Block, Facts, Picture, Words
from journal.export.year_data import Subject
from journal.frames import Row
from journal.measures import hours, plan_vs_actual
from journal.sections import hours_cards, sleep_cards
from journal.wording import dates, numbers

REGULAR = (
    "The index runs from -100 to 100: 100 is every day alike, 0 is chance (Phillips et al. 2017). Half of 60,977 "
    "adults who wore an accelerometer for a week lay between 74 and 86 (Windred et al. 2024). What is written by hand "
    "has no short wakings, so the two do not quite compare."
)
"""Phillips and others (2017), Sci. Rep. 7:3216. Windred and others (2024), Sleep 47(1), zsad253: median 81.0,
interquartile range 73.8 to 86.3, by its abstract."""
NO_ADVICE = (
    "This is a journal and no diagnosis. Whoever sleeps badly for weeks, or is tired by day, has a reason to talk "
    "to a doctor."
)


def sleep(subject: Subject) -> list[Block]:
    """The chapter of sleep."""
    found = sleep_cards.summary_row(subject.narrowed, subject.year)
    drawn = sleep_cards.raster(subject.narrowed, found, subject.year)
    if drawn is None:
        return []
    blocks: list[Block] = [Picture(figure=drawn)]
    for row in found.iter_rows(named=True):
        if not row["nights"]:
            continue
        blocks.append(Facts(title="Nights of the year", facts=tuple(_facts(row, subject.settings.clock))))
        beside = [
            sleep_cards.short_nights(row),
            sleep_cards.READING,
            *([REGULAR] if row["regularity"] is not None else []),
            NO_ADVICE,
        ]
        blocks.append(Words(title=sleep_cards.BESIDE, paragraphs=tuple(beside)))
    return blocks


def _facts(row: Row, clock: Literal[12, 24]) -> Iterable[tuple[str, str]]:
    yield "Nights written", str(row["nights"])
    spread = f", spread {dates.minutes(row['sd_minutes'])}" if row["sd_minutes"] is not None else ""
    yield "Sleep, mean", f"{dates.minutes(row['mean_minutes'])}{spread}"
    for end, name in (("bed", "To bed, mean"), ("wake", "Up, mean")):
        if row[f"{end}_mean_minute"] is not None:
            yield name, dates.clock(round(row[f"{end}_mean_minute"]) % 1440, clock)
    if row["regularity"] is not None:
        pairs = numbers.plural(row["regularity_pairs"], "pair")
        yield "Regularity index", f"{row['regularity']:.0f} of 100, over {pairs} of days"
    if row["social_jetlag_minutes"] is not None:
        yield "Work and free days", f"middles of sleep {dates.minutes(row['social_jetlag_minutes'])} apart"


def spent_hours(subject: Subject) -> list[Block]:
    """The chapter of hours."""
    found: list[Block] = [
        Picture(figure=f) for f in hours_cards.figures(subject.tables, subject.settings, subject.year)
    ]
    here = subject.cut(subject.tables.hours)
    for row in plan_vs_actual.accounts(here, week_starts=subject.week_starts).iter_rows(named=True):
        facts = (*_accounts(row), *_as_planned(hours.totals(here, week_starts=subject.week_starts)))
        found.append(Facts(title="Hours of the year", facts=facts))
    return found


def _as_planned(totals: pl.DataFrame) -> Iterable[tuple[str, str]]:
    """How much of all that was planned was spent so at that very time. In: the frame of `hours.totals`."""
    compared, so = (int(totals[f"{what}_minutes"].sum()) for what in ("compared", "as_planned"))
    if compared:
        yield (
            "Spent as planned, at that time",
            f"{numbers.percent(so / compared)} of {numbers.number(compared / 60, 0)} h",
        )


def _accounts(row: Row) -> Iterable[tuple[str, str]]:
    """How much was planned and written, from a row of `spending.accounts`."""
    if row["planned_days"]:
        yield "Days with a plan", str(row["planned_days"])
        yield "Planned of a day, mean", dates.minutes(row["planned_minutes"] / row["planned_days"])
    if row["written_days"]:
        yield "Days written as they went", str(row["written_days"])
        yield "Written of a day, mean", dates.minutes(row["actual_minutes"] / row["written_days"])
