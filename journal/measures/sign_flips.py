"""The randomization test of a trial whose days were drawn in pairs of blocks, and the interval that inverts it.

Which block of a pair is on is drawn for each pair by itself. So the draw is a sign for each pair, and the assignments
that it could have given are all patterns of signs: the test of Fisher (1935), The Design of Experiments, section 21, on
his pairs, as Edgington and Onghena (2007), Randomization Tests, 4th ed., give it for one person.

The statistic of a pattern s is t(s) = s·u / sqrt(s·Vs), with u and V of `trial_contrasts`: the estimate of the effect
over its standard error, up to a constant. If the habit adds d to the outcome of each day on which it is drawn, u
becomes u - d V s0 without it, with s0 the signs as drawn. So every statistic is a straight line in d, and |t(s)| is at
least |t(s0)| between the two points where these lines meet: by Cauchy and Schwarz no line is steeper than that of s0.
Both ends of the interval follow from these points by sorting. Nothing is searched.
"""

from __future__ import annotations

import functools
import math

import msgspec
import numpy as np
import numpy.typing as npt

from journal.measures.circular_shift import Numbers

ALL_UP_TO = 16
"""With up to 16 pairs all 2^16 patterns are taken, else `SAMPLED` of them."""
SAMPLED = 100_000
LEVEL = 0.95

_ROUNDING = 1e-9
_BITS = 64
_CHUNK = 10_000
"""Patterns at a time: a hundred thousand of a long trial would take 150 MB."""

Signs = npt.NDArray[np.int8]


class FlipTest(msgspec.Struct, frozen=True, kw_only=True):
    """The result: `effect` in units of the outcome, on minus off; its interval; the two-sided p.

    `low` is -inf and `high` is inf if there are too few pairs for an end. `assignments` is the number of patterns that
    were taken, the drawn one among them; `is_complete` says whether these are all.
    """

    effect: float
    low: float
    high: float
    p: float
    assignments: int
    is_complete: bool


def flip_test(sums: Numbers, products: Numbers, drawn: Numbers, *, seed: int, level: float = LEVEL) -> FlipTest | None:
    """The test of the drawn signs.

    In: for n pairs, `sums` (u) and `products` (V, n by n) of `trial_contrasts`; `drawn`, the sign of each pair (1 if
    its first block is on, else -1); `seed`, for a sample of patterns. `level` is that of the interval. Returns None if
    the days cannot tell on from off.

    p is the share of patterns whose statistic is at least as far from 0 as the drawn one, which counts among them.
    The interval has every d that the test of "the habit adds d" does not reject. It is as exact as p.

    >>> flip_test(np.array([3.0, 1.0, 2.0]), np.eye(3), np.ones(3), seed=1)
    FlipTest(effect=2.0, low=-inf, high=inf, p=0.25, assignments=8, is_complete=True)
    >>> test = flip_test(np.array([3.0, 1, 2, 4, 2, 3, 1, 2]), np.eye(8), np.ones(8), seed=1)
    >>> round(test.effect, 2), round(test.low, 2), round(test.high, 2), test.p
    (2.25, 1.33, 3.0, 0.0078125)
    """
    own_square = float(drawn @ products @ drawn)
    if own_square <= _ROUNDING * float(np.trace(products)) + _ROUNDING**2:
        return None
    own_spread = math.sqrt(own_square)
    starts, slopes = _lines(_with_drawn(drawn, seed), sums, products, drawn, own_spread)
    own_start = float(drawn @ sums) / own_spread
    lows, highs = _met(starts, slopes, own_start, own_spread)
    size = abs(own_start)
    as_far = np.abs(starts) >= size - _ROUNDING * max(size, _ROUNDING)
    needed = math.floor((1 - level) * starts.size * (1 + _ROUNDING))
    return FlipTest(
        effect=float(drawn @ sums) / own_square,
        low=float(np.partition(lows, needed)[needed]),
        high=float(-np.partition(-highs, needed)[needed]),
        p=float(as_far.mean()),
        assignments=starts.size,
        is_complete=drawn.size <= ALL_UP_TO,
    )


def _with_drawn(drawn: Numbers, seed: int) -> Signs:
    """The patterns, with the drawn one in front of a sample."""
    signs = patterns(drawn.size, seed)
    return signs if drawn.size <= ALL_UP_TO else np.vstack([drawn.astype(np.int8), signs])


def _lines(
    signs: Signs, sums: Numbers, products: Numbers, drawn: Numbers, own_spread: float
) -> tuple[Numbers, Numbers]:
    """The statistic of each pattern for an effect of 0, and how much it falls for each unit of an effect.

    A pattern that the days cannot tell apart has no statistic. It counts against the drawn one.
    """
    starts, slopes = [], []
    for first in range(0, signs.shape[0], _CHUNK):
        some = signs[first : first + _CHUNK].astype(np.float64)
        weighed = some @ products
        spreads = np.sqrt(np.maximum((weighed * some).sum(axis=1), 0))
        told = spreads > _ROUNDING * own_spread
        safe = np.where(told, spreads, 1)
        starts.append(np.where(told, some @ sums / safe, math.inf))
        slopes.append(np.where(told, weighed @ drawn / safe, own_spread))
    return np.concatenate(starts), np.concatenate(slopes)


def _met(starts: Numbers, slopes: Numbers, own_start: float, own_slope: float) -> tuple[Numbers, Numbers]:
    """The ends of the d for which a pattern is at least as far from 0 as the drawn one: all d for the same pattern."""
    less, more = own_slope - slopes, own_slope + slopes
    apart = np.minimum(less, more) > _ROUNDING * own_slope
    safe = np.where(apart, 1.0, math.nan)
    with np.errstate(invalid="ignore"):
        one, other = (own_start - starts) / (less * safe), (own_start + starts) / (more * safe)
    lows, highs = np.minimum(one, other), np.maximum(one, other)
    return np.where(apart, lows, -math.inf), np.where(apart, highs, math.inf)


@functools.lru_cache(maxsize=4)
def patterns(pairs: int, seed: int) -> Signs:
    """Patterns of signs, a row each: all of them for up to 16 pairs, else a sample from the seed.

    The sample is the raw stream of the generator PCG64, which NumPy keeps the same in every version: of each number,
    the bits from the lowest up.

    >>> patterns(2, 1).tolist()
    [[-1, -1], [1, -1], [-1, 1], [1, 1]]
    >>> patterns(17, 4711).shape
    (100000, 17)
    """
    if pairs <= ALL_UP_TO:
        words = np.arange(2**pairs, dtype=np.uint64)[:, None]
    else:
        each = -(-pairs // _BITS)
        words = np.random.PCG64(seed).random_raw(SAMPLED * each).reshape(SAMPLED, each)
    octets = np.ascontiguousarray(words.astype("<u8")).view(np.uint8)
    bits = np.unpackbits(octets, axis=1, count=pairs, bitorder="little")
    return 2 * bits.astype(np.int8) - 1
