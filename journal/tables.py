"""Pages to tidy frames with fixed schemas. Null means *not recorded*, never zero.

There are two steps. `page_columns.record` turns typed pages into frames with exactly the values of the files. `build`
joins these frames to the calendar: one row per day, and one row per habit and day on which the habit is in force, with
`due`.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

import msgspec
import numpy as np
import polars as pl

from journal import schedule
from journal.derived import Late
from journal.page_columns import RECORDED, Marked, order_of, record
from journal.periods import Period, containing
from journal.settings import Habit, Rest, Settings

MARKS: dict[str, Any] = {
    "habit": pl.String,
    "date": pl.Date,
    "logged": pl.Boolean,
    "asked": pl.Boolean,
    "due": pl.Boolean,
    "times": pl.Int32,
    "per": pl.Enum(("week", "month")),
    "target": pl.Float64,
    "aim": pl.Enum(("at least", "at most")),
    "off": pl.Boolean,
    "mark": Marked,
    "value": pl.Float64,
}
"""`Tables.marks`: a row per habit and calendar day on which it is in force. `due` is null for a quota habit, which
has `times` and `per` instead; `target` and `aim` are null for a habit that is not counted. `asked`: the
day was logged, and an evening asked for its habits. `off`: the day lies in time off from the habit."""


_EPOCH = dt.date(1970, 1, 1)  # day 0 of a column of dates

__all__ = ["MARKS", "RECORDED", "Tables", "build", "record"]


class Tables(msgspec.Struct, frozen=True, kw_only=True):
    """The frames of a journal as of a day.

    `days` has a row for every calendar day from `first` to `last`; `written` is true for a day with a page. `marks` has
    the schema `MARKS`. `ticks` has a row per challenge and day of its span; `ticked` is null where nothing is recorded.
    The other frames have the schemas of `RECORDED` without `path` and are sorted by date and position. `opened` is the
    date of the first day page, or today without one. A frame may be given as `Late`: it is made when it is first asked
    for, and copies share it.
    """

    first: dt.date
    last: dt.date
    opened: dt.date
    today: dt.date
    days: pl.DataFrame
    marks: pl.DataFrame
    ticks: pl.DataFrame
    lines: pl.DataFrame
    pictures: pl.DataFrame
    hours: pl.DataFrame
    appointments: pl.DataFrame
    tasks: pl.DataFrame
    reflections: pl.DataFrame
    decisions: pl.DataFrame

    def __getattribute__(self, name: str) -> Any:
        value = super().__getattribute__(name)
        return value() if isinstance(value, Late) else value

    @property
    def pages(self) -> str:
        """How many pages of days there are, in words."""
        number = self.days["written"].sum()
        return f"{number:,} pages of days from {self.opened} on" if number else "no page of a day"

    def __repr__(self) -> str:
        values = {name: getattr(self, name) for name in self.__struct_fields__}
        rows = ", ".join(f"{name} {frame.height}" for name, frame in values.items() if isinstance(frame, pl.DataFrame))
        return f"<Tables of {self.first} to {self.last} as of {self.today}; rows: {rows}>"


def within(period: Period) -> pl.Expr:
    """Whether the `date` of a row is in a period."""
    return pl.col("date").is_between(period.first, period.last)


def build(recorded: Mapping[str, pl.DataFrame], settings: Settings, today: dt.date) -> Tables:
    """Join the recorded frames to the calendar of the journal.

    The calendar starts on the earliest of the first page, today and the first day of any habit or challenge. It ends
    with the week and month of the later of today and the last page, so current periods are complete. A day without a
    page has null in every column except `logged`, `asked` and `written`, which are false. `recorded` may have `path` as
    the first column of its frames, or not; all but the days are looked up in it when they are first asked for.

    >>> from journal.settings import Place
    >>> place = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana")
    >>> tables = build(record([]), Settings(title="Empty", places=(place,)), dt.date(2025, 3, 14))
    >>> tables.first, tables.last, tables.days.height
    (datetime.date(2025, 3, 14), datetime.date(2025, 3, 31), 18)
    """

    def rows(name: str) -> pl.DataFrame:
        frame = recorded[name]
        return frame[:, 1:] if frame.columns[0] == "path" else frame

    of_pages = rows("days")
    written: list[dt.date] = of_pages.get_column("date").to_list()
    opened = min(written, default=today)
    starts = [habit.start for habit in settings.habits] + [challenge.start for challenge in settings.challenges]
    first = min([opened, today, *starts])
    last = max([today, *written])
    current = [containing(last, kind, week_starts=settings.week_starts) for kind in ("week", "month")]
    last = max(period.last for period in current)
    calendar = pl.DataFrame({"date": pl.date_range(first, last, "1d", eager=True)})
    days = calendar.join(
        of_pages.with_columns(written=pl.lit(True)), on="date", how="left", maintain_order="left"
    ).with_columns(pl.col("logged", "asked", "written").fill_null(False))
    late: dict[str, Any] = {name: Late(partial(_sorted, rows, name)) for name in _AS_RECORDED}
    late["marks"] = Late(lambda: _marks(rows("marks"), days, settings, first, last))
    late["ticks"] = Late(lambda: _ticks(rows("ticks"), settings))
    return Tables(first=first, last=last, opened=opened, today=today, days=days, **late)


_AS_RECORDED = ("lines", "pictures", "hours", "appointments", "tasks", "reflections", "decisions")


def _sorted(rows: Callable[[str], pl.DataFrame], name: str) -> pl.DataFrame:
    """The rows by date. Those of a page are sorted already, and of a journal with a folder for each year so are all:
    then the columns stay where they are."""
    frame = rows(name)
    order = order_of(frame.columns)
    return frame if frame.get_column(order[0]).is_sorted() else frame.sort(order, maintain_order=True)


def _marks(marks: pl.DataFrame, days: pl.DataFrame, settings: Settings, first: dt.date, last: dt.date) -> pl.DataFrame:
    known = days.select("date", "logged", "asked")
    in_force = [
        (span.habit, start, end)
        for habit_spans in settings.habit_spans.values()
        for span in habit_spans
        if (start := max(span.first, first)) <= (end := min(span.last, last))
    ]
    calendar = _in_force(known, first, in_force)
    rows = _rows_of_marks(marks, in_force, calendar.height)
    return calendar.with_columns(
        off=pl.any_horizontal(pl.lit(False), *map(_is_off, settings.rests)),
        mark=marks.get_column("mark").gather(rows),
        value=marks.get_column("value").gather(rows),
    ).select(*MARKS)


_InForce = Sequence[tuple[Habit, dt.date, dt.date]]
"""The definitions of habits, each with the first and the last day on which it is in force."""


def _in_force(known: pl.DataFrame, first: dt.date, in_force: _InForce) -> pl.DataFrame:
    """A row for each definition and day. `known` has a row for each day from `first` on."""
    lengths = [(end - start).days + 1 for _, start, end in in_force]
    # One gather for all definitions: a frame for each of them takes longer than the rows.
    days = [np.arange((start - first).days, (end - first).days + 1) for _, start, end in in_force]
    rules = pl.DataFrame(
        [(h.key, h.times, h.per, h.target, h.aim if h.target is not None else None) for h, _, _ in in_force],
        schema={name: MARKS[name] for name in ("habit", "times", "per", "target", "aim")},
        orient="row",
    )[np.repeat(np.arange(len(in_force)), np.array(lengths, dtype=np.int64))]
    due = [_due(*definition) for definition in in_force]
    return rules.with_columns(
        known[np.concatenate([np.arange(0), *days])].get_columns(),
        due=pl.concat([pl.Series([], dtype=pl.Boolean), *due], rechunk=True),
    )


def _due(habit: Habit, start: dt.date, end: dt.date) -> pl.Series:
    """Whether each day of a definition is due, null for a quota."""
    if habit.every:
        return schedule.due(habit.every, habit.start, start, end)
    return pl.Series([None], dtype=pl.Boolean).new_from_index(0, (end - start).days + 1)


def _rows_of_marks(marks: pl.DataFrame, in_force: _InForce, height: int) -> pl.Series:
    """The row of `marks` for each row of the calendar, null without a mark.

    The days of a definition are consecutive rows, so a mark's place follows from its date. A join would copy columns.
    """
    habits, days = marks.get_column("habit"), marks.get_column("date").to_physical().to_numpy()
    marked = {key: (habits == key).arg_true().to_numpy() for key in {habit.key for habit, _, _ in in_force}}
    rows, ends = np.full(height, -1, dtype=np.int32), 0
    for habit, start, end in in_force:
        begins, ends = ends, ends + (end - start).days + 1
        row = marked[habit.key]
        day = days[row] - (start - _EPOCH).days
        inside = (day >= 0) & (day < ends - begins)
        rows[begins + day[inside]] = row[inside]
    return pl.select(pl.when(pl.lit(rows) >= 0).then(pl.lit(rows))).to_series()


def _is_off(rest: Rest) -> pl.Expr:
    """Whether a row of habit and date lies in time off."""
    date = pl.col("date").is_between(rest.start, rest.until)
    return date & pl.col("habit").is_in(rest.habits) if rest.habits else date


def _ticks(ticks: pl.DataFrame, settings: Settings) -> pl.DataFrame:
    spans = pl.DataFrame(
        [(c.key, c.start, c.until) for c in settings.challenges],
        schema={"challenge": pl.String, "start": pl.Date, "until": pl.Date},
        orient="row",
    )
    calendar = spans.select("challenge", pl.date_ranges("start", "until").alias("date")).explode("date")
    return calendar.join(ticks, on=["challenge", "date"], how="left", maintain_order="left")
