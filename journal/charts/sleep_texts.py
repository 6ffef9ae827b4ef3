"""The texts of a drawing of nights: its title, what it shows, its mean times, and the hover text of a night."""

from __future__ import annotations

from collections.abc import Collection

from journal.entry import MINUTES_A_DAY
from journal.frames import Row
from journal.language.catalogue import N_, _, _n
from journal.periods import Period
from journal.wording import dates, numbers

_LABELS = {
    "night": N_("Night to {date}: {bed} to {wake}, {length}"),
    "nap": N_("Nap on {date}: {bed} to {wake}, {length}"),
    "part": N_("Part of a night, {date}: {bed} to {wake}, {length}"),
}


_SHOWN = {
    "means": N_("dashes are the mean times"),
    "free": N_("pale behind free days"),
    "nap": N_("grey naps"),
    "part": N_("hollow where one end is not known"),
    "awake": N_("a ring for a night without sleep"),
}


def title(totals: Row, period: Period) -> str:
    """The mean length of the nights of a period, from the row of `sleep_summary.summary`."""
    if not totals.get("nights"):
        return _("No night was written in {period}", period=dates.period(period))
    return _n(
        "One night was written in {period}: {length} of sleep",
        "{length} of sleep a night in {period}, the mean of {count} nights",
        totals["nights"],
        period=dates.period(period),
        length=dates.minutes(totals["mean_minutes"]),
    )


def times(totals: Row, hours: int) -> str:
    """Mean times, regularity and social jetlag as text, as far as they are known."""
    if not totals.get("nights"):
        return ""
    regularity = difference = ""
    if totals["regularity"] is not None:
        regularity = _n(
            "regularity {value} of 100 over {count} pair of days",
            "regularity {value} of 100 over {count} pairs of days",
            totals["regularity_pairs"],
            value=format(totals["regularity"], ".0f"),
        )
    if (jetlag := totals["social_jetlag_minutes"]) is not None:
        difference = _("middles of sleep on work and free days {time} apart", time=dates.minutes(jetlag))
    return numbers.joined([_mean_times(totals, hours), regularity, difference], "; ")


def _mean_times(totals: Row, hours: int) -> str:
    bed, wake = (
        None if totals[column] is None else clock_text(totals[column], hours)
        for column in ("bed_mean_minute", "wake_mean_minute")
    )
    if bed is None:
        return "" if wake is None else _("up at {time}", time=wake)
    return _("To bed at {time}", time=bed) if wake is None else _("To bed at {bed}, up at {wake}", bed=bed, wake=wake)


def subtitle(totals: Row, hours: int, kinds: Collection[str]) -> str:
    """What is drawn. In: the row of `sleep_summary.summary`, the hours of the clock, and the kinds of marks: "night",
    "nap" and "part" of sleeps, "means", "free" and "awake"."""
    if not totals.get("nights"):
        return _("Nights are read off the hours as they went, where they say when sleep began and ended.")
    parts = [_("A bar a night, on its day of waking"), *(_(text) for kind, text in _SHOWN.items() if kind in kinds)]
    mean_times = times(totals, hours)
    return "; ".join(parts) + (f". {mean_times}." if mean_times else ".")


def clock_text(minute: float, hours: int) -> str:
    """The time of day at a minute from midnight, of any day, on a clock of 24 or 12 hours.

    >>> clock_text(-90, 24), clock_text(395.4, 12)
    ('22:30', '6:35 am')
    """
    return dates.clock(round(minute) % MINUTES_A_DAY, 12 if hours == 12 else 24)


def label(row: Row, hours: int) -> str:
    """The hover text of a night or nap, from a row of `sleep.sleeps`."""
    return _(
        _LABELS[row["kind"]],
        date=dates.day(row["date"], weekday=False),
        bed=clock_text(row["bed_minute"], hours),
        wake=clock_text(row["wake_minute"], hours),
        length=dates.minutes(row["minutes"]),
    )
