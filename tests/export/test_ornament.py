"""The ornament of a day: it differs from day to day, is one thread, and alternates over and under."""

from __future__ import annotations

import datetime as dt
import itertools
import math
import re

import pytest

from journal.export import ornament
from journal.export.ornament import _Ring, of, svg
from tests.journals import days_between

FRIDAY = dt.date(2025, 3, 14)
RINGS = [
    ornament.Ornament(
        bights=bights, leads=leads, turn=turn, shallow=shallow, thread="plain", middle="open", border="none"
    )
    for bights, leads, turn, shallow in itertools.product(range(5, 12), (3, 4, 5), ornament._TURNS, (False, True))
    if math.gcd(bights, leads) == 1
]


def test_consecutive_days_have_different_ornaments() -> None:
    days = list(days_between(dt.date(1900, 1, 1), dt.date(2199, 12, 31)))
    assert len(days) == 109_573
    assert [
        day for day, (one, other) in zip(days, itertools.pairwise(map(of, days)), strict=False) if one == other
    ] == []


def test_consecutive_days_have_different_drawings() -> None:
    for day in days_between(dt.date(2024, 2, 20), dt.date(2024, 3, 10)):
        assert svg(of(day)) != svg(of(day + dt.timedelta(days=1)))


def test_a_day_always_has_the_same_ornament_and_a_week_several() -> None:
    assert svg(of(FRIDAY)) == svg(of(dt.date(2025, 3, 14)))
    drawn = {of(day) for day in days_between(dt.date(2025, 1, 1), dt.date(2025, 12, 31))}
    assert len(drawn) > 300


def test_the_number_of_bights_gives_the_weekday() -> None:
    week = days_between(dt.date(2025, 3, 10), dt.date(2025, 3, 16))
    assert [of(day).bights for day in week] == [5, 6, 7, 8, 9, 10, 11]


def test_every_ring_is_one_thread_and_no_star_has_five_or_six_points() -> None:
    for day in days_between(dt.date(2025, 1, 1), dt.date(2030, 12, 31)):
        one = of(day)
        assert math.gcd(one.bights, one.leads) == 1
        assert one.middle != "star" or one.bights >= 7


@pytest.mark.parametrize("one", RINGS, ids=lambda one: f"{one.leads}-{one.bights}-{one.turn}-{one.shallow}")
def test_the_thread_alternates_over_and_under(one: ornament.Ornament) -> None:
    ring = _Ring(one)
    crossings = list(ring.crossings())
    # A Turk's head has bights x (leads - 1) crossings (Ashley 1944, from memory); at each, two pieces meet.
    assert len(crossings) == one.bights * (one.leads - 1)
    assert all(abs(ring.at(over) - ring.at(under)) < 1e-9 for over, under in crossings)
    passed = [(over % ring.length, True) for over, _ in crossings] + [
        (under % ring.length, False) for _, under in crossings
    ]
    order = [goes_over for _, goes_over in sorted(passed)]
    assert all(one != other for one, other in itertools.pairwise(order)) and order[0] != order[-1]


@pytest.mark.parametrize("day", list(days_between(dt.date(2025, 3, 1), dt.date(2025, 3, 21))), ids=str)
def test_it_stays_in_its_square(day: dt.date) -> None:
    drawn = svg(of(day))
    paths = re.findall(r' d="([^"]*)"', drawn)
    numbers = [float(number) for path in paths for number in re.findall(r"-?\d+\.\d+", path)]
    assert numbers and min(numbers) > 1 and max(numbers) < 99
    assert "nan" not in drawn
