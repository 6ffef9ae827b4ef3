"""Due days: against RFC 5545's own examples, against dateutil on random rules, and against ISO 8601 weeks."""

from __future__ import annotations

import datetime as dt
import itertools
import re
from functools import cache
from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

import dateutil.rrule
import pytest
from hypothesis import given, note, settings
from hypothesis import strategies as st

from journal.errors import RuleError, UsageError
from journal.recurrence import WEEKDAY_CODES, falls_on, parse
from journal.schedule import due, is_due
from tests.choosing import Chooser
from tests.references import load

DAY = dt.timedelta(days=1)
RRULES = load("rrule")
PLAIN = [check for check in RRULES if "dates" in check["expected"]]


def days_due(rule: str, start: dt.date, first: dt.date, last: dt.date) -> list[dt.date]:
    mask = due(rule, start, first, last)
    assert len(mask) == (last - first).days + 1
    assert mask.null_count() == 0
    return [first + place * DAY for place in mask.arg_true().to_list()]


# --- RFC 5545's examples ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("check", PLAIN, ids=[check["name"] for check in PLAIN])
def test_reference_rule(check: dict[str, Any]) -> None:
    inputs, expected = check["inputs"], check["expected"]
    start = dt.date.fromisoformat(inputs["dtstart"][:10])
    ends_itself = "window_end_inclusive" not in inputs
    # A finite rule is followed for ten more years, to verify that it ends.
    last = (
        dt.date.fromisoformat(expected["dates"][-1]) + 3653 * DAY
        if ends_itself
        else dt.date.fromisoformat(inputs["window_end_inclusive"])
    )
    days = days_due(inputs["date_only_rrule"], start, start - 400 * DAY, last)
    assert [day.isoformat() for day in days] == expected["dates"]
    assert len(days) == expected["count"]


def test_reference_until_is_a_day_and_belongs_to_the_rule() -> None:
    (check,) = (check for check in RRULES if check["name"].startswith("trap"))
    start = dt.date.fromisoformat(check["inputs"]["dtstart"])
    days = days_due(check["inputs"]["date_only_rrule"], start, start, start + 400 * DAY)
    assert (days[-1].isoformat(), len(days)) == (check["expected"]["last"], check["expected"]["count"])
    with pytest.raises(RuleError, match="without an hour"):  # the form with an hour would end a day earlier
        parse("FREQ=DAILY;UNTIL=19971224T000000Z")


def test_all_reference_rules_are_used() -> None:
    assert len(PLAIN) + 1 == len(RRULES) == 30


# --- dateutil as the oracle -------------------------------------------------------------------------------------------

AWKWARD_STARTS = [
    dt.date(2024, 2, 29), dt.date(2023, 2, 28), dt.date(2024, 1, 31), dt.date(2023, 8, 31), dt.date(2022, 4, 30),
    dt.date(2021, 12, 31), dt.date(2022, 1, 1), dt.date(2020, 12, 28), dt.date(2021, 1, 3), dt.date(2024, 12, 30),
]  # fmt: skip


BY = {
    "DAILY": ("BYMONTH", "BYMONTHDAY", "BYDAY"),
    "WEEKLY": ("BYMONTH", "BYDAY"),
    "MONTHLY": ("BYMONTH", "BYMONTHDAY", "BYDAY"),
    "YEARLY": ("BYMONTH", "BYMONTHDAY", "BYDAY", "BYYEARDAY", "BYWEEKNO"),
}


def either_sign(greatest: int) -> list[int]:
    return [*range(1, greatest + 1), *range(-greatest, 0)]


