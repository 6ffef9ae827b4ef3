"""A sheet made straight: where each point of it lies in the picture, with the curl of the paper.

Perspective comes from the corner codes. The dots between them are then looked for near their places, and a smooth
displacement is fitted to where they are. Along an edge it is a polynomial of degree four, and between opposite edges
it is blended linearly, as on a Coons patch (Coons 1967): a sheet curls along one direction. Dots that are covered, or
that something else was taken for, do not fit their neighbours and are left out.
"""

from __future__ import annotations

import msgspec
import numpy as np
from numpy.typing import NDArray

from journal.paper import frame, samples
from journal.paper.corner_search import FoundSheet
from journal.paper.perspective import Perspective, Points
from journal.paper.picture_file import Levels

_REACH = 2.6  # millimetres from the expected place of a dot that it is looked for
_STEP = 0.2
_RING = 1.1  # outer radius of the paper about a dot
_LEAST_CONTRAST = 0.25  # of a dot to its ring; print has 0.6 and more where it is sharp
_FAR = 0.45  # millimetres that a dot may be off its neighbours
_DEGREE = 4
_CENTRE = np.array([(frame.LEFT + frame.RIGHT) / 2, (frame.TOP + frame.BOTTOM) / 2])
_HALF = np.array([(frame.RIGHT - frame.LEFT) / 2, (frame.BOTTOM - frame.TOP) / 2])


class Straightened(msgspec.Struct, frozen=True):
    """The way from a sheet to a picture. `curl` are the coefficients of the displacement, in millimetres.

    `misfit` is the mean distance of the dots from it, in millimetres, and `dots` the share of dots that were found.
    """

    seen: Perspective
    curl: NDArray[np.float64]
    misfit: float
    dots: float

    def pixels(self, millimetres: Points) -> Points:
        """The pixels of points of the sheet."""
        return self.seen.pixels(millimetres + _terms(millimetres) @ self.curl)

    def inside(self, rectangles: NDArray[np.float64], cells: int) -> Points:
        """The pixels of the middles of cells of rectangles (x, y, width, height), row by row, rectangle by rectangle.

        They lie bilinearly between those of the corners: over a few millimetres, a sheet is flat.
        """
        x, y, width, height = rectangles.T
        corners = [
            self.pixels(np.stack([x + across * width, y + down * height], axis=1))
            for down in (0, 1)
            for across in (0, 1)
        ]
        steps = ((np.arange(cells) + 0.5) / cells).astype(np.float32)
        across, down = (grid.ravel() for grid in np.meshgrid(steps, steps))
        shares = np.stack([(1 - across) * (1 - down), across * (1 - down), (1 - across) * down, across * down])
        found = np.stack(corners, axis=1).astype(np.float32)
        middles: Points = np.einsum("nkc,km->nmc", found, shares, optimize=True).reshape(-1, 2)
        return middles


def straighten(levels: Levels, sheet: FoundSheet) -> Straightened:
    """Find the dots of a sheet, and fit its curl. Without enough dots, it lies as flat as its corners say."""
    places = np.array([point for points in frame.dots().values() for point in points])
    offsets, contrast = _found_dots(levels, sheet.seen, places)
    corners, off_corners = _corners(sheet)
    terms = _terms(np.concatenate([places, corners]))
    moved = np.concatenate([offsets, off_corners])
    weights = np.concatenate([(contrast > _LEAST_CONTRAST).astype(float), np.full(len(corners), 0.3)])
    curl = np.zeros((terms.shape[1], 2))
    kept = weights > 0
    for _ in range(4):
        if kept[: len(places)].sum() < len(places) // 2:
            return Straightened(sheet.seen, np.zeros_like(curl), float("inf"), float(kept[: len(places)].mean()))
        curl = _fitted(terms, moved, np.where(kept, weights, 0))
        apart = np.hypot(*(moved - terms @ curl).T)
        kept = (weights > 0) & (apart < max(_FAR, 3 * float(np.median(apart[kept]))))
    dots = kept[: len(places)]
    misfit = float(apart[: len(places)][dots].mean())
    return Straightened(sheet.seen, curl, misfit, float(dots.mean()))


