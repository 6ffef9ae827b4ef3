"""Reading of tables with one row per mark, tick, line, task or span of hours, as `export tables` writes them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, get_args

from journal import periods
from journal.entry import Decision, Status
from journal.errors import UsageError
from journal.folder.check_pictures import MOST_PICTURES
from journal.folder.discover import EARLIEST_YEAR, LATEST_YEAR
from journal.folder.faults import listed
from journal.folder.page_names import Known
from journal.importing import cells
from journal.importing.csv_rows import CsvRow, CsvTable
from journal.importing.dates import ColumnDates, Order
from journal.importing.model import CLOSED, PICTURES, ImportedValue, ImportedValues, SourceCell, Unfit
from journal.importing.row_reader import ValueCollector
from journal.language.catalogue import _
from journal.settings import Settings

KINDS = {"gratitude": "gratitude", "memory": "memory", "note": "notes"}
"""The kind of a line, and the page key that holds it."""

_FOLLOWS = ("logged", "asked", "due", "times", "per", "target", "aim", "state", "position")
"""Columns that are not imported: they follow from journal.toml, from other cells or from the order of the rows."""

_SINGLE = (PICTURES, "mood", "memory", "habits", "challenges", "decisions")


def read(
    table: CsvTable,
    kind: str,
    positions: Mapping[str, int],
    *,
    settings: Settings,
    known: Known,
    today: dt.date,
    asked: Order | None = None,
    years: Iterable[int] = (),
) -> ImportedValues:
    """Return the values in the rows of one of our own tables. `kind` is its name in `headings.RECORDS`.

    `positions` are those of its columns. Texts are imported unchanged, without the apostrophes that the export
    inserted. A row with a missing or unknown required value is skipped, with a problem at its cell. A future day
    accepts what its page may already have.

    Raises UsageError if the order of day and month is ambiguous.
    """
    when = "period" if "period" in positions else "date"
    texts = [] if when == "period" else [row.cells[positions[when]] for row in table.rows]
    dates = ColumnDates(table.name, texts, asked, years)
    reader = _Records(ValueCollector(table.name, dates, settings, known, today), table.headings, positions, when)
    for row in table.rows:
        reader.row(row, _READERS[kind])
    labels = [(table.headings[position], "-" if name in _FOLLOWS else name) for name, position in positions.items()]
    return ImportedValues(table.name, reader.collector.values, reader.collector.problems, labels, len(table.rows))


class _Records:
    def __init__(
        self, collector: ValueCollector, headings: Sequence[str], positions: Mapping[str, int], when: str
    ) -> None:
        self.collector, self.headings, self.positions, self.when = collector, headings, positions, when
        self.seen: dict[tuple[str, tuple[str, ...]], int] = {}

    def cell(self, row: CsvRow, name: str) -> SourceCell:
        """Return the cell of a column, by the column's name."""
        position = self.positions[name]
        return SourceCell(row.line, position + 1, self.headings[position], row.cells[position])

    def row(self, row: CsvRow, read: Callable[[_Cells], PageValues]) -> None:
        period_cell = self.cell(row, self.when)
        day = None
        if self.when == "period":
            key = self.collector.reading(lambda: _period(period_cell.text), period_cell)
        else:
            day = self.collector.date(period_cell)
            key = day.isoformat() if day else None
        if key is None:
            return
        row_cells = _Cells(self, row, day)
        try:
            values = read(row_cells)
        except Unfit as unfit:
            self.collector.problem(row_cells.cell, unfit.expected, unfit.remedy)
            return
        for path, value in values:
            if day is not None and self.collector.is_future(day, path, value):
                self.collector.report_future(period_cell)
                return
            if (
                path[0] in _SINGLE
                and path != CLOSED
                and (first := self.seen.setdefault((key, path), row.line)) != row.line
            ):
                self.collector.problem(
                    row_cells.cell,
                    _("one row for it on {key} (line {line} has it)", key=key, line=first),
                    _("the first counts"),
                )
                return
            self.collector.values.append(
                ImportedValue(key=key, path=path, value=value, cell=row_cells.cell, parts=row_cells.parts)
            )


class _Cells:
    """The cells of one row, by the names of their columns.

    `cell` is the cell read last. `parts` are all cells read so far, by their keys on a page.
    """

    def __init__(self, records: _Records, row: CsvRow, day: dt.date | None) -> None:
        self.records, self.row, self.day = records, row, day
        self.cell = SourceCell(row.line)
        self.parts: dict[str, SourceCell] = {}

    def has(self, name: str) -> bool:
        """Return whether there is a column of that name."""
        return name in self.records.positions

    def raw(self, name: str) -> str:
        """Return the text of a cell as it was before the export, empty if there is no such column."""
        if name not in self.records.positions:
            return ""
        self.cell = self.parts[name.removesuffix("_minute")] = self.records.cell(self.row, name)
        return cells.unguarded(self.cell.text)

    def needed(self, name: str) -> str:
        """Return the text as `raw` does. Raises Unfit if it is empty."""
        text = self.raw(name)
        if not text.strip():
            raise Unfit(_("something in this cell"), _("fill it in; the row is left out"))
        return text

    def word(self, name: str, words: Sequence[str]) -> str:
        """Return one of the given words. Raises Unfit for any other."""
        word = self.needed(name).strip().lower()
        if word not in words:
            raise Unfit(listed(words), _("write one of them; the row is left out"))
        return word

    def number(self, name: str) -> float | None:
        """Return a number, or None for an empty cell. Raises Unfit."""
        text = self.raw(name)
        return cells.number(text) if text.strip() else None

    def flag(self, name: str) -> bool | None:
        """Return whether the cell means yes, or None for an empty cell. Raises Unfit."""
        text = self.raw(name)
        return cells.yes_or_no(text) if text.strip() else None

    def date(self, name: str) -> dt.date | None:
        """Return a date, or None for an empty cell. Raises Unfit."""
        text = self.raw(name)
        dates = self.records.collector.dates
        date = dates.read(text)
        if text.strip() and date is None:
            raise Unfit(dates.expected(text, _("a date")), _("write e.g. 2025-03-14; the row is left out"))
        return date

    def clock(self, name: str) -> str | None:
        """Return a minute of the day as a time of day, or None for an empty cell. Raises Unfit."""
        text = self.raw(name)
        return cells.clock_of(text) if text.strip() else None


