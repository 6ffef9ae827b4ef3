"""From millimetres of a sheet to pixels of a picture: the perspective by points, and the curl by displacements.

The homography is that of least squares over the points (direct linear transformation with normalised coordinates,
Hartley 1997).
"""

from __future__ import annotations

import msgspec
import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
"""Points, a row each: x and y."""


class Perspective(msgspec.Struct, frozen=True):
    """The map of a flat sheet: a matrix of 3 by 3, from homogeneous millimetres to homogeneous pixels."""

    matrix: NDArray[np.float64]

    def pixels(self, millimetres: Points) -> Points:
        """The pixels of points of the sheet."""
        return apply(self.matrix, millimetres)

    def millimetres(self, pixels: Points) -> Points:
        """The points of the sheet at pixels."""
        return apply(np.asarray(np.linalg.inv(self.matrix), float), pixels)

    def scale(self, millimetres: Points) -> NDArray[np.float64]:
        """Pixels per millimetre at points: the square root of the area of a square millimetre."""
        here = self.pixels(millimetres)
        right, down = (self.pixels(millimetres + step) - here for step in ((1.0, 0.0), (0.0, 1.0)))
        return np.sqrt(np.abs(right[:, 0] * down[:, 1] - right[:, 1] * down[:, 0]))


def apply(matrix: NDArray[np.float64], points: Points) -> Points:
    """Map points by a matrix of 3 by 3."""
    mapped = points @ matrix[:, :2].T + matrix[:, 2]
    return mapped[:, :2] / mapped[:, 2:]


def fitted(millimetres: Points, pixels: Points) -> Perspective:
    """The perspective of at least four points.

    >>> square = np.array([(0, 0), (10, 0), (10, 10), (0, 10)], float)
    >>> seen = fitted(square, square * 3 + 7)
    >>> seen.pixels(np.array([(5.0, 5.0)])).round(6).tolist(), seen.scale(square).round(6).tolist()
    ([[22.0, 22.0]], [3.0, 3.0, 3.0, 3.0])
    """
    (source, from_source), (target, from_target) = _normalised(millimetres), _normalised(pixels)
    x, y = source.T
    u, v = target.T
    zero, one = np.zeros_like(x), np.ones_like(x)
    rows = np.concatenate(
        [
            np.stack([x, y, one, zero, zero, zero, -u * x, -u * y, -u], axis=1),
            np.stack([zero, zero, zero, x, y, one, -v * x, -v * y, -v], axis=1),
        ]
    )
    solution = np.linalg.svd(rows)[2][-1].reshape(3, 3)
    matrix = np.linalg.inv(from_target) @ solution @ from_source
    return Perspective(matrix / matrix[2, 2])


def _normalised(points: Points) -> tuple[Points, NDArray[np.float64]]:
    """The points about their centre at a mean distance of the square root of 2, and the matrix that makes them so."""
    centre = points.mean(axis=0)
    factor = np.sqrt(2) / np.hypot(*(points - centre).T).mean()
    matrix = np.array([[factor, 0, -factor * centre[0]], [0, factor, -factor * centre[1]], [0, 0, 1]])
    return (points - centre) * factor, matrix