def _fitted(terms: NDArray[np.float64], moved: Points, weights: NDArray[np.float64]) -> NDArray[np.float64]:
    """Weighted least squares, with a little weight on small coefficients so that missing dots make no waves."""
    weighted = terms * weights[:, None]
    normal = weighted.T @ terms + 1e-3 * np.eye(terms.shape[1])
    return np.asarray(np.linalg.solve(normal, weighted.T @ moved))


def _terms(millimetres: Points) -> NDArray[np.float64]:
    """The terms of the displacement: powers along each direction, each blended linearly along the other."""
    x, y = ((millimetres - _CENTRE) / _HALF).T
    along = [power for nth in range(2, _DEGREE + 1) for power in (x**nth, x**nth * y, y**nth, y**nth * x)]
    return np.stack([np.ones_like(x), x, y, x * y, *along], axis=1)


def _corners(sheet: FoundSheet) -> tuple[Points, Points]:
    """The middles of the codes, and how far they are off the perspective, in millimetres."""
    middles = np.array(frame.codes()) + frame.CODE / 2
    found = sorted(sheet.codes)
    pixels = np.array([sheet.codes[corner].pixels.mean(axis=0) for corner in found])
    return middles[found], sheet.seen.millimetres(pixels) - middles[found]


def _found_dots(levels: Levels, seen: Perspective, places: Points) -> tuple[Points, NDArray[np.float64]]:
    """How far each dot is off its place, in millimetres, and how dark it is against the paper about it, 0 to 1."""
    side = round(2 * (_REACH + _RING) / _STEP) + 1
    steps = (np.arange(side) - side // 2) * _STEP
    grid = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
    points = (places[:, None] + grid).reshape(-1, 2)
    patches = samples.at(levels, seen.pixels(points)).reshape(len(places), side, side)
    paper = np.percentile(patches, 85, axis=(1, 2), keepdims=True)
    dark = np.clip(1 - patches / np.maximum(paper, 1), 0, 1)
    disc, ring = _kernels()
    reach = disc.shape[0] // 2
    windows = np.lib.stride_tricks.sliding_window_view(dark, disc.shape, axis=(1, 2))
    inside = np.einsum("nijkl,kl->nij", windows, disc, optimize=True)
    around = np.einsum("nijkl,kl->nij", windows, ring, optimize=True)
    score = inside - 1.5 * around
    count = score.shape[1]
    flat = score.reshape(len(places), -1)
    best = flat.argmax(axis=1)
    contrast = flat.max(axis=1)
    rows, columns = best // count, best % count
    centres = np.stack([_vertex(score, rows, columns, axis=2), _vertex(score, rows, columns, axis=1)], axis=1)
    return (centres + reach - side // 2) * _STEP, contrast.astype(float)


def _kernels() -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Means over a dot and over the ring of paper about it, on the steps of a patch."""
    reach = round(_RING / _STEP)
    steps = np.arange(-reach, reach + 1) * _STEP
    distance = np.hypot(*np.meshgrid(steps, steps))
    disc = (distance <= frame.DOT / 2).astype(np.float32)
    ring = ((distance > frame.DOT / 2 + 0.15) & (distance <= _RING)).astype(np.float32)
    return disc / disc.sum(), ring / ring.sum()


def _vertex(
    score: NDArray[np.float32], rows: NDArray[np.int64], columns: NDArray[np.int64], axis: int
) -> NDArray[np.float64]:
    """The place of the maximum along an axis, between the steps: that of the parabola through it and its neighbours."""
    nth = np.arange(len(rows))
    here = columns if axis == 2 else rows
    inner = np.clip(here, 1, score.shape[axis] - 2)

    def level(offset: int) -> NDArray[np.float32]:
        return score[nth, rows, inner + offset] if axis == 2 else score[nth, inner + offset, columns]

    before, middle, after = level(-1), level(0), level(1)
    bend = before - 2 * middle + after
    shift = np.where(np.abs(bend) > 1e-6, 0.5 * (before - after) / np.where(bend == 0, 1, bend), 0)
    return np.where(inner == here, inner + np.clip(shift, -1, 1), here).astype(float)
