"""A changed definition of a habit as it was entered: its first day, and the keys that differ from the one before."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

from msgspec import UNSET

from journal.language.catalogue import _
from journal.saving.form_values import FormValues
from journal.settings import Habit, Weekday
from journal.setup import changed_schedule, schedule_entered

Aim = Literal["at least", "at most"]
AIMS: tuple[Aim, ...] = ("at least", "at most")


class ChangedDefinition(NamedTuple):
    """`start` is the first day. `values` has the keys that differ; None removes one."""

    start: dt.date
    values: dict[str, Any]


def entered(
    form: FormValues, raw: Mapping[str, Any], before: Habit, first: dt.date, *, week_starts: Weekday
) -> ChangedDefinition | None:
    """The definition from `first` on, or None with its problems in `form`.

    In: "schedule" as `schedule_entered.read` takes it, "target", "unit" and "aim". Without a target, unit and aim have
    no effect, and are removed.

    >>> form, first = FormValues(), dt.date(2025, 1, 1)
    >>> walk = Habit(key="walk", name="Walk", start=first, every="FREQ=DAILY")
    >>> sent = {"schedule": {"pattern": "quota", "times": 3, "per": "week"}, "target": None}
    >>> entered(form, sent, walk, dt.date(2025, 4, 1), week_starts="monday").values
    {'every': None, 'times': 3, 'per': 'week'}
    """
    problems_before = len(form.troubles)
    fields = schedule_entered.read(form, raw.get("schedule"), "schedule", quota=True)
    aim: Aim = form.word(raw.get("aim") or "at least", "aim", AIMS)
    target, unit = _target(form, raw, aim), form.text(raw, "unit")
    if fields is None or len(form.troubles) > problems_before:
        return None
    keys, start = changed_schedule.from_day(before, fields, first, week_starts=week_starts)
    wanted: dict[str, Any] = keys._asdict() | {"target": target, "unit": unit or "", "aim": aim}
    if target is None:
        wanted |= {"unit": "", "aim": "at least"}
    of_before = {name: getattr(before, name) for name in wanted}
    values = {name: value for name, value in wanted.items() if value != of_before[name]}
    if not values:
        form.report(
            "schedule.pattern", _("Nothing is changed here; choose what is different from then on, or keep it.")
        )
        return None
    return ChangedDefinition(start, {name: None if value == "" else value for name, value in values.items()})


def _target(form: FormValues, raw: Mapping[str, Any], aim: Aim) -> float | None:
    target = form.number(raw, "target")
    if target is UNSET or target is None:
        return None
    if target < 0 or (target == 0 and aim == "at least") or not math.isfinite(target):
        least = _("an amount of more than 0") if aim == "at least" else _("an amount of 0 or more")
        form.expected("target", least, target, _("write how many, e.g. 20"))
        return None
    return target
