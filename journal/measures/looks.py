"""Evidence for an association that may be looked at every month: e-values of closed blocks of days.

A test that is repeated finds something sooner or later. An e-value is a number of mean 1 (at most) where nothing goes
with anything, whatever came before; the product of e-values of successive blocks of days is an e-process, and by
Ville's inequality it ever reaches 1 / a in at most a share a of unrelated series, however often one looks: Shafer, G.
(2021), J. R. Stat. Soc. A 184, 407-431; Ramdas, A. and others (2023), Stat. Sci. 38, 576-601.

- Blocks: the days of one month, or of as many whole months as hold `LEAST_IN_BLOCK` of them. A block belongs to the
  month in which it closes, and what it says never changes with later days.
- The e-value of a block is exp(r S) over the mean of exp(r S) at all circular shifts of the block, S being n times the
  correlation of the marks with the `residuals` of mood. So the shifts within the month are the null distribution, as in
  `half_shift`, and no distribution of moods is assumed.
- r, the strength of the association that is looked for, is unknown: the evidence is a weighted mean over `STRENGTHS`,
  both signs, and over the blocks in which the association may have begun (`start_weight`).

The residuals are those of mood after the weekday and the day before, by least squares over all days up to the end of
the block. tests/benchmarks/links_ever.md has the rates.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from journal.measures.circular_shift import Numbers, Whole

LEAST_IN_BLOCK = 14
"""The least days of a block. With n days an e-value is at most n, and the seam of a shift weighs 1/n."""
STRENGTHS = np.array([0.1, 0.2, 0.4])
"""Correlations that are looked for. A habit of half of the days that raises mood by half its spread has 0.25."""
WEIGHTS = np.array([0.2, 0.6, 0.2])
FROM_THE_START = 0.8
"""The weight of an association that was there from the first block. The rest goes to all later beginnings."""

_RIDGE = 1e-8
"""Keeps the least squares solvable where a weekday has no day yet. It moves no residual by a visible amount."""


class DatedPairs(NamedTuple):
    """Days that are compared, in order: `month` (years x 12 + month, of the mood's day), `weekday` (0 to 6), `one` (the
    mark, 1 or 0, or a measured value), `values` (the mood) and `before` (the mood of the day before; NaN: unknown)."""

    month: Whole
    weekday: Whole
    one: Numbers
    values: Numbers
    before: Numbers


class Blocks(NamedTuple):
    """The closed blocks of `DatedPairs`: the month in which each closes, and where its days begin and end."""

    month: list[int]
    start: list[int]
    end: list[int]


def blocks(month: Whole, last_month: int, least: int = LEAST_IN_BLOCK) -> Blocks:
    """The blocks that are closed by the end of `last_month`.

    >>> blocks(np.array([1, 1, 1, 2, 3, 3, 4]), last_month=3, least=2)
    Blocks(month=[1, 3], start=[0, 3], end=[3, 6])
    """
    months, firsts = np.unique(month, return_index=True)
    ends = [*firsts[1:].tolist(), month.size]
    closed = Blocks([], [], [])
    start = 0
    for this, end in zip(months.tolist(), ends, strict=True):
        if this > last_month:
            break
        if end - start >= least:
            closed.month.append(this)
            closed.start.append(start)
            closed.end.append(end)
            start = end
    return closed


def residuals(pairs: DatedPairs, closed: Blocks) -> Numbers:
    """What mood has beyond its weekday and the day before, day by day; NaN after the last closed block.

    Each block is fitted with all days up to its end, so what is known by a month's end does not change later.

    >>> moods = np.array([1.0, 3.0, 2.0, 4.0])
    >>> pairs = DatedPairs(np.ones(4, int), np.array([0, 5, 0, 5]), moods, moods, np.full(4, np.nan))
    >>> residuals(pairs, blocks(pairs.month, 1, least=4)).round(6).tolist()
    [-0.5, -0.5, 0.5, 0.5]
    """
    known = np.isfinite(pairs.before)
    design = np.column_stack([pairs.weekday[:, None] == np.arange(7), ~known, np.where(known, pairs.before, 0.0)])
    remainder = np.full(pairs.values.size, np.nan)
    gram, moment = _RIDGE * np.eye(design.shape[1]), np.zeros(design.shape[1])
    for start, end in zip(closed.start, closed.end, strict=True):
        rows, values = design[start:end], pairs.values[start:end]
        gram, moment = gram + rows.T @ rows, moment + rows.T @ values
        remainder[start:end] = values - rows @ np.linalg.solve(gram, moment)
    return remainder


def log_e(ones: Numbers, others: Numbers) -> Numbers:
    """The logarithm of the e-values of blocks of the same length.

    In: arrays of blocks x days. Out: blocks x 2 x strengths, the positive associations first. A block in which one of
    both is constant says nothing: its e-values are 1.

    >>> moods = np.array([[4.0, 2, 5, 3, 4, 2, 5, 2]])
    >>> log_e(np.array([[1.0, 0, 1, 0, 1, 0, 1, 0]]), moods).round(2).tolist()
    [[[0.49, 0.64, 0.69], [-0.99, -2.31, -5.22]]]
    >>> turned = [log_e(np.array([[1.0, 0, 0, 1]]), np.roll([[4.0, 1, 2, 3]], shift)) for shift in range(4)]
    >>> np.mean(np.exp(turned), axis=0).round(9).tolist()
    [[[1.0, 1.0, 1.0], [1.0, 1.0, 1.0]]]
    """
    n = ones.shape[1]
    spectrum = np.conj(np.fft.rfft(_standard(ones))) * np.fft.rfft(_standard(others))
    sums = np.fft.irfft(spectrum, n)[:, None, None, :] * np.stack([STRENGTHS, -STRENGTHS])[None, :, :, None]
    top = sums.max(axis=-1)
    logarithm: Numbers = sums[..., 0] - top - np.log(np.exp(sums - top[..., None]).mean(axis=-1))
    return logarithm


def _standard(rows: Numbers) -> Numbers:
    deviations = rows - rows.mean(axis=1, keepdims=True)
    spread = deviations.std(axis=1, keepdims=True)
    scores: Numbers = np.divide(deviations, spread, out=np.zeros_like(deviations), where=spread > 1e-9)
    return scores


def start_weight(block: npt.NDArray[np.int64], at_once: float = FROM_THE_START) -> Numbers:
    """The weight of an association that begins with a block (1 is the first). All weights add up to 1.

    >>> start_weight(np.array([1, 2, 3])).round(4).tolist(), round(float(start_weight(np.arange(1, 10_000)).sum()), 3)
    ([0.8, 0.1, 0.0333], 1.0)
    """
    later = np.maximum(block, 2)
    weights: Numbers = np.where(block == 1, at_once, (1 - at_once) / (later * (later - 1)))
    return weights


def grown(capital: Numbers, log_values: Numbers, weight: Numbers) -> Numbers:
    """The logarithm of the evidence after one more block, for each strength.

    It is (capital + weight) x e-value: what began earlier goes on, and what begins with this block joins.

    >>> np.exp(grown(np.array([-np.inf]), np.log([2.0]), np.array([0.8]))).round(4).tolist()
    [1.6]
    """
    larger: Numbers = np.logaddexp(capital, np.log(weight)) + log_values
    return larger


def mixed(capital: Numbers) -> Numbers:
    """The logarithm of the weighted mean over `STRENGTHS`, the last axis.

    >>> float(mixed(np.zeros((1, 3)))[0].round(9))
    0.0
    """
    top = capital.max(axis=-1, keepdims=True)
    top = np.where(np.isfinite(top), top, 0.0)
    with np.errstate(divide="ignore"):
        mean: Numbers = np.log((np.exp(capital - top) * WEIGHTS).sum(axis=-1)) + top[..., 0]
    return mean
