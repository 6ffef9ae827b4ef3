"""The levels of a picture between its pixels."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from journal.paper.perspective import Points
from journal.paper.picture_file import Levels

Ink = NDArray[np.float32]


def at(levels: Levels, pixels: Points) -> Ink:
    """The levels at points of a picture of grey, by bilinear interpolation; beyond its edges, those of the edges.

    A pixel covers the unit square: its centre is at half.

    >>> at(np.array([[0, 100]], np.uint8), np.array([(0.5, 0.5), (1.0, 0.5), (9.0, 0.5)])).round(0).tolist()
    [0.0, 50.0, 100.0]
    """
    return at_floats(levels, pixels)


def at_floats(levels: NDArray[np.generic], pixels: Points) -> Ink:
    """The same for levels of any numbers."""
    rows, columns = levels.shape
    x = np.clip(pixels[:, 0] - 0.5, 0, columns - 1.001).astype(np.float32)
    y = np.clip(pixels[:, 1] - 0.5, 0, max(0, rows - 1.001)).astype(np.float32)
    left, top = x.astype(np.int32), y.astype(np.int32)
    right, below = x - left, y - top
    flat = levels.reshape(-1)
    start = top * columns + left
    down = columns if rows > 1 else 0
    upper = flat[start] * (1 - right) + flat[start + 1] * right
    lower = flat[start + down] * (1 - right) + flat[start + down + 1] * right
    levelled: Ink = upper * (1 - below) + lower * below
    return levelled