PageValues = list[tuple[tuple[str, ...], Any]]
"""Key paths of a page, each with a value."""


def _marks(row: _Cells) -> PageValues:
    habit = row.needed("habit").strip()
    text = row.raw("mark")
    closed: PageValues = [(CLOSED, {})] if row.flag("asked" if row.has("asked") else "logged") else []
    if not text.strip():
        return closed
    if text.strip().lower() == "number":
        text = row.needed("value")
    counted = row.day is not None and row.records.collector.is_counted(habit, row.day)
    return [*closed, (("habits", habit), cells.mark(text, counted))]


def _ticks(row: _Cells) -> PageValues:
    challenge = row.needed("challenge").strip()
    caught_up = row.date("caught_up")
    ticked = row.flag("ticked")
    if ticked is None:
        return []
    return [(("challenges", challenge), caught_up if ticked and caught_up else ticked)]


def _lines(row: _Cells) -> PageValues:
    kind = row.word("kind", tuple(KINDS))
    is_shared = row.flag("shared") and kind == "memory"
    text = row.needed("text")
    return [((KINDS[kind],), text), *([(("share",), text)] if is_shared else [])]


def _hours(row: _Cells) -> PageValues:
    layer, category = row.word("layer", ("planned", "actual")), row.needed("category").strip()
    start, end = cells.clock_of(row.needed("start_minute")), cells.clock_of(row.needed("end_minute"))
    if end <= start:
        raise Unfit(_("an end after {start}", start=start), _("a stretch past midnight has a row on each of its days"))
    return [(("hours", layer, category), f"{start}-{end}")]


def _appointments(row: _Cells) -> PageValues:
    title = row.needed("title")
    table = cells.plain_table(title=title, start=row.clock("start_minute"), end=row.clock("end_minute"))
    return [(("appointments",), table)]


def _tasks(row: _Cells) -> PageValues:
    status = row.word("status", get_args(Status)) if row.raw("status").strip() else None
    rank = row.number("rank")
    if rank is not None and not isinstance(rank, int):
        raise Unfit(_("a whole number"), _("write e.g. 1"))
    table = cells.plain_table(
        status=status,
        rank=rank,
        estimate=row.number("estimate"),
        took=row.number("took"),
        since=row.date("since"),
        id=row.raw("id") or None,
    )
    return [(("tasks",), {"title": row.needed("title")} | table)]


def _reflections(row: _Cells) -> PageValues:
    prompt, answer = row.raw("prompt"), row.raw("answer")
    return [(("reflection",), {"prompt": prompt, "answer": answer})] if prompt.strip() else [(("notes",), answer)]


def _decisions(row: _Cells) -> PageValues:
    habit = row.needed("habit").strip()
    days = cells.plain_table(**{name: row.date(name) for name in ("from", "until", "until_before")})
    decided = [(("decisions", habit), row.word("decision", get_args(Decision)))]
    return [*decided, *((("decision_dates", habit, name), day) for name, day in days.items())]


def _pictures(row: _Cells) -> PageValues:
    position = row.number("position")
    if not isinstance(position, int) or not 0 <= position < MOST_PICTURES:
        raise Unfit(
            _("a whole number from 0 to {most}", most=MOST_PICTURES - 1), _("write e.g. 0; the row is left out")
        )
    table = cells.plain_table(picture=row.needed("picture").strip(), caption=row.raw("caption").strip() or None)
    return [((PICTURES, f"{position:02}"), table)]


_READERS: dict[str, Callable[[_Cells], PageValues]] = {
    "marks": _marks,
    "ticks": _ticks,
    "lines": _lines,
    "pictures": _pictures,
    "hours": _hours,
    "appointments": _appointments,
    "tasks": _tasks,
    "reflections": _reflections,
    "decisions": _decisions,
}


def _period(text: str) -> str:
    """Return the name of a week, month or year. Raises Unfit."""
    try:
        period = periods.parse_name(text.strip())
    except UsageError:
        period = None
    if period is None or period.kind == "day" or not EARLIEST_YEAR <= int(period.key[:4]) <= LATEST_YEAR:
        raise Unfit(_("a week, month or year"), _('write e.g. "2025-W11", "2025-03" or "2025"; the row is left out'))
    return period.key
