"""Due days by masks against dateutil on the same random rules: python -m tests.benchmarks.bench_schedule

It prints ratios, which are more comparable between machines than seconds. dateutil steps through the due days, so it is
fast for rules with few days in many years and slow for rules with many. For rules without a due day it searches to the
year 9999, so these are skipped.
"""

from __future__ import annotations

import datetime as dt
import random
import statistics
import time
from collections import defaultdict
from collections.abc import Callable
from functools import partial

import dateutil.rrule

from journal.recurrence import parse
from journal.schedule import due
from tests.random_rules import random_rule

RULES = 300
REPEATS = 3
FIRST = dt.date(2025, 1, 1)


def main() -> None:
    for years in (1, 10, 50):
        print(f"{years:>3} years   times as long in dateutil: median, lower and upper tenth; longest mask, in ms")
        for freq, (ratios, longest) in by_frequency(years, random.Random(5545)).items():
            tenths = statistics.quantiles(ratios, n=10)
            print(f"    {freq:<8} {statistics.median(ratios):7.1f} {tenths[0]:7.1f} {tenths[-1]:7.1f} {longest:10.1f}")


def by_frequency(years: int, dice: random.Random) -> dict[str, tuple[list[float], float]]:
    """How many times as long dateutil takes as a mask, for each rule by its frequency; and the longest mask, in ms."""
    last = FIRST.replace(year=FIRST.year + years) - dt.timedelta(days=1)
    ratios: defaultdict[str, list[float]] = defaultdict(list)
    longest: defaultdict[str, float] = defaultdict(float)
    for _ in range(RULES):
        rule = random_rule(dice)
        freq = rule.split(";")[0].removeprefix("FREQ=")
        if not due(rule, FIRST, FIRST, last).any() or _mixed(rule):
            continue
        masks = _seconds(partial(due, rule, FIRST, FIRST, last))
        stepping = _seconds(partial(_stepped, rule, last))
        ratios[freq].append(stepping / masks)
        longest[freq] = max(longest[freq], masks * 1000)
    return {freq: (ratios[freq], longest[freq]) for freq in ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")}


def _mixed(rule: str) -> bool:
    """Whether a rule mixes plain and numbered weekdays, which dateutil treats as a contradiction."""
    return len({day.ordinal == 0 for day in parse(rule).byday}) > 1


def _stepped(rule: str, last: dt.date) -> list[dt.datetime]:
    start = dt.datetime.combine(FIRST, dt.time())
    rules = dateutil.rrule.rrulestr(f"{rule};UNTIL={last:%Y%m%d}", dtstart=start)
    return list(rules)


def _seconds(work: Callable[[], object]) -> float:
    """The least time of a few runs."""

    def once() -> float:
        begin = time.perf_counter()
        work()
        return time.perf_counter() - begin

    return min(once() for _ in range(REPEATS))


if __name__ == "__main__":
    main()