class RuleChooser(Chooser):
    """Rules for whole days that RFC 5545 allows and dateutil evaluates correctly. Most of them occur often."""

    def rule(self, start: dt.date) -> str:
        freq = self.one(list(BY))
        interval = self.one(range(1, 61)) if self.flip(4) else self.one([1, 1, 1, 2, 3])
        parts: dict[str, object] = {"FREQ": freq, "INTERVAL": interval, "WKST": self.one(WEEKDAY_CODES)}
        named = self.order(BY[freq])[: self.one([0, 1, 1, 2, 2, 2])]
        most = 5 if freq == "MONTHLY" or "BYMONTH" in named else 53
        numbered = freq in ("MONTHLY", "YEARLY") and "BYWEEKNO" not in named and self.flip()
        parts |= {name: self.values(name, most if numbered else 0) for name in named}
        if named and self.flip(3):
            parts["BYSETPOS"] = self.few([1, 2, 3, -1, -2], either_sign(366))
        end = self.one(["", "", "COUNT", "UNTIL"])
        if end == "COUNT":
            parts["COUNT"] = self.one(range(1, 61))
        elif end == "UNTIL":
            parts["UNTIL"] = f"{start + self.one(range(-30, 1501)) * DAY:%Y%m%d}"
        return ";".join(f"{name}={_text(parts[name])}" for name in self.order(list(parts)))

    def values(self, name: str, numbers: int) -> list[int] | list[str]:
        """Values of a part. Weekdays have ordinals up to `numbers`, or none."""
        if name == "BYMONTH":
            return self.some(range(1, 13), 6, least=1)
        if name == "BYMONTHDAY":
            return self.few([1, 28, 29, 30, 31, -1], either_sign(31))
        if name == "BYYEARDAY":
            return self.few([1, 59, 60, 61, 365, 366, -1, -366], either_sign(366))
        if name == "BYWEEKNO":  # dateutil is wrong beyond these: test_week_numbers_are_iso_8601
            return self.some(either_sign(51), 4, least=1)
        if not numbers:
            return self.some(WEEKDAY_CODES, 7, least=1)
        return [f"{number}{self.one(WEEKDAY_CODES)}" for number in self.few([1, 2, 4, -1], either_sign(numbers))]

    def few(self, awkward: list[int], others: list[int]) -> list[int]:
        """Up to four numbers, half of them edge cases."""
        return [self.one(awkward if self.flip() else others) for _ in range(self.one(range(1, 5)))]

    def start(self) -> dt.date:
        return self.one(AWKWARD_STARTS) if self.flip() else dt.date(2019, 1, 1) + self.one(range(2922)) * DAY


def _text(value: object) -> str:
    return ",".join(map(str, value)) if isinstance(value, list) else str(value)


def expected_days(rule: str, start: dt.date, first: dt.date, last: dt.date) -> list[dt.date]:
    """dateutil's result, limited to the year after `last`, since it would search to the year 9999."""
    bounded = SimpleNamespace(**{**vars(dt), "MAXYEAR": max(last.year, start.year) + 1})
    with patch.object(dateutil.rrule, "datetime", bounded):
        moments = dateutil.rrule.rrulestr(rule, dtstart=dt.datetime.combine(start, dt.time()))
        days = itertools.takewhile(lambda day: day <= last, (moment.date() for moment in moments))
        return [day for day in days if day >= first]


@settings(max_examples=max(1300, settings().max_examples))
@given(st.data())
def test_masks_equal_dateutil(data: st.DataObject) -> None:
    choose = RuleChooser(data.draw, at_once=128)
    start = choose.start()
    rule = choose.rule(start)
    if "FREQ=WEEKLY" in rule and "BYSETPOS" in rule:
        # dateutil begins the first week at the start, not at WKST; see test_bysetpos_sees_the_whole_week_of_the_start.
        start -= (start.weekday() - parse(rule).wkst) % 7 * DAY
    # Windows around the start, long before and long after it, of a few days and of a few years.
    first = start + choose.one(range(-40, 41) if choose.flip() else range(-500, 1201)) * DAY
    last = first + choose.one(range(61) if choose.flip() else range(400, 1201)) * DAY
    note(f"{rule} from {start}, {first} to {last}")
    assert days_due(rule, start, first, last) == expected_days(rule, start, first, last)


def single_days_due(rule: str, start: dt.date, first: dt.date, last: dt.date) -> list[dt.date]:
    whole = parse(rule).filled(start)
    return [day for n in range((last - first).days + 1) if falls_on(whole, start, day := first + n * DAY)]


@settings(max_examples=300)
@given(st.data())
def test_a_single_day_is_due_as_in_the_mask(data: st.DataObject) -> None:
    choose = RuleChooser(data.draw, at_once=128)
    start = choose.start()
    rule = choose.rule(start)
    first = start + choose.one(range(-40, 1201)) * DAY
    last = first + choose.one(range(120)) * DAY
    note(f"{rule} from {start}, {first} to {last}")
    if "COUNT" in rule or "BYSETPOS" in rule:
        with pytest.raises(NotImplementedError):
            single_days_due(rule, start, first, last)
    else:
        assert single_days_due(rule, start, first, last) == days_due(rule, start, first, last)
    assert is_due(rule, start, last) == (last in days_due(rule, start, first, last))


