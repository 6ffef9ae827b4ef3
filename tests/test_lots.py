"""The draw of a trial: vectors made with sha256sum in a shell, and against a draw written out day by day."""

from __future__ import annotations

import datetime as dt
import hashlib

from hypothesis import given
from hypothesis import strategies as st

from journal import lots
from journal.settings import Trial

FIRST = dt.date(2025, 3, 1)
DAY = dt.timedelta(days=1)

# for i in 0 1 2 3 4 5 6 7; do printf "4711:$i" | sha256sum; done (coreutils 9): the first two digits of each.
FIRST_BYTES = {
    4711: ("69", "a5", "c6", "f1", "cd", "43", "64", "f3"),
    0: ("ac", "ef", "93", "76", "48", "cc", "a7", "2b"),
    9223372036854775807: ("c2", "87", "fd", "ba", "37", "0d", "84", "fc"),
}


def trial(**changes: object) -> Trial:
    values: dict[str, object] = {"key": "t", "question": "?", "habit": "walk", "start": FIRST, "days": 60, "seed": 4711}
    return Trial(**(values | changes))  # type: ignore[arg-type]


def arms(plan: Trial) -> str:
    return "".join({"on": "+", "off": "-", "washout": "."}[lot.arm] for lot in lots.lots(plan))


def test_the_first_block_is_on_where_the_first_byte_is_odd() -> None:
    for seed, first_bytes in FIRST_BYTES.items():
        for pair, digits in enumerate(first_bytes):
            assert lots.first_is_on(seed, pair) == (digits[1] in "13579bdf"), (seed, pair)


def test_the_days_of_a_plan() -> None:
    """The vectors of 4711 written out by hand: odd, odd, even, odd, odd, odd, even, odd."""
    assert arms(trial(days=32)) == "++--++----++++--++--++----++++--"
    assert arms(trial(days=14, block=3, washout=1)) == ".++.--.++.--.-"
    # A last block without a partner goes by the rule alone: the byte of pair 2 is even, that of pair 3 odd.
    assert arms(trial(days=10)) == "++--++----"
    assert arms(trial(days=13)) == "++--++----+++"
    assert [lot.pair for lot in lots.lots(trial(days=10))] == [0, 0, 0, 0, 1, 1, 1, 1, 2, 2]
    assert [lot.block for lot in lots.lots(trial(days=10))] == [0, 0, 1, 1, 2, 2, 3, 3, 4, 4]


@given(st.integers(0, 2**63 - 1), st.integers(1, 200), st.integers(2, 14), st.data())
def test_any_plan_is_drawn_block_by_block(seed: int, days: int, block: int, data: st.DataObject) -> None:
    washout = data.draw(st.integers(0, block - 1))
    plan = trial(seed=seed, days=days, block=block, washout=washout)
    expected = []
    for pair in range(days):
        odd = int(hashlib.sha256(f"{seed}:{pair}".encode()).hexdigest()[:2], 16) % 2 == 1
        for is_on in (odd, not odd):
            expected += [("washout", is_on)] * washout + [("on" if is_on else "off", is_on)] * (block - washout)
    drawn = lots.lots(plan)
    assert [(lot.arm, lot.is_on) for lot in drawn] == expected[:days]
    assert [lot.date for lot in drawn] == [FIRST + i * DAY for i in range(days)]
    assert len({lot.pair for lot in drawn}) == lots.pair_count(days, block)


def test_nothing_is_drawn_outside_of_the_trial_or_after_its_end() -> None:
    plan = trial(stopped=FIRST + 5 * DAY)
    assert [day for day in range(-2, 70) if lots.lot_on(plan, FIRST + day * DAY)] == [0, 1, 2, 3, 4]
    both = trial(stopped=FIRST + 5 * DAY, interrupted=FIRST + 3 * DAY)
    assert lots.last_drawn(both) == FIRST + 2 * DAY
    assert lots.lot_on(trial(), lots.last_planned(trial())) == lots.lots(trial())[-1]
    assert lots.lot_on(trial(), lots.last_planned(trial()) + DAY) is None


def test_the_digest_is_of_the_plan_and_not_of_its_question() -> None:
    # printf 'habit=walk\noutcome=mood\nlag=0\nfrom=2025-03-01\ndays=60\nblock=2\nwashout=0\nseed=4711' | sha256sum
    assert lots.digest(trial()) == "7f7eedb296b9"
    assert lots.digest(trial(question="Else?", looked=(FIRST,), stopped=FIRST)) == lots.digest(trial())
    changes = {"habit": "read", "outcome": "energy", "lag": 1, "start": FIRST + DAY, "days": 61, "block": 3}
    for name, value in (changes | {"washout": 1, "seed": 4712}).items():
        assert lots.digest(trial(**{name: value})) != lots.digest(trial()), name
        assert lots.is_changed(trial(**{name: value, "plan": lots.digest(trial())}))
    assert not lots.is_changed(trial(plan=lots.digest(trial())))
    assert not lots.is_changed(trial())
