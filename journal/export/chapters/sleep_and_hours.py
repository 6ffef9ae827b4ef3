"""The chapters of sleep and of hours."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

import polars as pl

from journal.export.document import Block, Facts, Picture, Words
from journal.export.year_data import YearData
from journal.frames import Row
from journal.language.catalogue import N_, _, _n
from journal.measures import hours, plan_vs_actual
from journal.sections import hours_cards, sleep_cards
from journal.wording import dates, numbers

REGULAR = N_(
    "The index runs from -100 to 100: 100 is every day alike, 0 is chance (Phillips et al. 2017). Half of 60,977 "
    "adults who wore an accelerometer for a week lay between 74 and 86 (Windred et al. 2024). Hours written by hand "
    "have no short wakings, so the two are not fully comparable."
)
"""Phillips and others (2017), Sci. Rep. 7:3216. Windred and others (2024), Sleep 47(1), zsad253: median 81.0,
interquartile range 73.8 to 86.3, by its abstract."""
NO_ADVICE = N_(
    "This is a journal and no diagnosis. Whoever sleeps badly for weeks, or is tired by day, has a reason to talk "
    "to a doctor."
)


def sleep(subject: YearData) -> list[Block]:
    """The chapter of sleep."""
    summary = sleep_cards.summary_row(subject.narrowed, subject.year)
    drawn = sleep_cards.raster(subject.narrowed, summary, subject.year)
    if drawn is None:
        return []
    blocks: list[Block] = [Picture(figure=drawn)]
    for row in summary.iter_rows(named=True):
        if not row["nights"]:
            continue
        blocks.append(Facts(title=_("Nights of the year"), facts=tuple(_facts(row, subject.settings.clock))))
        paragraphs = [
            sleep_cards.short_nights(row),
            _(sleep_cards.READING),
            *([_(REGULAR)] if row["regularity"] is not None else []),
            _(NO_ADVICE),
        ]
        blocks.append(Words(title=_(sleep_cards.RECOMMENDATION), paragraphs=tuple(paragraphs)))
    return blocks


def _facts(row: Row, clock: Literal[12, 24]) -> Iterable[tuple[str, str]]:
    yield _("Nights written"), numbers.number(row["nights"])
    mean = dates.minutes(row["mean_minutes"])
    if row["sd_minutes"] is not None:
        mean = _("{mean}, spread {spread}", mean=mean, spread=dates.minutes(row["sd_minutes"]))
    yield _("Sleep, mean"), mean
    for end, name in (("bed", _("To bed, mean")), ("wake", _("Up, mean"))):
        if row[f"{end}_mean_minute"] is not None:
            yield name, dates.clock(round(row[f"{end}_mean_minute"]) % 1440, clock)
    if row["regularity"] is not None:
        index = _n(
            "{index} of 100, over {count} pair of days",
            "{index} of 100, over {count} pairs of days",
            row["regularity_pairs"],
            index=numbers.number(row["regularity"], 0),
        )
        yield _("Regularity index"), index
    if row["social_jetlag_minutes"] is not None:
        apart = _("middles of sleep {time} apart", time=dates.minutes(row["social_jetlag_minutes"]))
        yield _("Work and free days"), apart


def spent_hours(subject: YearData) -> list[Block]:
    """The chapter of hours."""
    blocks: list[Block] = [
        Picture(figure=drawn) for drawn in hours_cards.figures(subject.tables, subject.settings, subject.year)
    ]
    rows = subject.cut(subject.tables.hours)
    for row in plan_vs_actual.accounts(rows, week_starts=subject.week_starts).iter_rows(named=True):
        facts = (*_accounts(row), *_as_planned(hours.totals(rows, week_starts=subject.week_starts)))
        blocks.append(Facts(title=_("Hours of the year"), facts=facts))
    return blocks


def _as_planned(totals: pl.DataFrame) -> Iterable[tuple[str, str]]:
    """The share of planned time that went as planned, at that time. In: the frame of `hours.totals`."""
    compared, as_planned = (int(totals[f"{column}_minutes"].sum()) for column in ("compared", "as_planned"))
    if compared:
        shares = {"share": numbers.percent(as_planned / compared), "hours": numbers.number(compared / 60, 0)}
        yield _("Spent as planned, at that time"), _("{share} of {hours} h", **shares)


def _accounts(row: Row) -> Iterable[tuple[str, str]]:
    """Planned and actual time. In: a row of `plan_vs_actual.accounts`."""
    if row["planned_days"]:
        yield _("Days with a plan"), numbers.number(row["planned_days"])
        yield _("Planned of a day, mean"), dates.minutes(row["planned_minutes"] / row["planned_days"])
    if row["written_days"]:
        yield _("Days written as they went"), numbers.number(row["written_days"])
        yield _("Written of a day, mean"), dates.minutes(row["actual_minutes"] / row["written_days"])
