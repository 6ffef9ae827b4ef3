"""The next due days of a change of a habit, as it is entered, before it is saved."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from journal.saving.form_values import FormValues
from journal.setup import changed_schedule, coming_days, schedule_entered

if TYPE_CHECKING:
    from journal import Journal


def words(book: Journal, raw: object) -> str:
    """The schedule and its next due days, from {"habit", "from", "schedule"}. Empty while a field is wrong: the save
    says what is.

    >>> import datetime as dt, journal, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = pathlib.Path(folder, "journal.toml").write_text(
    ...         '[[habits]]\\nkey = "walk"\\nname = "Walk"\\nevery = "FREQ=DAILY"\\nfrom = 2025-01-01')
    ...     book = journal.open(folder, today=dt.date(2025, 3, 31))
    >>> fridays = {"pattern": "weekdays", "interval": 2, "weekdays": ["FR"]}
    >>> words(book, {"habit": "walk", "from": "2025-04-01", "schedule": fridays})
    'Every other Friday: 4 April, 18 April, 2 May, 16 May and so on.'
    """
    form = FormValues()
    raw = raw if isinstance(raw, Mapping) else {}
    first = form.date(raw.get("from"), "from")
    fields = schedule_entered.read(form, raw.get("schedule"), "schedule", quota=True)
    definitions = book.settings.definitions(str(raw.get("habit")))
    before = None if first is None else next((one for one in reversed(definitions) if one.start <= first), None)
    if first is None or fields is None or before is None:
        return ""
    keys, start = changed_schedule.from_day(before, fields, first, week_starts=book.settings.week_starts)
    return coming_days.words(keys, start, first=start, until=changed_schedule.last_day(definitions, before, start))
