"""The habits due on future days: the tables of the journal, extended beyond its pages."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

import polars as pl

from journal import Journal, tables
from journal.language.catalogue import _
from journal.measures import trial_lots
from journal.wording import numbers, rules


def marks(book: Journal, first: dt.date, last: dt.date) -> pl.DataFrame:
    """The habits in force in a range of days, a row per habit and day, in the order of journal.toml.

    A day that the lot of a trial leaves free has no row for its habit.

    Out: habit (String), date (Date), due (Boolean, null for a quota habit), times (Int32), per (String), target
    (Float64), aim (String) as in `Tables.marks`, and rest (Boolean): whether the page excuses the day in advance, or it
    lies in time off. Other marks are omitted, since sheets are filled in by hand.

    >>> from pathlib import Path
    >>> from journal.entry import Undated
    >>> from journal.settings import Habit, Settings
    >>> today = dt.date(2025, 3, 14)
    >>> call = Habit(key="call", name="Call home", start=today, every="FREQ=WEEKLY;BYDAY=SU")
    >>> settings = Settings(title="Small", places=(), habits=(call,))
    >>> book = Journal(Path(), settings, today, tables.build(tables.record([]), settings, today), Undated(), ())
    >>> marks(book, dt.date(2025, 4, 5), dt.date(2025, 4, 6)).select("habit", "due", "rest").rows()
    [('call', False, False), ('call', True, False)]
    """
    extended = tables.build(tables.record([]), book.settings, max(last, book.today)).marks
    free = trial_lots.with_free_days(extended.with_columns(off=False), book.trials).get_column("off")
    resting = book.tables.marks.filter(pl.col("mark") == "rest").select("habit", "date", rest=pl.lit(True))
    return (
        extended.filter(pl.col("date").is_between(first, last) & ~free)
        .join(resting, on=["habit", "date"], how="left", maintain_order="left")
        .with_columns(pl.col("rest").fill_null(False) | pl.col("off"))
        .select("habit", "date", "due", "times", "per", "target", "aim", "rest")
    )


def target(row: Mapping[str, Any], unit: str) -> str:
    """The quota or target of a habit in words, from a row of `marks`; empty without either.

    >>> target({"per": None, "target": 30.0, "aim": "at most"}, "minutes"), target({"per": "week", "times": 3}, "")
    ('at most 30 minutes', '3 times a week')
    """
    if row["per"] is not None:
        return rules.quota(row["times"], row["per"])
    if row["target"] is None:
        return ""
    count = numbers.number(row["target"])
    if row["aim"] == "at most":
        return _("at most {target} {unit}", target=count, unit=unit).rstrip()
    return f"{count} {unit}".rstrip()