# Everyday rules, which the random generator seldom produces.
EVERYDAY = [
    "FREQ=DAILY", "FREQ=DAILY;INTERVAL=3", "FREQ=DAILY;BYDAY=MO,TU,WE,TH,FR", "FREQ=DAILY;BYMONTH=6,7",
    "FREQ=WEEKLY", "FREQ=WEEKLY;BYDAY=MO,WE,FR", "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR",
    "FREQ=WEEKLY;INTERVAL=2;BYDAY=SU,MO", "FREQ=WEEKLY;INTERVAL=2;BYDAY=SU,MO;WKST=SU",
    "FREQ=WEEKLY;INTERVAL=3;BYDAY=SA,TU;WKST=WE", "FREQ=MONTHLY",
    "FREQ=MONTHLY;BYMONTHDAY=1,15", "FREQ=MONTHLY;BYMONTHDAY=-1", "FREQ=MONTHLY;INTERVAL=3;BYMONTHDAY=31",
    "FREQ=MONTHLY;BYDAY=-1FR", "FREQ=MONTHLY;BYDAY=1MO,3MO", "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1",
    "FREQ=YEARLY", "FREQ=YEARLY;INTERVAL=2", "FREQ=YEARLY;BYMONTH=3;BYMONTHDAY=13", "FREQ=YEARLY;BYMONTH=11;BYDAY=4TH",
    "FREQ=YEARLY;BYMONTH=3,10;BYDAY=-1SU", "FREQ=YEARLY;BYDAY=20MO", "FREQ=YEARLY;BYDAY=-1SU", "FREQ=YEARLY;BYDAY=SU",
    "FREQ=YEARLY;BYMONTHDAY=1", "FREQ=YEARLY;BYYEARDAY=60,-1", "FREQ=YEARLY;BYWEEKNO=1,20,-1;BYDAY=MO,SU",
    "FREQ=YEARLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=1,-1", "FREQ=WEEKLY;COUNT=10", "FREQ=MONTHLY;BYDAY=2TU;COUNT=7",
]  # fmt: skip


@pytest.mark.parametrize("rule", EVERYDAY)
def test_everyday_rules_equal_dateutil_from_awkward_starts(rule: str) -> None:
    for start in AWKWARD_STARTS:
        first, last = start - 40 * DAY, start + 6 * 366 * DAY
        expected = expected_days(rule, start, first, last)
        assert days_due(rule, start, first, last) == expected, start
        if "COUNT" not in rule and "BYSETPOS" not in rule:
            assert single_days_due(rule, start, first, last) == expected, start


@given(st.data())
def test_a_window_is_a_slice_of_a_longer_one(data: st.DataObject) -> None:
    choose = RuleChooser(data.draw, at_once=128)
    start = choose.start()
    rule, first = choose.rule(start), start + choose.one(range(-100, 801)) * DAY
    cut, length = choose.one(range(301)), choose.one(range(301))
    note(f"{rule} from {start}, {length} days behind {cut} from {first}")
    whole = due(rule, start, first, first + (cut + length + 100) * DAY)
    part = due(rule, start, first + cut * DAY, first + (cut + length) * DAY)
    assert part.to_list() == whole[cut : cut + length + 1].to_list()


# --- Where dateutil does not follow RFC 5545 --------------------------------------------------------------------------


@pytest.mark.parametrize("number", [1, 2, 26, 51, 52, 53, -1, -2, -51, -52, -53])
def test_week_numbers_are_iso_8601(number: int) -> None:
    """dateutil puts e.g. 1 and 2 January 1910 into week 53. The standard library is right about ISO 8601 weeks."""
    first, last = dt.date(1900, 1, 1), dt.date(2100, 12, 31)
    expected = [day for day, numbers in iso_weeks(first, last) if number in numbers]
    assert days_due(f"FREQ=YEARLY;BYWEEKNO={number}", first, first, last) == expected


