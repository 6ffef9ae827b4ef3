"""The fields of a schedule as a page sends them: read, or each rejected with its place and a remedy."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import msgspec

from journal.errors import RuleError
from journal.language.catalogue import _
from journal.recurrence import WEEKDAY_CODES, parse
from journal.saving.form_values import FormValues
from journal.setup.schedule_fields import (
    GREATEST_INTERVAL,
    MOST_TIMES,
    ORDINALS,
    PATTERNS,
    QuotaPeriod,
    ScheduleFields,
    SchedulePattern,
    month_length,
)
from journal.wording import dates, numbers


def read(form: FormValues, sent: object, field: str, *, quota: bool) -> ScheduleFields | None:
    """The fields as they were sent, or None with their problems reported to `form`.

    Problems are at `field` and the name, e.g. "habits.walk.schedule.weekdays". `quota` says whether a quota is allowed.
    `month_days` may be a text: "1, 15". Fields that the pattern does not use are ignored.

    >>> form = FormValues()
    >>> read(form, {"pattern": "weekdays", "weekdays": []}, "schedule", quota=False)
    >>> form.troubles[0].message
    'No day of the week is chosen; choose at least one.'
    """
    if not isinstance(sent, Mapping):
        form.expected(field, _("a schedule"), sent, _("open the page anew"))
        return None
    before = len(form.troubles)
    offered = [pattern for pattern in PATTERNS if quota or pattern != "quota"]
    pattern = form.word(sent.get("pattern"), f"{field}.pattern", offered)
    weeks_from = form.word(sent.get("weeks_from", "MO"), f"{field}.weeks_from", WEEKDAY_CODES)
    fields = ScheduleFields(pattern=pattern, weeks_from=weeks_from, rule=_rule_sent(form, sent, field))
    fields = msgspec.structs.replace(fields, **_SentSchedule(form, sent, field).used(pattern))
    if pattern == "other" and not fields.rule and len(form.troubles) == before:
        form.report(f"{field}.pattern", _("No rule is kept here; choose how often it is due."))
    return fields if len(form.troubles) == before else None


def _rule_sent(form: FormValues, sent: Mapping[str, Any], field: str) -> str:
    text = form.text(sent, "rule", field) or ""
    try:
        return text if not text or parse(text) else ""
    except RuleError as error:
        form.report(f"{field}.pattern", f"{error}.")
        return ""


class _SentSchedule(NamedTuple):
    """The fields of a schedule as they were sent, each read with its problems."""

    form: FormValues
    sent: Mapping[str, Any]
    field: str

    def used(self, pattern: SchedulePattern) -> dict[str, Any]:
        """The fields that a pattern uses, by name."""
        every = {} if pattern in ("day", "quota", "other") else {"interval": self.interval(pattern)}
        match pattern:
            case "weekdays":
                return every | {"weekdays": self.weekdays()}
            case "month days":
                last_day = self.form.flag(self.sent, "last_day") is True
                return every | {"month_days": self.days_of_month(last_day), "last_day": last_day}
            case "month weekdays":
                return every | {"weekdays": self.weekdays(), "ordinals": self.ordinals()}
            case "year":
                return every | self.date_of_year()
            case "quota":
                return self.quota()
            case _:
                return every

    def interval(self, pattern: SchedulePattern) -> int:
        least = 2 if pattern == "days" else 1
        return self._between("interval", least, GREATEST_INTERVAL, absent=least) or least

    def weekdays(self) -> tuple[str, ...]:
        none = _("No day of the week is chosen; choose at least one.")
        return tuple(self._chosen("weekdays", WEEKDAY_CODES, none))

    def ordinals(self) -> tuple[int, ...]:
        none = _("It is not chosen which of the month; choose e.g. the first.")
        return tuple(self._chosen("ordinals", ORDINALS, none))

    def days_of_month(self, last_day: bool) -> tuple[int, ...]:
        days = self._day_numbers()
        if days == () and not last_day:
            self.form.report(f"{self.field}.month_days", _('No day of the month is given; write e.g. "1, 15".'))
        return days or ()

    def date_of_year(self) -> dict[str, Any]:
        month, days = self._between("month", 1, 12), self._day_numbers()
        if days is None:
            return {}
        if len(days) != 1:
            self.form.report(f"{self.field}.month_days", _("Expected one day of the month; write e.g. 14."))
        elif month and days[0] > (length := month_length(month)):
            too_late = _(
                "{month} has {length} days; write a day from 1 to {length}.",
                month=dates.month_name(month),
                length=length,
            )
            self.form.report(f"{self.field}.month_days", too_late)
        return {"month": month, "month_days": days}

    def quota(self) -> dict[str, Any]:
        per: QuotaPeriod = self.form.word(self.sent.get("per"), f"{self.field}.per", ("week", "month"))
        return {"times": self._between("times", 1, MOST_TIMES[per]), "per": per}

    def _between(self, name: str, least: int, most: int, absent: int | None = None) -> int | None:
        value, field = self.sent.get(name, absent), f"{self.field}.{name}"
        number = self.form.whole(value, field)
        if number is None and value not in (None, ""):
            return None  # reported already
        if number is not None and least <= number <= most:
            return number
        expected = _("a whole number from {low} to {high}", low=least, high=most)
        self.form.expected(field, expected, number, _("write e.g. {example}", example=max(least, 2)))
        return None

    def _chosen(self, name: str, options: Sequence[Any], none: str) -> list[Any]:
        values = self.sent.get(name)
        chosen = [option for option in options if isinstance(values, list | tuple) and option in values]
        if not chosen:
            self.form.report(f"{self.field}.{name}", none)
        return chosen

    def _day_numbers(self) -> tuple[int, ...] | None:
        """Days of the month from a list of numbers, or from a text such as "1, 15 and 20". None with a problem."""
        value = self.sent.get("month_days") or ()
        items = re.split(r"[\s,;.]+|and|und", value) if isinstance(value, str) else value
        texts = [str(item) for item in items if item != ""]
        wrong = [text for text in texts if not re.fullmatch("[0-9]{1,2}", text) or not 1 <= int(text) <= 31]
        if wrong:
            got = numbers.listed(_('"{text}"', text=text) for text in wrong)
            expected = _('Expected days from 1 to 31, got {typed}; write e.g. "1, 15".', typed=got)
            self.form.report(f"{self.field}.month_days", expected)
            return None
        return tuple(sorted({int(text) for text in texts}))
