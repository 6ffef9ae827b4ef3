"""Typed pages to frames with exactly the values of the files, and fixed schemas. Null means *not recorded*, never zero.

Each row has the `path` of its file, so an update for a changed file is one filter and one append. `journal.tables`
joins the frames to the calendar.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import chain
from operator import attrgetter
from typing import Any

import numpy as np
import numpy.typing as npt
import polars as pl

from journal.entry import DAY_FIELDS, Appointment, DecisionDates, Entry, Hours, Mark, Page, Review, Span, Task, Tick
from journal.fields import Field, columns
from journal.folder.check_pictures import MOST_PICTURES

_PAGE = {"path": pl.String, "date": pl.Date}

Marked = pl.Enum(("done", "not done", "number", "rest"))
"""The kinds of marks. In fifty years there are two hundred thousand, and a text takes sixteen times the memory."""
Layer = pl.Enum(("actual", "planned"))
"""The strips of hours, in the order of their names."""

_DTYPES = {"number": pl.Float64, "whole number": pl.Int64, "text": pl.String}

RECORDED: dict[str, dict[str, Any]] = {
    "days": _PAGE
    | {"logged": pl.Boolean, "asked": pl.Boolean}
    | {name: _DTYPES[field.kind] for name, field in columns(DAY_FIELDS).items()},
    "marks": _PAGE | {"habit": pl.String, "mark": Marked, "value": pl.Float64},
    "ticks": _PAGE | {"challenge": pl.String, "ticked": pl.Boolean, "caught_up": pl.Date},
    "lines": _PAGE | {"kind": pl.String, "position": pl.Int32, "text": pl.String, "shared": pl.Boolean},
    "pictures": _PAGE | {"position": pl.Int32, "file": pl.String, "caption": pl.String, "shared": pl.Boolean},
    "hours": _PAGE | {"layer": Layer, "category": pl.String, "start_minute": pl.Int32, "end_minute": pl.Int32},
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
    "decisions": {
        "path": pl.String,
        "period": pl.String,
        "habit": pl.String,
        "decision": pl.String,
        "from": pl.Date,
        "until": pl.Date,
        "until_before": pl.Date,
    },
}
"""What `record` returns: frame name to schema. `mark` is "done", "not done", "number" or "rest"; `layer` is
"planned" or "actual"; `caught_up` is the later day on which a tick was earned; `kind` of a line is "gratitude",
"memory" or "note"; `shared` is true for a memory that a friend may read, and for the pictures of its day; `file` is a
picture's path in the journal, with forward slashes; times are minutes since midnight."""


def record(pages: Iterable[Page]) -> dict[str, pl.DataFrame]:
    """The frames of `RECORDED` with the values of the pages, in the order of the pages, and of each by `order_of`.

    >>> page = Page(path="2025/2025-03-14.toml", kind="day", key="2025-03-14",
    ...             content=Entry(mood=4, habits={"read": 24}))
    >>> record([page])["marks"].select("date", "habit", "mark", "value").rows()
    [(datetime.date(2025, 3, 14), 'read', 'number', 24.0)]
    """
    columns = _PageColumns()
    for page in pages:
        columns.add(page)
    return columns.frames()


def order_of(schema: Iterable[str]) -> list[str]:
    """The columns that rows are sorted by: first the period, then those within a page."""
    return [name for name in ("date", "period", "layer", "start_minute", "position") if name in schema]


_UNORDERED = ("lines", "hours", "appointments")
"""The frames whose rows of a page are not read in that order."""

_NO_DATES = DecisionDates()


