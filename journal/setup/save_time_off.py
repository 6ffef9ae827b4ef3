"""The save of time off: one [[rests]] of journal.toml added, edited, shortened or removed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal, get_args

from journal.errors import JournalError, UsageError
from journal.folder.identity import identities
from journal.folder.page_versions import SETTINGS
from journal.language.catalogue import _
from journal.saving import base_pages
from journal.saving.base_pages import Pages
from journal.saving.form_values import FormValues
from journal.saving.save_pages import PagesSave, PageWrite, SaveResult
from journal.setup.settings_tables import SettingsTables
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal

TimeOffAction = Literal["add", "edit", "back", "remove"]
_DAY = dt.timedelta(days=1)
_EARLIEST = dt.date(1900, 1, 1)


def save(book: Journal, raw: object, *, now: dt.datetime) -> SaveResult:
    """Save time off: {"base" of the offer, "what", "ref" of an existing one}, and its values.

    "what" is add or edit, with "from", "until", "habits" (a list of keys, none for all) and "reason"; or remove; or
    back, which ends it yesterday. If it began today, back removes it.

    >>> import journal, pathlib, tempfile
    >>> from journal.setup import time_off_form
    >>> folder, now = tempfile.TemporaryDirectory(), dt.datetime(2025, 3, 13, 21, 4, tzinfo=dt.UTC)
    >>> settings = pathlib.Path(folder.name, "journal.toml")
    >>> _ = settings.write_text('title = "Spine and thread"\\n')
    >>> book = journal.open(folder.name, today=dt.date(2025, 3, 13))
    >>> flu = {"what": "add", "from": "2025-03-11", "until": "2025-03-16", "reason": "flu"}
    >>> save(book, flu | {"base": time_off_form.offer(book).base}, now=now).saved
    True
    >>> print(settings.read_text().partition("\\n\\n")[2].strip())
    [[rests]]
    from = 2025-03-11
    until = 2025-03-16
    reason = "flu"
    >>> folder.cleanup()
    """
    form = FormValues()
    try:
        if not isinstance(raw, Mapping):
            raise UsageError(_("the form has sent no time off; open the page anew"))
        pages = Pages(base_pages.submitted(raw.get("base"), book.files.pages), book.files.pages.current)
        tables = SettingsTables(pages.base(SETTINGS).values)
        _apply(book, tables, raw, form)
    except JournalError as error:
        text = str(error)
        form.report("", f"{text[:1].upper()}{text[1:]}.")
    if form.troubles:
        return SaveResult(saved=False, problems=form.troubles)
    steps = [PageWrite(SETTINGS, tables.changes)] if tables.changes else []
    return PagesSave(book.files, pages, raw, field=_field, now=now, by="evening").save(steps)


def _apply(book: Journal, tables: SettingsTables, raw: Mapping[str, Any], form: FormValues) -> None:
    what: TimeOffAction = form.word(raw.get("what"), "what", get_args(TimeOffAction))
    table = {} if what == "add" else _existing(tables, raw.get("ref"))
    if what == "remove":
        tables.remove(table)
    elif what == "back":
        _end_yesterday(book, tables, table)
    else:
        values = _entered(book, raw, form, table)
        if values is None:
            return
        table |= values
        for name in ("habits", "reason"):
            if name in table and not table[name]:
                del table[name]
        if what == "add":
            tables.rests.append(table)


def _existing(tables: SettingsTables, ref: object) -> dict[str, Any]:
    for own, table in zip(identities("rests", tables.rests), tables.rests, strict=True):
        if own == ref:
            return table
    raise UsageError(_("this time off is no longer in journal.toml; open the page anew"))


def _end_yesterday(book: Journal, tables: SettingsTables, table: dict[str, Any]) -> None:
    yesterday = book.today - _DAY
    if not table["from"] <= book.today <= table["until"]:
        raise UsageError(_("this time off does not include today; edit its days instead"))
    if table["from"] > yesterday:
        tables.remove(table)
    else:
        table["until"] = yesterday


def _entered(
    book: Journal, raw: Mapping[str, Any], form: FormValues, before: Mapping[str, Any]
) -> dict[str, Any] | None:
    first, last = _day(raw, "from", form), _day(raw, "until", form)
    if first and last and last < first:
        form.report("until", _later(first, last))
    reason = form.text(raw, "reason")
    habits = raw.get("habits") or []
    known = (*book.settings.habit_keys, *before.get("habits", ()))
    if not isinstance(habits, Sequence) or any(key not in known for key in habits):
        form.report("habits", _("A habit of this list is no longer in journal.toml; choose again."))
    if form.troubles:
        return None
    in_order = [key for key in dict.fromkeys(known) if key in habits]
    kept = list(before.get("habits", ()))
    chosen = kept if set(kept) == set(in_order) else in_order
    return {"from": first, "until": last, "habits": chosen, "reason": (reason or "").replace("\n", " ")}


def _day(raw: Mapping[str, Any], field: str, form: FormValues) -> dt.date | None:
    problems_before = len(form.troubles)
    day = form.date(raw.get(field), field)
    if day is None and len(form.troubles) == problems_before:
        form.report(field, _("The day is missing; choose one."))
    if day is not None and day < _EARLIEST:
        form.report(field, _later(_EARLIEST, day))
    return day


def _field(_key: str, path: Sequence[str | int]) -> str:
    """The field of the form for a path in journal.toml."""
    return str(path[2]) if len(path) > 2 and path[2] in ("from", "until", "habits", "reason") else ""


def _later(first: dt.date, day: dt.date) -> str:
    return _("Expected a day from {first} on, got {day}; choose a later one.", first=_date(first), day=_date(day))


def _date(day: dt.date) -> str:
    return dates.day(day, weekday=False, year=True)
