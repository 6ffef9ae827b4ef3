"""What was read of sheets, in lines for a person: the values of each day, with a question mark for each doubt."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator

from journal.language.catalogue import _
from journal.paper import half_hours, sheet_fields
from journal.paper.photographs import PhotographsRead
from journal.paper.sheet_fields import FieldRead


def lines(found: PhotographsRead) -> Iterator[str]:
    """The lines of everything that was read. If nothing but years was, a line for each month: a mood a day."""
    if all(sheet.layout.kind == "year" for sheet, _fields in found.sheets):
        yield from _months(found.fields)
        return
    by_day: dict[dt.date, list[FieldRead]] = {}
    for field in found.fields:
        if field.value is not None or field.doubt:
            by_day.setdefault(field.date, []).append(field)
    for date, fields in sorted(by_day.items()):
        yield from of_day(date, fields)


def of_day(date: dt.date, fields: Iterable[FieldRead]) -> Iterator[str]:
    """The marks of a day on one line, then a line for its hours, and one for each status of its tasks.

    >>> from journal.paper.day_plan import PaperTask
    >>> date = dt.date(2025, 3, 14)
    >>> fields = [FieldRead(field=f"hours.actual.sleep {at}", date=date, photo="", boxes=(), value=True)
    ...           for at in ("00:00", "00:30")]
    >>> fields.append(FieldRead(field="mood", date=date, photo="", boxes=(), doubt="3 half"))
    >>> glue = PaperTask(title="Glue")
    >>> fields.append(FieldRead(field="tasks.0", date=date, photo="", boxes=(), value="done", task=glue))
    >>> print(*of_day(date, fields), sep="\\n")
      2025-03-14  mood ?
                  hours: sleep 00:00-01:00
                  done: Glue
    """
    marks, starts, tasks, unclear = list[str](), dict[str, list[str]](), dict[str, list[str]](), list[str]()
    for field in fields:
        words = "?" if field.doubt else sheet_fields.words(field.value)
        if field.is_task:
            tasks.setdefault(_("not clear") if field.doubt else words, []).append(field.name)
        elif field.is_hour and not field.doubt:
            starts.setdefault(field.path[-1], []).append(half_hours.start(field.field))
        elif field.is_hour:
            unclear.append(field.name)
        else:
            marks.append(f"{field.name} {words}")
    hours = [f"{category} {' '.join(half_hours.spans(own))}" for category, own in starts.items()]
    hours += [f"{name} ?" for name in unclear]
    told = [", ".join(marks)] if marks else []
    told += [_("hours: {hours}", hours=", ".join(hours))] if hours else []
    told += [f"{status}: {', '.join(titles)}" for status, titles in tasks.items()]
    for nth, line in enumerate(told):
        yield f"  {'' if nth else date!s:10}  {line}"


def _months(fields: Iterable[FieldRead]) -> Iterator[str]:
    """A line for each month: a mood a day, and a dash without one."""
    by_month: dict[str, list[str]] = {}
    for field in sorted(fields, key=lambda one: one.date):
        word = "?" if field.doubt else "-" if field.value is None else sheet_fields.words(field.value)
        by_month.setdefault(f"{field.date:%Y-%m}", []).append(word)
    yield from (f"  {month}  {' '.join(moods)}" for month, moods in by_month.items())
