"""A paper month entered as a grid of mood, habits and challenges by days (`month_rows`), and saved at once.

`month` returns the grid, `save_month` takes the changed cells. Each day's page is rehearsed before the first is
written, and every problem is reported with its habit and day.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import msgspec
import polars as pl

from journal import periods
from journal.entry import Entry, Mark, Tick
from journal.errors import JournalError, UsageError, WriteError
from journal.evening import habit_preview, month_rows
from journal.evening.form_schema import HabitOffer
from journal.fields import nested
from journal.folder import check_day, save_record, writing
from journal.folder.page_names import Known
from journal.folder.save_record import VersionPair
from journal.folder.three_way_merge import REMOVE
from journal.folder.writing import Base, Conflict
from journal.language.catalogue import _, _n
from journal.saving import base_pages
from journal.saving.form_values import FormValues, Trouble, fault_message
from journal.saving.save_pages import Disagreement, SaveResult, one_save, packed, plain
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal

Marks = dict[str, dict[str, Mark | Tick | None]]


class MonthOffer(msgspec.Struct, frozen=True, kw_only=True):
    """A month to fill, up to today: `marks`, `due` and `logged` by habit and day, as on the pages.

    `habits` are the rows: the mood, the habits and the challenges of `month_rows`. A habit is in the grid if it is in
    force on any day of the month. On other days it has no mark, and `due` is null. `due` is true of a quota habit on
    every day on which it is in force, of a challenge on the days of its span, and of the mood on every day.
    """

    month: str
    title: str
    base: str
    habits: list[HabitOffer]
    days: list[str]
    marks: Marks
    due: dict[str, dict[str, bool | None]]
    logged: dict[str, bool]
    problems: list[str]


def month(book: Journal, key: str) -> MonthOffer:
    """Return the grid of a month of a journal, e.g. "2025-03". Raises UsageError for an invalid or a future month."""
    period = periods.parse(key, "month", week_starts=book.settings.week_starts)
    days = [day for day in period.dates if day <= book.today]
    if not days:
        raise UsageError(_("{month} is still to come; fill it when it is over", month=key))
    bases = base_pages.look(book.files.pages, tuple(day.isoformat() for day in days))
    known = book.files.basis.known
    entries_and_problems = [base_pages.entry(base, known) for base in bases]
    entries = {day.isoformat(): entry for day, (entry, _other) in zip(days, entries_and_problems, strict=True)}
    rows = book.tables.marks.filter(pl.col("date").is_between(days[0], days[-1]))
    due: dict[str, dict[str, bool | None]] = {
        habit: dict.fromkeys(entries) for habit in rows.get_column("habit").unique(maintain_order=True)
    }
    for habit, date, is_due, off in rows.select("habit", "date", "due", "off").iter_rows():
        due[habit][date.isoformat()] = is_due is not False and not off
    challenges = month_rows.challenges(book.settings, days)
    due[month_rows.MOOD] = dict.fromkeys(entries, True)
    due |= {row: held for row, (_other, held) in challenges.items()}
    habits = [
        month_rows.mood(book.settings),
        *(_habit(book, habit, days) for habit in book.settings.habit_keys if habit in due),
        *(row for row, _other in challenges.values()),
    ]
    return MonthOffer(
        month=key,
        title=dates.month(days[0]),
        base=base_pages.packed(bases),
        habits=habits,
        days=list(entries),
        marks={h.key: {day: month_rows.value(entry, h.key) for day, entry in entries.items()} for h in habits},
        due={h.key: due[h.key] for h in habits},
        logged={day: entry.logged for day, entry in entries.items()},
        problems=[str(problem) for _other, problems in entries_and_problems for problem in problems],
    )


def _habit(book: Journal, key: str, days: Sequence[dt.date]) -> HabitOffer:
    """Return a habit as defined on the last of the days on which it is in force."""
    definitions = [habit for day in days if (habit := book.settings.habit_on(key, day)) is not None]
    habit = definitions[-1]
    return HabitOffer(
        key=key,
        name=habit.name,
        kind=habit_preview.kind(habit),
        target=habit.target,
        unit=habit.unit,
        aim=habit.aim,
        mark=None,
        due=True,
        said={},
    )


def save_month(book: Journal, raw: object, *, now: dt.datetime) -> SaveResult:
    """Write the changed cells of a month: `{"base": ..., "marks": {row: {day: mark or null}}}`.

    Fields are named "marks.walk.2025-03-13". Nothing is written if there is any problem or conflict. If writing fails
    between two days, the answer names the saved days. A day that no evening has closed gets `asked = false`, so its
    other habits stay blank.
    """
    fields = FormValues()
    try:
        if not isinstance(raw, Mapping):
            raise UsageError(_("what was entered is no month; open the month anew"))
        bases = {base.key: base for base in base_pages.submitted(raw.get("base"), book.files.pages)}
        known = book.files.basis.known
        by_day = _by_day(raw.get("marks"), bases, fields)
        for day, marks in by_day.items():
            _check(day, marks, known, fields)
        changes = {} if fields.troubles else {day: _changes(bases[day], marks, known) for day, marks in by_day.items()}
    except JournalError as error:
        return SaveResult(saved=False, problems=[Trouble("", f"{error}.")])
    if fields.troubles:
        return SaveResult(saved=False, problems=fields.troubles)
    changes_by_day = {day: day_changes for day, day_changes in sorted(changes.items()) if day_changes}
    return one_save(book.files, lambda: _save_all(book, bases, changes_by_day, now), now=now)


def _save_all(
    book: Journal, bases: Mapping[str, Base], changes_by_day: Mapping[str, Any], now: dt.datetime
) -> SaveResult:
    planned: list[VersionPair] = []
    refused = _rehearse(book, bases, changes_by_day, now, planned)
    if refused is not None:
        return refused
    with save_record.kept(book.folder, planned, now, "month"):
        return _write(book, bases, changes_by_day, now)


def _by_day(raw: object, bases: Mapping[str, Base], fields: FormValues) -> dict[str, dict[str, Any]]:
    marks_by_day: dict[str, dict[str, Any]] = {}
    for row, days in month_rows.entered(raw, fields).items():
        for day, mark in days.items():
            if day in bases:
                marks_by_day.setdefault(day, {})[row] = mark
            else:
                fields.report(f"marks.{row}.{day}", _('The grid has no day "{day}"; open the month anew.', day=day))
    return marks_by_day


def _check(day: str, marks: Mapping[str, Any], known: Known, fields: FormValues) -> None:
    entry = msgspec.convert(
        nested({month_rows.path(row): mark for row, mark in marks.items() if mark is not None}), Entry, strict=False
    )
    for fault in check_day.entry(entry, dt.date.fromisoformat(day), known):
        fields.report(f"marks.{month_rows.name(fault.where)}.{day}", fault_message(fault))


def _changes(base: Base, marks: Mapping[str, Any], known: Known) -> dict[tuple[str, ...], Any]:
    entry = base_pages.entry(base, known)[0]
    changes: dict[tuple[str, ...], Any] = {
        month_rows.path(row): REMOVE if mark is None else mark
        for row, mark in marks.items()
        if isinstance(mark, bool) != isinstance(present := month_rows.value(entry, row), bool) or mark != present
    }
    rates = any(path[0] in ("habits", "mood") for path in changes)
    if rates and not entry.logged:  # the grid shows habits, but only its marks say something
        changes["asked",] = False
    return changes


def _rehearse(
    book: Journal,
    bases: Mapping[str, Base],
    changes_by_day: Mapping[str, Any],
    now: dt.datetime,
    planned: list[VersionPair],
) -> SaveResult | None:
    """Rehearse all days. Return the problems and conflicts, or None. Appends what would be written to `planned`."""
    problems: list[Trouble] = []
    conflict: list[Disagreement] = []
    for day, changes in changes_by_day.items():
        try:
            result = writing.save(book.folder, day, bases[day], changes, now=now, rehearse=True, files=book.files)
        except JournalError as error:
            problems.append(Trouble(f"days.{day}", f"{error}."))
            continue
        if isinstance(result, Conflict):
            conflict += [
                Disagreement(
                    field=f"marks.{month_rows.name(clash.path)}.{day}" if clash.path else f"days.{day}",
                    yours=plain(clash.mine),
                    theirs=plain(clash.theirs),
                    file=result.now.path,
                )
                for clash in result.clashes
            ]
        elif result.before is not None:
            planned.append((result.before, result.base))
    if not problems and not conflict:
        return None
    message = "" if problems else _("Some days were changed elsewhere since; open the month anew to see them.")
    return SaveResult(saved=False, said=message, problems=problems, conflict=conflict)


def _write(book: Journal, bases: Mapping[str, Base], changes_by_day: Mapping[str, Any], now: dt.datetime) -> SaveResult:
    written: list[str] = []
    replaced: list[tuple[Base, Base]] = []
    failed: list[Trouble] = []
    for day, changes in changes_by_day.items():
        try:
            result = writing.save(book.folder, day, bases[day], changes, now=now, by="evening", files=book.files)
        except WriteError as error:
            failed.append(Trouble(f"days.{day}", f"{error}."))
            continue
        if isinstance(result, Conflict):  # it changed after the rehearsal
            failed.append(Trouble(f"days.{day}", _("It was changed elsewhere just now; open the month anew.")))
        elif result.before is not None:
            written.append(day)
            replaced.append((result.before, result.base))
    message = _saved_text(written)
    if failed:
        return SaveResult(saved=False, said=message, problems=failed, undo=packed(replaced))
    said = message if written else _("Nothing to save: the pages say all of it already.")
    return SaveResult(saved=True, said=said, undo=packed(replaced))


def _saved_text(days: Sequence[str]) -> str:
    if not days:
        return _("Saved {days}.", days=_n("{count} day", "{count} days", 0))
    first, last = (dates.day(dt.date.fromisoformat(day), weekday=False) for day in (days[0], days[-1]))
    count = _n("{count} day", "{count} days", len(days))
    if first == last:
        return _("Saved {days}, {day}.", days=count, day=first)
    return _("Saved {days}, from {first} to {last}.", days=count, first=first, last=last)
