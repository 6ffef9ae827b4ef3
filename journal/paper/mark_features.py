"""FeatureValues that tell apart the marks in boxes: how dark they are, how they lie along a line, and on which half.

All are of the inside of a box, without a margin that its outline may reach into. Lengths are in units of half of that
inside, so that its area is 4.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from journal.paper.samples import Ink

MARGIN = 3  # of 20 samples: 0.48 mm, for the outline, the blur, and a tenth of a millimetre that the curl may be off

_BINS = 6  # along a line
_DIRECTIONS = 8  # in which a box may be half filled
_LIGHT = 0.25  # of the darkest ink; what is lighter is blur or a trace and says nothing of the shape
_LEAST = 1e-6

FeatureValues = NDArray[np.float64]


class MarkFeatures(NamedTuple):
    """One number a box each.

    `mean` ink; `dark`, the ink that a twentieth of the box exceeds; `width` and `bow`, the spread of the ink across its
    longest direction, and how far its middle moves across it; `fuller` and `emptier`, the mean ink of the halves that
    differ most, as shares of `dark`; `cover`, the mean ink as a share of `dark`.
    """

    mean: FeatureValues
    dark: FeatureValues
    width: FeatureValues
    bow: FeatureValues
    fuller: FeatureValues
    emptier: FeatureValues
    cover: FeatureValues


def of(patches: Ink) -> MarkFeatures:
    """The features of boxes, from their ink (box, row, column).

    >>> stroke = np.zeros((1, 20, 20), np.float32)
    >>> stroke[:, 9:11] = 1
    >>> found = of(stroke)
    >>> [round(float(value[0]), 2) for value in (found.mean, found.dark, found.width, found.bow)]
    [0.14, 1.0, 0.01, 0.0]
    """
    inside = patches[:, MARGIN:-MARGIN, MARGIN:-MARGIN]
    side = inside.shape[1]
    flat = inside.reshape(len(inside), -1)
    mean = flat.mean(axis=1, dtype=float)
    rank = flat.shape[1] * 19 // 20
    dark = np.partition(flat, rank, axis=1)[:, rank].astype(float)
    against = np.maximum(dark, 0.15)
    steps = np.linspace(-1, 1, side)
    x, y = (grid.ravel() for grid in np.meshgrid(steps, steps))
    width, bow = _along(np.clip(flat - _LIGHT * dark[:, None], 0, None), x, y)
    fuller, emptier = _halves(flat, x, y)
    return MarkFeatures(mean, dark, width, bow, fuller / against, emptier / against, np.clip(mean, 0, None) / against)


def _along(ink: Ink, x: FeatureValues, y: FeatureValues) -> tuple[FeatureValues, FeatureValues]:
    """The variance of ink across its principal direction, and the range of its middle across, in bins along it."""
    total = ink.sum(axis=1, dtype=float) + _LEAST
    moments = ink @ np.stack([x, y, x * x, y * y, x * y], axis=1) / total[:, None]
    middle_x, middle_y, xx, yy, xy = moments.T
    xx, yy, xy = xx - middle_x**2, yy - middle_y**2, xy - middle_x * middle_y
    turn = 0.5 * np.arctan2(2 * xy, xx - yy)
    cosine, sine = np.cos(turn)[:, None], np.sin(turn)[:, None]
    from_x, from_y = x - middle_x[:, None], y - middle_y[:, None]
    along, across = from_x * cosine + from_y * sine, from_y * cosine - from_x * sine
    spread = np.hypot(xx - yy, 2 * xy)
    half_length = np.sqrt(np.maximum(12 * (xx + yy + spread) / 2, _LEAST)) / 2 * 1.05
    nth = np.clip(((along / half_length[:, None] + 1) / 2 * _BINS).astype(int), -1, _BINS)
    middles = np.full((len(ink), _BINS), np.nan)
    for one in range(_BINS):
        share = np.where(nth == one, ink, 0)
        weight = share.sum(axis=1) + _LEAST
        here = (share * across).sum(axis=1) / weight
        middles[:, one] = np.where(weight > 0.05 * total, here, np.nan)
    some = ~np.isnan(middles).all(axis=1)
    bow = np.zeros(len(ink))
    bow[some] = np.nanmax(middles[some], axis=1) - np.nanmin(middles[some], axis=1)
    return np.maximum((xx + yy - spread) / 2, 0), bow


def _halves(ink: Ink, x: FeatureValues, y: FeatureValues) -> tuple[FeatureValues, FeatureValues]:
    """The mean ink of the two halves that differ most, over several directions."""
    found = []
    for nth in range(_DIRECTIONS // 2):
        turn = nth * 2 * np.pi / _DIRECTIONS
        side = np.cos(turn) * x + np.sin(turn) * y
        found.append(np.stack([ink[:, side > 0.08].mean(axis=1), ink[:, side < -0.08].mean(axis=1)]))
    means = np.array(found, float)
    best = np.abs(means[:, 0] - means[:, 1]).argmax(axis=0)
    chosen = means[best, :, np.arange(means.shape[2])]
    return chosen.max(axis=1), chosen.min(axis=1)
