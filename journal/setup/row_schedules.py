"""The schedule of a [[habits]] or [[routines]] table: as fields, in words, and as it was entered."""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Mapping
from typing import Any

from journal.errors import RuleError
from journal.folder.three_way_merge import REMOVE
from journal.recurrence import WEEKDAY_CODES
from journal.saving.form_values import FormValues
from journal.settings import WEEKDAYS, Weekday
from journal.setup import coming_days, schedule_entered, schedule_fields
from journal.setup.schedule_fields import ScheduleFields, ScheduleKeys
from journal.setup.setting_lists import SCHEDULE_KEYS
from journal.wording import rules

_ANY_DAY = dt.date(2025, 1, 1)  # of a table without a valid "from", whose rule is shown all the same


def of(table: Mapping[str, Any], week_starts: Weekday) -> ScheduleFields:
    """The fields of a table's schedule. A new table is due every day; a rule that cannot be read is kept as it stands.

    >>> of({"times": 3, "per": "week"}, "monday").pattern, of({"every": "FREQ=SOMETIMES"}, "monday").pattern
    ('quota', 'other')
    """
    every, times = table.get("every"), table.get("times")
    code = WEEKDAY_CODES[WEEKDAYS.index(week_starts)]
    if isinstance(every, str):
        with contextlib.suppress(RuleError):
            return schedule_fields.of_rule(every, _start(table), week_starts=week_starts)
        return ScheduleFields(pattern="other", weeks_from=code, rule=every)
    if times is None:
        return ScheduleFields(weeks_from=code)
    per = table.get("per")
    return ScheduleFields(
        pattern="quota",
        weeks_from=code,
        times=times if isinstance(times, int) else None,
        per="month" if per == "month" else "week",
    )


def _start(table: Mapping[str, Any]) -> dt.date:
    start = table.get("from")
    return start if type(start) is dt.date else _ANY_DAY


def coming(table: Mapping[str, Any], today: dt.date) -> str:
    """The schedule of a table with its next due days from today on, as text. Empty for one that cannot be read."""
    keys = ScheduleKeys(*(table.get(key) for key in SCHEDULE_KEYS))
    until = table.get("until")
    try:
        return coming_days.words(keys, _start(table), first=today, until=until if type(until) is dt.date else None)
    except (RuleError, TypeError):
        return ""


def rule_words(table: Mapping[str, Any]) -> str:
    """The text of a table's rule, or the rule itself if it cannot be read. Empty for a quota."""
    every = table.get("every")
    if not isinstance(every, str):
        return ""
    try:
        return rules.words(every, _start(table))
    except RuleError:
        return every


def entered(
    form: FormValues, sent: object, at: str, before: Mapping[str, Any], start: dt.date | None
) -> dict[str, Any]:
    """Return the keys of an entered schedule that counts from `start`, the others as REMOVE.

    `before` is the table in the file. A schedule that stays has no keys.
    """
    fields = schedule_entered.read(form, sent, at, quota=at.startswith("habits."))
    if fields is None:
        return {}
    start = start or _start(before)
    table = schedule_fields.keys(fields, start).table
    if all(table.get(key) == before.get(key) for key in SCHEDULE_KEYS):
        return {}
    return {key: table.get(key, REMOVE) for key in SCHEDULE_KEYS}


def preview(params: Mapping[str, Any], today: dt.date) -> str:
    """The text of a schedule that is being entered: {"schedule", "from", "until"}. Empty while it has a problem.

    >>> sent = {"schedule": {"pattern": "weekdays", "weekdays": ["FR"], "interval": 2}, "from": "2025-03-14"}
    >>> preview(sent, dt.date(2025, 3, 14))
    'Every other Friday: 14 March, 28 March, 11 April, 25 April and so on.'
    """
    form = FormValues()
    fields = schedule_entered.read(form, params.get("schedule"), "schedule", quota=True)
    start, until = form.date(params.get("from"), "from"), form.date(params.get("until"), "until")
    if fields is None or start is None or form.troubles:
        return ""
    try:
        return coming_days.words(schedule_fields.keys(fields, start), start, first=max(start, today), until=until)
    except RuleError:
        return ""
