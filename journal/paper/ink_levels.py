"""The ink in each box of a straightened sheet, with the light on the paper taken out.

The light is that of the paper without marks: the picture of the sheet after a morphological closing, the local maximum
and then the local minimum over a square that is larger than a box (Serra 1982). It keeps the edge of a shadow in place.
Ink is 0 for paper and 1 for the print of the corner codes.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from journal.paper import frame, samples
from journal.paper.layout import PaperBox
from journal.paper.perspective import Points
from journal.paper.picture_file import Levels
from journal.paper.samples import Ink
from journal.paper.straightening import Straightened

CELLS = 20
"""Samples of a box along each side: 0.16 mm apart in a box of 3.2 mm, less than a pixel up to 6 pixels a millimetre."""

_STEP = 0.5  # millimetres between the samples of the light
_SQUARE = 11  # of them along the square of the closing: 5.5 mm, where a box has 3.2
_FIRST = np.array([frame.LEFT - 2, frame.TOP - 2])
_TILE = 8  # samples along a tile, in which the sheet is taken as flat
_TILES = (49, 32)  # the light reaches 2 mm beyond the frame


class PaperLight(msgspec.Struct, frozen=True):
    """The level of bare paper over a sheet, the level of print as a share of it, and the noise of one sample."""

    levels: Ink
    print_share: float
    noise: float

    def at(self, millimetres: Points) -> Ink:
        """The level of bare paper at points."""
        return samples.at_floats(self.levels, (millimetres - _FIRST) / _STEP + 0.5)


def light(levels: Levels, sheet: Straightened) -> PaperLight:
    """Measure the light on a sheet."""
    mean, apart = _sampled(levels, sheet)
    closed = -_maximum(-_maximum(mean))
    smooth = np.maximum(_mean_of_neighbours(closed), 1)
    dark = [
        samples.at(levels, sheet.pixels(_code_points(corner)))
        / samples.at_floats(smooth, (_code_points(corner) - _FIRST) / _STEP + 0.5)
        for corner in frame.codes()
    ]
    share = float(np.median([np.percentile(code, 10) for code in dark]))
    bare = mean > 0.9 * smooth
    noise = float(np.median(apart[bare]) / 0.95 / np.median(smooth))
    return PaperLight(smooth.astype(np.float32), share, noise)


def patches(levels: Levels, sheet: Straightened, paper: PaperLight, boxes: Sequence[PaperBox]) -> Ink:
    """The ink of boxes: (box, row, column), with `CELLS` rows and columns over the inside of the box."""
    place = np.array([(box.x, box.y, box.width, box.height) for box in boxes], float)
    steps = (np.arange(CELLS) + 0.5) / CELLS
    bare = np.stack(
        [paper.at(place[:, :2] + place[:, 2:] * share) for share in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0))]
    )
    across, down = (grid.ravel() for grid in np.meshgrid(steps, steps))
    shares = np.stack([(1 - across) * (1 - down), across * (1 - down), (1 - across) * down, across * down], axis=1)
    share = samples.at(levels, sheet.inside(place, CELLS)) / (shares @ bare).T.ravel()
    ink = np.clip((1 - share) / max(0.05, 1 - paper.print_share), -0.2, 1.3)
    return ink.reshape(len(boxes), CELLS, CELLS).astype(np.float32)


def _sampled(levels: Levels, sheet: Straightened) -> tuple[Ink, Ink]:
    """The mean of two samples at each point of the light, and how far they are apart."""
    rows, columns = (size * _TILE for size in _TILES)
    top, left = (grid.ravel() * _TILE * _STEP for grid in np.mgrid[: _TILES[0], : _TILES[1]])
    tiles = np.stack([left, top, np.full(top.shape, _TILE * _STEP), np.full(top.shape, _TILE * _STEP)], axis=1)
    tiles[:, :2] += _FIRST - _STEP / 2
    flat = sheet.inside(tiles, 2 * _TILE)
    fine = (
        samples.at(levels, flat)
        .reshape(*_TILES, 2 * _TILE, 2 * _TILE)
        .transpose(0, 2, 1, 3)
        .reshape(2 * rows, 2 * columns)
    )
    one, other = fine[::2, ::2], fine[1::2, 1::2]
    mean: Ink = (one + other) / np.float32(2)
    apart: Ink = np.abs(one - other)
    return mean, apart


def _maximum(levels: Ink) -> Ink:
    """The local maximum over the square, by maxima over 2, 4, 8 and then all of its samples along each axis."""
    half = _SQUARE // 2
    for axis in (0, 1):
        padded = np.pad(levels, [(half, half) if nth == axis else (0, 0) for nth in (0, 1)], mode="edge")
        padded = np.moveaxis(padded, axis, 0)
        for step in (1, 2, 4, _SQUARE - 8):
            padded = np.maximum(padded[:-step], padded[step:])
        levels = np.moveaxis(padded, 0, axis)
    return levels


def _mean_of_neighbours(levels: Ink) -> Ink:
    padded = np.pad(levels, 1, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, (3, 3))
    mean: NDArray[np.float32] = windows.mean(axis=(2, 3))
    return mean


def _code_points(corner: frame.Point) -> Points:
    steps = np.arange(0.3, frame.CODE, 0.3)
    points: Points = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2) + np.array(corner)
    return points
