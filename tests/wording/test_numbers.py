"""Numbers: shares are rounded by their exact fraction, and only exactly 0 and 1 become 0 % and 100 %."""

from __future__ import annotations

from journal.wording import numbers
from tests.wording.test_one_percent import exact_percent

MOST = 400


def test_percent_rounds_half_up_and_is_0_or_100_only_if_exact() -> None:
    """For all k of n: halves round up although their binary fraction may be slightly less."""
    pairs = [(done, counted) for counted in range(1, MOST + 1) for done in range(counted + 1)]
    wrong = {
        pair for pair in pairs if numbers.percent(pair[0] / pair[1]) != f"{exact_percent(*pair)}\N{NO-BREAK SPACE}%"
    }
    assert wrong == set()
    halves = [pair for pair in pairs if 200 * pair[0] % (2 * pair[1]) == pair[1]]
    assert len(halves) > 500  # the range has halves to round


def test_interval_ends_round_half_up_and_may_be_0_or_100() -> None:
    ends = (0, 0.004, 0.005, 0.5, 0.994, 0.995, 1)
    assert [numbers.plain(numbers.bound(end)) for end in ends] == [
        "0 %",
        "0 %",
        "1 %",
        "50 %",
        "99 %",
        "100 %",
        "100 %",
    ]
    assert numbers.interval(0.004, 0.996) == "0 to 100\N{NO-BREAK SPACE}%"


def test_plain_keeps_other_no_break_spaces() -> None:
    """Only a no-break space before a percent sign is replaced."""
    name = "Two\N{NO-BREAK SPACE}words"
    assert numbers.plain(f"{name}: {numbers.percent(0.5)}") == f"{name}: 50 %"
