"""What `duskbook show` can show: each measure, what a row of it is, its periods and its keys.

The keys are a promise: they are what JSON objects and CSV columns are called, and they do not change. More may
follow after them. journal/manual/measures.md lists the same keys, and a test compares the two.
"""

from __future__ import annotations

from typing import NamedTuple


class Shown(NamedTuple):
    """A measure as the command knows it. The first of `by` is what is shown where nothing is asked.

    `by_day_keys` are those that rows by day have besides; `summed_keys` are those of rows by anything but a day, where
    such a row is of another kind.
    """

    row: str
    keys: tuple[str, ...]
    by: tuple[str, ...] = ()
    by_day_keys: tuple[str, ...] = ()
    summed_keys: tuple[str, ...] = ()

    def keys_by(self, by: str) -> tuple[str, ...]:
        """The keys of its rows when shown by a period."""
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
}  # fmt: skip

FORMATS = ("table", "json", "csv")
