"""Pages to tidy frames with fixed schemas. Null means *not recorded*, never zero.

Two steps. `record` turns typed pages into frames that say just what the files say, each row with the `path` it
came from, so that a changed file is one filter and one append. `build` lays them on the calendar: one row per
day, and one row per habit and day on which that habit is in force, with whether it was due.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

import msgspec
import polars as pl

from journal import schedule
from journal.entry import Entry, Review
from journal.folder.reading import Page
from journal.settings import Habit, Settings

_PAGE = {"path": pl.String, "date": pl.Date}

RECORDED: dict[str, dict[str, Any]] = {
    "days": _PAGE
    | {
        "logged": pl.Boolean,
        "mood": pl.Float64,
        "energy": pl.Float64,
        "place": pl.String,
        "sky": pl.String,
        "high": pl.Float64,
        "low": pl.Float64,
    },
    "marks": _PAGE | {"habit": pl.String, "mark": pl.String, "value": pl.Float64},
    "ticks": _PAGE | {"challenge": pl.String, "ticked": pl.Boolean},
    "lines": _PAGE | {"kind": pl.String, "position": pl.Int32, "text": pl.String},
    "hours": _PAGE
    | {"layer": pl.String, "category": pl.String, "start_minute": pl.Int32, "end_minute": pl.Int32},
    "appointments": _PAGE | {"title": pl.String, "start_minute": pl.Int32, "end_minute": pl.Int32},
    "tasks": _PAGE
    | {
        "position": pl.Int32,
        "id": pl.String,
        "title": pl.String,
        "status": pl.String,
        "rank": pl.Int32,
        "estimate": pl.Float64,
        "took": pl.Float64,
        "since": pl.Date,
    },
    "reflections": {
        "path": pl.String,
        "kind": pl.String,
        "period": pl.String,
        "position": pl.Int32,
        "prompt": pl.String,
        "answer": pl.String,
    },
    "decisions": {"path": pl.String, "period": pl.String, "habit": pl.String, "decision": pl.String},
}
"""What `record` returns: frame name to schema. `mark` is "done", "not done", "number" or "rest"; `layer` is
"planned" or "actual"; `kind` of a line is "gratitude", "memory" or "note"; times are minutes since midnight."""

MARKS: dict[str, Any] = {
    "habit": pl.String,
    "date": pl.Date,
    "logged": pl.Boolean,
    "due": pl.Boolean,
    "times": pl.Int32,
    "per": pl.String,
    "target": pl.Float64,
    "aim": pl.String,
    "mark": pl.String,
    "value": pl.Float64,
}
"""`Tables.marks`: a row per habit and calendar day on which it is in force. `due` is null for a quota habit, which
has `times` and `per` instead; `target` and `aim` are null for a habit that is not counted."""


class Tables(msgspec.Struct, frozen=True, kw_only=True):
    """The frames of a journal as of a day.

    `days` has a row for every calendar day from the first page to `last`; `marks` is as `MARKS` says;
    `ticks` has a row per challenge and day of its span, `ticked` null where nothing was said;
    the other frames are as `RECORDED` has them, sorted by date.
    """

    first: dt.date
    last: dt.date
    today: dt.date
    days: pl.DataFrame
    marks: pl.DataFrame
    ticks: pl.DataFrame
    lines: pl.DataFrame
    hours: pl.DataFrame
    appointments: pl.DataFrame
    tasks: pl.DataFrame
    reflections: pl.DataFrame
    decisions: pl.DataFrame