class _PageColumns:
    """The columns of the frames, as they grow page by page.

    Values are added in whole lists, with the number that each page or list has: what rows have in common is repeated by
    numpy at the end. That takes a third of the time of a tuple a row.
    """

    def __init__(self) -> None:
        self.columns: dict[str, dict[str, list[Any]]] = {
            name: {column: [] for column in schema if column not in _PAGE} for name, schema in RECORDED.items()
        }
        self.paths: list[str] = []
        self.dates: list[dt.date | None] = []
        self.counts: dict[str, tuple[list[int], list[int]]] = {name: ([], []) for name in RECORDED}
        """By frame, the pages that have rows in it, and how many."""
        self.marks: list[Mark] = []
        self.spans: list[Span] = []
        self.span_counts: list[int] = []  # of each category
        self.strips: tuple[list[str], list[int]] = [], []  # layers, and the spans in them

    def add(self, page: Page) -> None:
        """Add a page."""
        self.paths.append(page.path)
        if isinstance(page.content, Entry):
            self.dates.append(dt.date.fromisoformat(page.key))
            self._add_day(page.content)
        else:
            self.dates.append(None)
            self._add_review(page, page.content)

    def _count(self, frame: str, rows: int) -> None:
        pages, counts = self.counts[frame]
        pages.append(len(self.paths) - 1)
        counts.append(rows)

    def _add_day(self, entry: Entry) -> None:
        days = self.columns["days"]
        is_logged = entry.logged
        days["logged"].append(is_logged)
        days["asked"].append(is_logged and entry.asked)
        for values, read in zip(_day_values(days), _DAY_READERS, strict=True):
            values.append(read(entry))
        self._count("days", 1)
        if entry.habits:
            self.columns["marks"]["habit"] += entry.habits
            self.marks += entry.habits.values()
            self._count("marks", len(entry.habits))
        if entry.challenges:
            self._add_ticks(entry.challenges)
        if entry.gratitude or entry.memory or entry.notes:
            self._add_lines(entry)
        if entry.pictures:
            self._add_pictures(entry)
        if entry.hours.planned or entry.hours.actual:
            self._add_hours(entry.hours)
        if entry.appointments:
            self._add_appointments(entry.appointments)
        if entry.tasks:
            self._add_tasks(entry.tasks)

    def _add_review(self, page: Page, review: Review) -> None:
        answers = [(a.prompt, a.answer) for a in review.reflection] + [("", note) for note in review.notes]
        rows = [(page.kind, page.key, i, prompt, answer) for i, (prompt, answer) in enumerate(answers)]
        self._add_rows("reflections", rows)
        decided = []
        for habit, decision in review.decisions.items():
            days = review.decision_dates.get(habit, _NO_DATES)
            decided.append((page.key, habit, decision, days.start, days.until, days.until_before))
        self._add_rows("decisions", decided)

    def _add_rows(self, frame: str, rows: list[tuple[Any, ...]]) -> None:
        for row in rows:
            for values, value in zip(self.columns[frame].values(), row, strict=True):
                values.append(value)
        self._count(frame, len(rows))

    def _add_ticks(self, challenges: Mapping[str, Tick]) -> None:
        ticks = self.columns["ticks"]
        ticks["challenge"] += challenges
        ticks["ticked"] += [tick is not False for tick in challenges.values()]
        ticks["caught_up"] += [None if isinstance(tick, bool) else tick for tick in challenges.values()]
        self._count("ticks", len(challenges))

    def _add_lines(self, entry: Entry) -> None:
        kinds, positions, texts, shared = self.columns["lines"].values()
        before = len(texts)
        for kind, lines in (("gratitude", entry.gratitude), ("memory", (entry.memory,)), ("note", entry.notes)):
            if lines and lines[0]:
                kinds += (kind,) * len(lines)
                positions += range(len(lines))
                texts += lines
                shared += (kind == "memory" and entry.share,) * len(lines)
        self._count("lines", len(texts) - before)

    def _add_pictures(self, entry: Entry) -> None:
        positions, files, captions, shared = self.columns["pictures"].values()
        folder = self.paths[-1].rpartition("/")[0]
        shown = entry.pictures[:MOST_PICTURES]
        positions += range(len(shown))
        files += [f"{folder}/{name}" if folder else name for name in shown]
        captions += [entry.captions.get(name, "").strip() or None for name in shown]
        shared += (entry.shares,) * len(shown)
        self._count("pictures", len(shown))

    def _add_hours(self, hours: Hours) -> None:
        categories, before = self.columns["hours"]["category"], len(self.spans)
        layers, totals = self.strips
        for layer, strip in (("planned", hours.planned), ("actual", hours.actual)):
            start = len(self.spans)
            categories += strip
            self.span_counts += map(len, strip.values())
            for spans in strip.values():
                self.spans += spans
            layers.append(layer)
            totals.append(len(self.spans) - start)
        self._count("hours", len(self.spans) - before)

    def _add_appointments(self, given: tuple[Appointment, ...]) -> None:
        titles, starts, ends = self.columns["appointments"].values()
        titles += [a.title for a in given]
        starts += [None if a.start is None else a.start.minute for a in given]
        ends += [None if a.end is None else a.end.minute for a in given]
        self._count("appointments", len(given))

    def _add_tasks(self, given: tuple[Task, ...]) -> None:
        tasks = self.columns["tasks"]
        tasks["position"] += range(len(given))
        for name, read in _TASK_READERS:
            tasks[name] += map(read, given)
        self._count("tasks", len(given))

    def frames(self) -> dict[str, pl.DataFrame]:
        """The frames of all pages added."""
        of_page = {"path": pl.Series(self.paths, dtype=pl.String), "date": pl.Series(self.dates, dtype=pl.Date)}
        made: dict[tuple[str, str], Any] = {
            ("marks", "mark"): _mark_names(self.marks),
            ("marks", "value"): _mark_values(self.marks),
        }
        made |= {("hours", column): series for column, series in self._hours().items()}
        frames = {}
        for name, schema in RECORDED.items():
            rows = _repeated(*self.counts[name])
            frame = pl.DataFrame(
                {
                    column: of_page[column].gather(rows)
                    if column in of_page
                    else pl.Series(made.get((name, column), self.columns[name].get(column)), dtype=dtype, strict=False)
                    for column, dtype in schema.items()
                },
                schema=schema,
            )
            inside = order_of(schema)[1:]
            if name in _UNORDERED:
                frame = frame.with_columns(page=rows).sort("page", *inside, maintain_order=True).drop("page")
            frames[name] = frame
        return frames

    def _hours(self) -> dict[str, Any]:
        minutes = np.fromiter(chain.from_iterable(self.spans), np.int32, 2 * len(self.spans)).reshape(-1, 2)
        layers, totals = self.strips
        categories = self.columns["hours"]["category"]
        return {
            "layer": pl.Series(layers, dtype=Layer).gather(_repeated(range(len(layers)), totals)),
            "category": pl.Series(categories, dtype=pl.String).gather(
                _repeated(range(len(categories)), self.span_counts)
            ),
            "start_minute": minutes[:, 0],
            "end_minute": minutes[:, 1],
        }


def _repeated(places: Sequence[int], counts: Sequence[int]) -> npt.NDArray[np.int64]:
    """Each place as often as its count says."""
    return np.repeat(np.array(places, dtype=np.int64), np.array(counts, dtype=np.int64))


def _day_values(days: dict[str, list[Any]]) -> list[list[Any]]:
    return [days[name] for name in _DAY_NAMES]


def _reader(field: Field) -> Callable[[Entry], Any]:
    """What reads a field: of the page itself, it needs no look at what is between."""
    return attrgetter(field.path[0]) if len(field.path) == 1 else field.value


_DAY_NAMES = list(columns(DAY_FIELDS))
_DAY_READERS = [_reader(field) for field in columns(DAY_FIELDS).values()]
_TASK_READERS = [(name, attrgetter(name)) for name in RECORDED["tasks"] if name not in (*_PAGE, "position")]


def _mark_names(marks: Iterable[Mark]) -> list[str]:
    return [
        "rest" if mark == "rest" else "done" if mark is True else "not done" if mark is False else "number"
        for mark in marks
    ]


def _mark_values(marks: Iterable[Mark]) -> list[float | None]:
    return [None if mark is True or mark is False or mark == "rest" else float(mark) for mark in marks]