@cache
def iso_weeks(first: dt.date, last: dt.date) -> list[tuple[dt.date, tuple[int, int]]]:
    """Each day with its week number, counted from the start and from the end of its year."""
    days = [first + place * DAY for place in range((last - first).days + 1)]
    weeks = [day.isocalendar() for day in days]
    longest = {year: dt.date(year, 12, 28).isocalendar().week for year in {week.year for week in weeks}}
    # 28 December is always in the last week.
    return [(day, (week.week, week.week - longest[week.year] - 1)) for day, week in zip(days, weeks, strict=True)]


def test_plain_and_numbered_weekdays_are_united() -> None:
    """RFC 5545 unites plain and numbered weekdays. dateutil requires a day to be in both lists."""
    start = dt.date(2025, 1, 1)
    mixed = set(days_due("FREQ=MONTHLY;BYDAY=MO,1FR", start, start, dt.date(2025, 12, 31)))
    monday = set(days_due("FREQ=MONTHLY;BYDAY=MO", start, start, dt.date(2025, 12, 31)))
    friday = set(days_due("FREQ=MONTHLY;BYDAY=1FR", start, start, dt.date(2025, 12, 31)))
    assert mixed == monday | friday
    assert (len(monday), len(friday)) == (52, 12)


def test_bysetpos_sees_the_whole_week_of_the_start() -> None:
    """BYSETPOS=1 of Monday and Friday is Monday, also in the week of the start, even if that is a Wednesday."""
    wednesday = dt.date(2025, 3, 5)
    days = days_due("FREQ=WEEKLY;BYDAY=MO,FR;BYSETPOS=1", wednesday, wednesday, dt.date(2025, 3, 20))
    assert days == [dt.date(2025, 3, 10), dt.date(2025, 3, 17)]


# --- Edges ------------------------------------------------------------------------------------------------------------


def test_nothing_is_due_before_the_start_and_the_start_only_when_it_matches() -> None:
    start = dt.date(2025, 3, 13)  # a Thursday
    assert days_due("FREQ=DAILY", start, start - 3 * DAY, start + DAY) == [start, start + DAY]
    assert days_due("FREQ=WEEKLY;BYDAY=FR", start, start - 30 * DAY, start + 7 * DAY) == [start + DAY]
    assert days_due("FREQ=DAILY;COUNT=2", start, start - 30 * DAY, start - DAY) == []


def test_a_rule_that_never_occurs_has_no_day_in_four_hundred_years() -> None:
    first = dt.date(1900, 1, 1)
    for rule in (
        "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=MONTHLY;BYMONTH=2;BYDAY=1MO;BYSETPOS=2",
    ):
        assert not due(rule, first, first, dt.date(2299, 12, 31)).any()


def test_the_last_days_of_the_calendar() -> None:
    for freq in ("DAILY", "WEEKLY", "MONTHLY", "YEARLY"):
        assert due(f"FREQ={freq};BYDAY=MO;BYSETPOS=1", dt.date.min, dt.date.min, dt.date.min).len() == 1
        assert due(f"FREQ={freq};BYDAY=FR;BYSETPOS=-1", dt.date.max, dt.date.max, dt.date.max).to_list() == [True]


def test_a_range_that_ends_before_it_starts_raises() -> None:
    day = dt.date(2025, 3, 13)
    with pytest.raises(UsageError, match="ends before it starts; swap the two days"):
        due("FREQ=DAILY", day, day, day - DAY)


def test_fifty_years_of_a_yearly_rule() -> None:
    start = dt.date(1976, 2, 29)
    assert len(days_due("FREQ=YEARLY", start, start, dt.date(2026, 2, 28))) == 13


# --- Reading ----------------------------------------------------------------------------------------------------------


def test_prefix_case_and_order_do_not_matter() -> None:
    plain = parse("FREQ=MONTHLY;INTERVAL=2;BYDAY=1SU,-1SU")
    assert parse("  RRULE:byday=-1su,+1SU,1su;Interval=02;freq=monthly\n") == plain


