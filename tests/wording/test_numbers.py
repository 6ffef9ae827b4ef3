"""Numbers: a share is rounded as by its whole numbers, and what is neither all nor nothing is not told as such."""

from __future__ import annotations

from journal.wording import numbers
from tests.wording.test_one_percent import told

MOST = 400


def test_a_percent_of_whole_numbers_is_half_up_and_never_all_or_nothing_of_what_is_neither() -> None:
    """All k of n: a half is rounded up although its binary fraction may lie a little below."""
    pairs = [(done, counted) for counted in range(1, MOST + 1) for done in range(counted + 1)]
    wrong = {both for both in pairs if numbers.percent(both[0] / both[1]) != f"{told(*both)}\N{NO-BREAK SPACE}%"}
    assert wrong == set()
    halves = [both for both in pairs if 200 * both[0] % (2 * both[1]) == both[1]]
    assert len(halves) > 500  # there are such to round


def test_an_end_of_an_interval_is_half_up_and_may_be_all_or_nothing() -> None:
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


def test_plain_text_keeps_what_a_writer_set() -> None:
    """Only the space before a percent sign becomes a plain one."""
    name = "Two\N{NO-BREAK SPACE}words"
    assert numbers.plain(f"{name}: {numbers.percent(0.5)}") == f"{name}: 50 %"
