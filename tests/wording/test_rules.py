"""Texts of rules and quotas: the expected text, and no text shared by rules that differ."""

from __future__ import annotations

import datetime as dt
import random
from collections import defaultdict

import pytest

from journal.recurrence import parse
from journal.schedule import due
from journal.wording import rules
from tests.random_rules import random_rule

THURSDAY = dt.date(2025, 3, 13)

NAMES = {
    "FREQ=DAILY": "every day",
    "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR,SA,SU": "every day",
    "FREQ=DAILY;INTERVAL=2": "every other day",
    "FREQ=DAILY;INTERVAL=3": "every 3 days",
    "FREQ=DAILY;BYDAY=MO,TU,WE,TH,FR": "every weekday",
    "FREQ=WEEKLY;BYDAY=FR,TH,WE,TU,MO": "every weekday",
    "FREQ=WEEKLY": "every Thursday",
    "FREQ=WEEKLY;BYDAY=SU": "every Sunday",
    "FREQ=WEEKLY;BYDAY=FR,MO,WE": "Mondays, Wednesdays and Fridays",
    "FREQ=WEEKLY;BYDAY=SA,SU": "Saturdays and Sundays",
    "FREQ=WEEKLY;BYDAY=SA,SU;WKST=SU": "Sundays and Saturdays",
    "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR": "every other Friday",
    "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR,MO": "every other week on Monday and Friday",
    "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,SU;WKST=SU": "every other week on Sunday and Tuesday, weeks from Sunday",
    "FREQ=WEEKLY;INTERVAL=3;BYDAY=FR": "every 3 weeks on Friday",
    "FREQ=MONTHLY": "monthly on the 13th",
    "FREQ=MONTHLY;BYMONTHDAY=1": "monthly on the 1st",
    "FREQ=MONTHLY;BYMONTHDAY=1,15": "monthly on the 1st and 15th",
    "FREQ=MONTHLY;BYMONTHDAY=-1": "monthly on the last day",
    "FREQ=MONTHLY;BYMONTHDAY=31": "monthly on the 31st, where there is one",
    "FREQ=MONTHLY;INTERVAL=3;BYMONTHDAY=1,-1": "every 3 months on the 1st and last day",
    "FREQ=MONTHLY;BYDAY=-1FR": "the last Friday of the month",
    "FREQ=MONTHLY;BYDAY=1MO,3MO": "the first and third Monday of the month",
    "FREQ=MONTHLY;BYDAY=1MO,-1FR": "the first Monday and the last Friday of the month",
    "FREQ=MONTHLY;BYDAY=5FR": "the fifth Friday of the month, where there is one",
    "FREQ=MONTHLY;INTERVAL=2;BYDAY=1SU": "every other month on the first Sunday",
    "FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13": "every Friday the 13th",
    "FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13;BYMONTH=6,10": "every Friday the 13th in June and October",
    "FREQ=MONTHLY;BYDAY=MO": "every Monday",
    "FREQ=YEARLY": "every year on 13 March",
    "FREQ=YEARLY;INTERVAL=2": "every other year on 13 March",
    "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29": "every year on 29 February, where there is one",
    "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=-1": "every year on the last day of February",
    "FREQ=YEARLY;BYMONTH=11;BYDAY=4TH": "every year on the fourth Thursday of November",
    "FREQ=YEARLY;BYMONTH=6,7,8;BYDAY=TH": "every Thursday in June, July and August",
    "FREQ=DAILY;BYMONTH=1": "every day in January",
    "FREQ=YEARLY;BYDAY=20MO": "days on the 20th Monday of the year",
    "FREQ=YEARLY;BYYEARDAY=1,100,-1": "days on the 1st, 100th or last day of the year",
    "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO": "days in the 20th week of the year, on a Monday",
    "FREQ=MONTHLY;BYDAY=MO,FR;BYSETPOS=1,-2": "every month: the 1st and 2nd to last of the days "
    "on a Monday or a Friday",
    "FREQ=DAILY;INTERVAL=2;BYDAY=MO": "every other day: days on a Monday",
    "FREQ=DAILY;COUNT=10": "every day, 10 times in all",
    "FREQ=WEEKLY;BYDAY=SU;COUNT=1": "every Sunday, once only",
    "FREQ=DAILY;UNTIL=20251231": "every day, until 31 December 2025",
}


@pytest.mark.parametrize(("rule", "name"), NAMES.items(), ids=list(NAMES))
def test_the_text_of_a_rule(rule: str, name: str) -> None:
    assert rules.words(rule, THURSDAY) == rules.words(parse(rule), THURSDAY) == name


def test_rules_that_differ_have_different_texts() -> None:
    """Rules with the same text have the same days over ten years. WKST is compared apart if the text omits it."""
    dice = random.Random(5545)
    by_name: defaultdict[tuple[str, int], set[str]] = defaultdict(set)
    for rule in {random_rule(dice) for _ in range(4000)}:
        by_name[rules.words(rule, THURSDAY), parse(rule).wkst if "INTERVAL" in rule else 0].add(rule)
    shared = [sorted(alike) for alike in by_name.values() if len(alike) > 1]
    assert len(shared) > 50  # otherwise the loop below compares too little
    for alike in shared:
        days = {rule: due(rule, THURSDAY, THURSDAY, dt.date(2035, 3, 12)) for rule in alike}
        assert [rule for rule in alike if not days[rule].equals(days[alike[0]])] == [], f"differ from {alike[0]}"
