"""Schedules as form fields: the pattern of a rule, and the same due days on the way back."""

from __future__ import annotations

import datetime as dt
import random
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.recurrence import parse
from journal.saving.form_values import FormValues
from journal.schedule import due
from journal.settings import WEEKDAYS, Habit, Weekday
from journal.setup import schedule_entered, schedule_fields
from journal.setup.schedule_fields import ScheduleFields
from tests.random_rules import random_rule

THURSDAY = dt.date(2025, 3, 13)


def fields_of(rule: str, start: dt.date = THURSDAY, week_starts: Weekday = "monday") -> ScheduleFields:
    return schedule_fields.of_rule(rule, start, week_starts=week_starts)


PATTERNS = {
    "FREQ=DAILY": {"pattern": "day"},
    "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR,SA,SU": {"pattern": "day"},
    "FREQ=DAILY;INTERVAL=3": {"pattern": "days", "interval": 3},
    "FREQ=DAILY;BYDAY=FR,MO": {"pattern": "weekdays", "weekdays": ("MO", "FR")},
    "FREQ=WEEKLY": {"pattern": "weekdays", "weekdays": ("TH",)},
    "FREQ=YEARLY;BYDAY=SU": {"pattern": "weekdays", "weekdays": ("SU",)},
    "FREQ=WEEKLY;INTERVAL=2;BYDAY=SU,MO;WKST=SU": {
        "pattern": "weekdays", "interval": 2, "weekdays": ("MO", "SU"), "weeks_from": "SU",
    },
    "FREQ=MONTHLY": {"pattern": "month days", "month_days": (13,)},
    "FREQ=DAILY;BYMONTHDAY=1,-1": {"pattern": "month days", "month_days": (1,), "last_day": True},
    "FREQ=MONTHLY;INTERVAL=3;BYMONTHDAY=-1": {"pattern": "month days", "interval": 3, "last_day": True},
    "FREQ=MONTHLY;BYDAY=-1FR": {"pattern": "month weekdays", "ordinals": (-1,), "weekdays": ("FR",)},
    "FREQ=MONTHLY;BYDAY=1MO,1TU,3MO,3TU": {"pattern": "month weekdays", "ordinals": (1, 3), "weekdays": ("MO", "TU")},
    "FREQ=YEARLY": {"pattern": "year", "month": 3, "month_days": (13,)},
    "FREQ=YEARLY;INTERVAL=2;BYMONTH=5;BYMONTHDAY=1": {
        "pattern": "year", "interval": 2, "month": 5, "month_days": (1,),
    },
}  # fmt: skip

OTHERS = [
    "FREQ=DAILY;COUNT=10", "FREQ=DAILY;UNTIL=20251231", "FREQ=MONTHLY;BYDAY=1MO,-1FR", "FREQ=MONTHLY;BYDAY=1MO,FR",
    "FREQ=MONTHLY;INTERVAL=2;BYDAY=MO", "FREQ=DAILY;INTERVAL=2;BYDAY=MO", "FREQ=DAILY;INTERVAL=2;BYMONTHDAY=1",
    "FREQ=MONTHLY;BYMONTHDAY=-2", "FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13", "FREQ=DAILY;BYMONTH=1",
    "FREQ=MONTHLY;BYMONTH=3;BYMONTHDAY=1", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=-1", "FREQ=YEARLY;BYDAY=20MO",
    "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO", "FREQ=YEARLY;BYYEARDAY=1", "FREQ=MONTHLY;BYDAY=MO,FR;BYSETPOS=1",
]  # fmt: skip


@pytest.mark.parametrize("rule", PATTERNS)
def test_the_pattern_of_a_rule(rule: str) -> None:
    expected = msgspec.structs.replace(ScheduleFields(rule=rule), **PATTERNS[rule])  # type: ignore[arg-type]
    assert fields_of(rule) == expected


@pytest.mark.parametrize("rule", OTHERS)
def test_a_rule_without_a_pattern_keeps_its_text(rule: str) -> None:
    fields = fields_of(rule)
    assert (fields.pattern, schedule_fields.keys(fields, THURSDAY).every) == ("other", rule)


def test_random_rules_have_the_same_days_after_the_way_through_the_fields() -> None:
    """Through the form and back, and with the rule's text removed, so that the rule is written anew."""
    dice = random.Random(5545)
    patterns = dict.fromkeys(schedule_fields.PATTERNS, 0)
    for _ in range(3000):
        rule = random_rule(dice)
        start = THURSDAY + dt.timedelta(days=dice.randrange(400))
        fields = fields_of(rule, start, dice.choice(WEEKDAYS))
        patterns[fields.pattern] += 1
        assert schedule_fields.keys(sent(fields), start).every == rule
        if fields.pattern == "other":
            continue
        made = schedule_fields.keys(sent(msgspec.structs.replace(fields, rule="")), start).every
        assert made is not None
        last = dt.date(2031, 3, 12)
        assert due(made, start, start, last).equals(due(rule, start, start, last)), (rule, made, start)
    del patterns["quota"]
    assert min(patterns.values()) > 10, patterns  # otherwise some pattern is not tested


