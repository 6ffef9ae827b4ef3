"""The draw of a trial: its plan -> what is drawn for each of its days.

The draw follows from the plan and its seed alone, so anyone can repeat it. The blocks are taken in pairs. For pair i,
from 0, the first block is on where bit 0 of the first byte of the SHA-256 of the ASCII text "{seed}:{i}" is 1, else the
second is. A last block without a partner is on where the bit is 1.

By hand, for the first pair of the seed 4711, an odd first byte (the first two digits) means that its first block is on:

    printf '4711:0' | sha256sum
"""

from __future__ import annotations

import datetime as dt
import functools
import hashlib
from collections.abc import Iterator
from typing import Any, Literal, NamedTuple

from journal.settings import Trial

Arm = Literal["on", "off", "washout"]
ARMS: tuple[Arm, ...] = ("on", "off", "washout")
"""What a day counts for: the habit done, not done, or neither, since it is one of the first days of a block."""

DIGEST_LENGTH = 12


class Lot(NamedTuple):
    """What is drawn for a day. `pair` and `block` count from 0. `is_on` says whether the habit is to be done.

    In the washout of a block, `is_on` is that of the block, and `arm` is "washout".
    """

    date: dt.date
    pair: int
    block: int
    arm: Arm
    is_on: bool


def last_planned(trial: Trial) -> dt.date:
    """The last day of the plan.

    >>> last_planned(_EXAMPLE)
    datetime.date(2025, 3, 6)
    """
    return trial.start + dt.timedelta(days=trial.days - 1)


def last_drawn(trial: Trial) -> dt.date:
    """The last day that is drawn: that of the plan, or the day before the trial was stopped or interrupted.

    It is before the first day if the trial was stopped before it began.
    """
    ends = [day - dt.timedelta(days=1) for day in (trial.stopped, trial.interrupted) if day is not None]
    return min([last_planned(trial), *ends])


def first_is_on(seed: int, pair: int) -> bool:
    """Whether the first block of a pair is on, else the second is. `pair` counts from 0.

    >>> [first_is_on(4711, pair) for pair in range(3)]
    [True, True, False]
    """
    return hashlib.sha256(f"{seed}:{pair}".encode("ascii")).digest()[0] & 1 == 1


def lots(trial: Trial) -> tuple[Lot, ...]:
    """What is drawn for each day of the plan, in order, as if it was never stopped. A last block may be short.

    >>> [(str(lot.date), lot.pair, lot.block, lot.arm, lot.is_on) for lot in lots(_EXAMPLE)][:3]
    [('2025-03-01', 0, 0, 'washout', True), ('2025-03-02', 0, 0, 'on', True), ('2025-03-03', 0, 1, 'washout', False)]
    """
    return _drawn(trial)


def lot_on(trial: Trial, day: dt.date) -> Lot | None:
    """What is drawn for a day. None before and after the trial, and from the day that it was stopped or interrupted.

    >>> lot_on(_EXAMPLE, dt.date(2025, 3, 2)).arm, lot_on(_EXAMPLE, dt.date(2025, 3, 7))
    ('on', None)
    """
    if not trial.start <= day <= last_drawn(trial):
        return None
    return _drawn(trial)[(day - trial.start).days]


def free_days(trial: Trial) -> Iterator[dt.date]:
    """Yield the drawn days that the trial leaves free of its habit: those in its blocks without it, up to the last.

    >>> [day.day for day in free_days(_EXAMPLE)]
    [3, 4]
    """
    last = last_drawn(trial)
    return (lot.date for lot in _drawn(trial) if not lot.is_on and lot.date <= last)


def pair_count(days: int, block: int) -> int:
    """The number of independent draws of a plan: its pairs of blocks, with a last block without a partner.

    >>> pair_count(60, 2), pair_count(61, 2), pair_count(63, 2)
    (15, 16, 16)
    """
    return -(-days // (2 * block))


def plan_values(trial: Trial) -> dict[str, Any]:
    """All that the draw and the result of a trial depend on, by its keys of journal.toml.

    >>> trial = Trial(key="a", question="?", habit="walk", start=dt.date(2025, 3, 1), days=60, seed=1)
    >>> list(plan_values(trial))
    ['habit', 'outcome', 'lag', 'from', 'days', 'block', 'washout', 'seed']
    """
    return {
        "habit": trial.habit,
        "outcome": trial.outcome,
        "lag": trial.lag,
        "from": trial.start,
        "days": trial.days,
        "block": trial.block,
        "washout": trial.washout,
        "seed": trial.seed,
    }


def digest(trial: Trial) -> str:
    """A short digest of the plan of a trial, without its question: 12 hexadecimal digits of a SHA-256.

    The text that is hashed has one "key=value" for each of the keys habit, outcome, lag, from, days, block, washout
    and seed, in this order, with a line break between them.

    >>> digest(_EXAMPLE) == digest(_EXAMPLE), len(digest(_EXAMPLE))
    (True, 12)
    """
    text = "\n".join(f"{key}={value}" for key, value in plan_values(trial).items())
    return hashlib.sha256(text.encode()).hexdigest()[:DIGEST_LENGTH]


def is_changed(trial: Trial) -> bool:
    """Whether the plan is another than the one that was drawn. False for a plan without a digest."""
    return bool(trial.plan) and trial.plan != digest(trial)


@functools.lru_cache(maxsize=64)
def _drawn(trial: Trial) -> tuple[Lot, ...]:
    return tuple(_draw(trial))


def _draw(trial: Trial) -> Iterator[Lot]:
    for i in range(trial.days):
        block, day_of_block = divmod(i, trial.block)
        pair, second = divmod(block, 2)
        is_on = first_is_on(trial.seed, pair) != bool(second)
        arm: Arm = "washout" if day_of_block < trial.washout else "on" if is_on else "off"
        yield Lot(trial.start + dt.timedelta(days=i), pair, block, arm, is_on)


_EXAMPLE = Trial(
    key="evening-walk",
    question="Does an evening walk lift the next day?",
    habit="walk",
    start=dt.date(2025, 3, 1),
    days=6,
    washout=1,
    seed=4711,
)  # fmt: skip
