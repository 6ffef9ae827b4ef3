"""The measures of `duskbook show`: what a row is, the periods and the keys.

The keys are a promise: they name the JSON keys and CSV columns, and do not change. New ones may be appended.
journal/manual/measures.md lists the same keys; a test compares the two.
"""

from __future__ import annotations

from typing import NamedTuple


class Shown(NamedTuple):
    """One measure. The first period of `by` is the default.

    Rows by day have `by_day_keys` in addition. If `summed_keys` is given, rows by any other period have these keys
    instead.
    """

    row: str
    keys: tuple[str, ...]
    by: tuple[str, ...] = ()
    by_day_keys: tuple[str, ...] = ()
    summed_keys: tuple[str, ...] = ()

    def keys_by(self, by: str) -> tuple[str, ...]:
        """The keys of the rows by a period."""
        if self.summed_keys and by != "day":
            return self.summed_keys
        return self.keys + self.by_day_keys if by == "day" else self.keys


MEASURES: dict[str, Shown] = {
    "streaks": Shown(
        "habit",
        (
            "habit", "unit", "current", "current_from", "pending",
            "longest", "longest_from", "longest_to",
        ),
    ),
    "rates": Shown(
        "habit and period",
        (
            "habit", "from", "to", "due", "done", "missed", "blank", "rest", "pending",
            "rate", "low", "high", "logged_rate",
        ),
        by=("all", "week", "month", "year"),
    ),
    "changes": Shown(
        "habit",
        ("habit", "rate_before", "rate_after", "difference", "low", "high", "clear"),
    ),
    "mood": Shown(
        "period",
        ("period", "n", "days", "mean", "median", "sd"),
        by=("day", "week", "month", "year", "weekday", "all"),
        by_day_keys=("value", "trailing_7", "trailing_28"),
    ),
    "links": Shown(
        "habit and lag",
        (
            "habit", "lag_days", "n_done", "n_missed", "mean_done", "mean_missed", "difference", "superiority",
            "p", "q", "clear",
        ),
    ),
    "sleep": Shown(
        "night, by the day of waking, or period",
        ("date", "bed", "wake", "minutes"),
        by=("day", "week", "month", "year", "all"),
        summed_keys=(
            "from", "to", "nights", "mean_minutes", "bed_mean", "wake_mean", "regularity", "social_jetlag_minutes",
        ),
    ),
    "hours": Shown(
        "category and period",
        ("category", "from", "to", "planned_minutes", "actual_minutes", "as_planned_minutes"),
        by=("all", "week", "month"),
    ),
    "tasks": Shown(
        "task",
        ("title", "since", "status", "last", "days", "carried", "rank", "estimate", "took"),
    ),
    "waiting": Shown(
        "day of a task's life",
        ("days", "at_risk", "done", "survival", "median_days"),
    ),
    "challenges": Shown("challenge", ("challenge", "from", "to", "days", "ticks", "rate", "longest")),
    "coverage": Shown(
        "period",
        ("from", "to", "days", "logged", "coverage", "longest_gap"),
        by=("all", "week", "month", "year"),
    ),
    "lines": Shown("line", ("date", "kind", "text")),
    "findings": Shown(
        "sentence",
        ("page", "text", "measure", "n", "dates"),
        by=("month", "week", "year"),
    ),
    "sun": Shown("day", ("date", "rise", "set", "day_minutes", "state")),
    "trials": Shown(
        "trial",
        (
            "trial", "from", "to", "days", "n_on", "n_off", "kept", "effect", "low", "high", "p", "finished",
        ),
    ),
    "lots": Shown("day of a trial", ("trial", "date", "arm", "done", "outcome")),
}  # fmt: skip

FORMATS = ("table", "json", "csv")