def sent(fields: ScheduleFields) -> ScheduleFields:
    """The fields after the way to the browser and back."""
    form = FormValues()
    table = msgspec.to_builtins(fields) | {"month_days": ", ".join(map(str, fields.month_days))}
    back = schedule_entered.read(form, table, "schedule", quota=True)
    assert form.troubles == []
    assert back == fields
    return back


@st.composite
def entered(draw: st.DrawFn) -> ScheduleFields:
    pattern = draw(st.sampled_from([p for p in schedule_fields.PATTERNS if p not in ("other", "quota")]))
    weeks_from = draw(st.sampled_from(["MO", "SU", "WE"]))
    table: dict[str, Any] = {"pattern": pattern, "weeks_from": weeks_from}
    if pattern != "day":
        table["interval"] = draw(st.integers(2 if pattern == "days" else 1, 6))
    if "weekdays" in pattern:
        table["weekdays"] = draw(st.lists(st.sampled_from(["MO", "TH", "SU"]), min_size=1))
    if pattern == "month weekdays":
        table["ordinals"] = draw(st.lists(st.sampled_from([1, 2, 5, -1]), min_size=1))
    if pattern == "month days":
        table |= {"month_days": draw(st.lists(st.integers(1, 31), max_size=3)), "last_day": draw(st.booleans())}
        table["last_day"] |= not table["month_days"]
    if pattern == "year":
        table |= {"month": draw(st.integers(1, 12)), "month_days": [draw(st.integers(1, 28))]}
    form = FormValues()
    fields = schedule_entered.read(form, table, "schedule", quota=False)
    assert fields is not None, form.troubles
    return fields


@given(entered(), st.sampled_from(WEEKDAYS), st.dates(dt.date(2024, 1, 1), dt.date(2026, 1, 1)))
def test_entered_fields_come_back_from_their_rule(fields: ScheduleFields, week_starts: Weekday, start: dt.date) -> None:
    rule = schedule_fields.keys(fields, start).every
    assert rule is not None
    parse(rule)
    back = fields_of(rule, start, week_starts)
    as_day = fields.pattern in ("day", "weekdays") and fields.interval == 1
    unused = {"rule": "", "weeks_from": ""}
    if as_day and len(fields.weekdays) in (0, 7):
        assert back.pattern == "day"
    else:
        assert msgspec.structs.replace(back, **unused) == msgspec.structs.replace(fields, **unused)
    if fields.pattern == "weekdays" and fields.interval > 1:
        assert back.weeks_from == fields.weeks_from


def test_a_quota_keeps_its_numbers_and_the_week_of_the_journal() -> None:
    swim = Habit(key="swim", name="Swim", start=THURSDAY, times=2, per="month")
    fields = schedule_fields.of(swim, week_starts="sunday")
    assert fields == ScheduleFields(pattern="quota", times=2, per="month", weeks_from="SU")
    assert schedule_fields.keys(sent(fields), THURSDAY).table == {"times": 2, "per": "month"}


PROBLEMS: list[tuple[dict[str, Any], str, str]] = [
    ({"pattern": "hourly"}, "pattern", "choose one of them"),
    ({"pattern": "quota", "times": 3}, "pattern", "choose one of them"),  # of a routine
    ({"pattern": "days", "interval": 1}, "interval", "Expected a whole number from 2 to 999, got 1; write e.g. 2."),
    ({"pattern": "days", "interval": ""}, "interval", "got nothing; write e.g. 2."),
    ({"pattern": "days", "interval": "two"}, "interval", 'Expected a whole number, got "two"; write e.g. 1.'),
    ({"pattern": "weekdays", "weekdays": []}, "weekdays", "No day of the week is chosen; choose at least one."),
    ({"pattern": "month days", "month_days": "1, 32"}, "month_days", 'got "32"; write e.g. "1, 15".'),
    ({"pattern": "month days", "month_days": ""}, "month_days", "No day of the month is given"),
    ({"pattern": "month weekdays", "weekdays": ["MO"]}, "ordinals", "choose e.g. the first."),
    ({"pattern": "year", "month": 2, "month_days": "30"}, "month_days", "write a day from 1 to 29."),
    ({"pattern": "year", "month": 13, "month_days": "1"}, "month", "from 1 to 12, got 13; write e.g. 2."),
    ({"pattern": "other"}, "pattern", "choose how often it is due."),
    ({"pattern": "other", "rule": "FREQ=HOURLY"}, "pattern", "finer than a day"),
]


@pytest.mark.parametrize(("table", "name", "message"), PROBLEMS)
def test_a_wrong_field_has_one_problem_at_its_name(table: dict[str, Any], name: str, message: str) -> None:
    form = FormValues()
    assert schedule_entered.read(form, table, "schedule", quota=False) is None
    assert [trouble.field for trouble in form.troubles] == [f"schedule.{name}"]
    assert message in form.troubles[0].message


def test_a_quota_is_bounded_by_the_shortest_week_or_month() -> None:
    for per, most in (("week", 7), ("month", 28)):
        for times, is_read in ((0, False), (1, True), (most, True), (most + 1, False)):
            table = {"pattern": "quota", "times": times, "per": per}
            assert (schedule_entered.read(FormValues(), table, "schedule", quota=True) is not None) is is_read
