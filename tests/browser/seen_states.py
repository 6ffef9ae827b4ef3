"""Pictures of one element in several states, and how many pixels tell two of them apart.

Two states are told apart by at least `LEAST` pixels whose contrast is 3:1 or more (WCAG 2.2, 1.4.11). The contrast is
one of luminance, so hues do not count: what is told apart here is told apart in grey too.
"""

from __future__ import annotations

import io
from itertools import combinations
from typing import Any

import numpy as np
from PIL import Image
from playwright.sync_api import Page

LEAST = 9
"""Pixels of a spot of 3 by 3, about the smallest mark of a drawing that is seen as a form."""

RATIO = 3.0

Picture = np.ndarray[Any, np.dtype[np.float64]]
"""Relative luminance of each pixel, 0 to 1 (WCAG 2.2)."""

Box = dict[str, float]


def picture(page: Page, box: Box | None = None, *, full_page: bool = False) -> Picture:
    """The page as it is drawn, or the part in a box."""
    clip: Any = box and {key: box[key] for key in ("x", "y", "width", "height")}
    shot = page.screenshot(clip=clip, full_page=full_page, animations="disabled")
    rgb = np.asarray(Image.open(io.BytesIO(shot)).convert("RGB"), dtype=np.float64) / 255
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    luminance: Picture = linear @ np.array([0.2126, 0.7152, 0.0722])
    return luminance


def cut(whole: Picture, box: Box) -> Picture:
    """The part of a picture in a box."""
    left, top = round(box["x"]), round(box["y"])
    return whole[max(0, top) : top + round(box["height"]), max(0, left) : left + round(box["width"])]


def difference(one: Picture, other: Picture, ratio: float = RATIO) -> int:
    """The number of pixels with at least that contrast, over what both pictures cover."""
    height, width = (min(one.shape[axis], other.shape[axis]) for axis in (0, 1))
    first, second = one[:height, :width], other[:height, :width]
    contrast = (np.maximum(first, second) + 0.05) / (np.minimum(first, second) + 0.05)
    return int((contrast >= ratio).sum())


def alike(states: dict[str, Picture], ratio: float = RATIO, least: int = LEAST) -> list[str]:
    """The pairs of states that are not told apart."""
    return [
        f"{one} and {other}: {pixels} pixels"
        for one, other in combinations(states, 2)
        if (pixels := difference(states[one], states[other], ratio)) < least
    ]