BROKEN = {
    "": "is no part of a rule",
    "FREQ=DAILY;": '"" is no part of a rule',
    "DAILY": "write FREQ=DAILY",
    "every day": "the parts are FREQ, INTERVAL",
    "INTERVAL=2": "begin with FREQ=",
    "FREQ=": "FREQ has no value",
    "FREQ=FORTNIGHTLY": "write one of DAILY, WEEKLY",
    "FREQ=HOURLY": "finer than a day",
    "FREQ=SECONDLY": "finer than a day",
    "FREQ=DAILY;BYHOUR=9": "BYHOUR is finer than a day",
    "FREQ=DAILY;BYMINUTE=9": "BYMINUTE is finer than a day",
    "FREQ=DAILY;INTERVAL=0": "from 1 to 99999",
    "FREQ=DAILY;INTERVAL=-1": "from 1 to 99999",
    "FREQ=DAILY;INTERVAL=1.5": "from 1 to 99999",
    "FREQ=DAILY;INTERVAL=٢": "from 1 to 99999",
    "FREQ=DAILY;INTERVAL=999999999999999999999": "from 1 to 99999",
    "FREQ=DAILY;COUNT=0": "COUNT is",
    "FREQ=DAILY;COUNT=3;UNTIL=20251231": "keep one of them",
    "FREQ=DAILY;UNTIL=20250230": "write the last day, e.g.",
    "FREQ=DAILY;UNTIL=2025-12-31": "write the last day, e.g.",
    "FREQ=DAILY;UNTIL=20251231T235959Z": "write the last day without an hour",
    "FREQ=DAILY;FREQ=DAILY": "FREQ is given twice",
    "FREQ=DAILY;WKST=1": "WKST is no weekday",
    "FREQ=WEEKLY;BYDAY=FRI": 'BYDAY has "FRI"',
    "FREQ=WEEKLY;BYDAY=MO,": 'BYDAY has ""',
    "FREQ=WEEKLY;BYDAY=1FR": "a numbered weekday goes with",
    "FREQ=DAILY;BYDAY=-1FR": "a numbered weekday goes with",
    "FREQ=MONTHLY;BYDAY=0FR": 'BYDAY has "0FR"',
    "FREQ=MONTHLY;BYDAY=6FR": "at most 5",
    "FREQ=YEARLY;BYMONTH=3;BYDAY=-6FR": "at most 5",
    "FREQ=YEARLY;BYDAY=54FR": 'BYDAY has "54FR"',
    "FREQ=YEARLY;BYWEEKNO=20;BYDAY=1FR": "does not go with BYWEEKNO",
    "FREQ=MONTHLY;BYWEEKNO=20": "BYWEEKNO goes with FREQ=YEARLY only",
    "FREQ=MONTHLY;BYYEARDAY=20": "BYYEARDAY goes with FREQ=YEARLY only",
    "FREQ=WEEKLY;BYMONTHDAY=1": "BYMONTHDAY does not go with FREQ=WEEKLY",
    "FREQ=MONTHLY;BYMONTHDAY=32": "from 1 to 31 or from -31 to -1",
    "FREQ=MONTHLY;BYMONTHDAY=0": "from 1 to 31",
    "FREQ=YEARLY;BYMONTH=13": "from 1 to 12",
    "FREQ=YEARLY;BYMONTH=-1": "from 1 to 12",
    "FREQ=YEARLY;BYMONTH=may": "from 1 to 12",
    "FREQ=MONTHLY;BYSETPOS=1": "BYSETPOS picks among days",
    "FREQ=DAILY;BYEASTER=1": "is no part of a rule",
    "FREQ=WEEKLY;BYDAYS=MO": "did you mean BYDAY?",
    "FREQ=WEEKLY BYDAY=MO": "write one of DAILY",
    "FREQ=DAILY\nEXDATE:20250101": "write one of DAILY",
    "RRULE:RRULE:FREQ=DAILY": "is no part of a rule",
}


@pytest.mark.parametrize(("text", "message"), BROKEN.items(), ids=[repr(text) for text in BROKEN])
def test_an_invalid_rule_raises_one_line_with_the_remedy(text: str, message: str) -> None:
    with pytest.raises(RuleError, match=re.escape(message)) as caught:
        parse(text)
    line = str(caught.value)
    assert line.splitlines() == [line]
    assert ";" in line.removeprefix(f'"{text}"'), "a complaint, then a remedy"


@given(
    st.text()
    | st.lists(st.sampled_from(["FREQ=", "DAILY", ";", ",", "BYDAY=", "MO", "-1", "COUNT=", "9"])).map("".join)
)
def test_any_text_is_a_rule_or_raises_one_line(text: str) -> None:
    try:
        rule = parse(text)
    except RuleError as error:
        assert str(error).isprintable()
    else:
        assert due(rule, dt.date(2025, 1, 1), dt.date(2025, 1, 1), dt.date(2025, 1, 31)).len() == 31
