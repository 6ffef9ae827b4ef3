"""A sheet as it was photographed, made straight, and parts of it: the boxes of a mark, and lines written by hand."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterable

import numpy as np
from PIL import Image

from journal.paper import samples
from journal.paper.frame import HEIGHT, WIDTH
from journal.paper.layout import PaperBox
from journal.paper.perspective import Points
from journal.paper.picture_file import PictureFile
from journal.paper.straightening import Straightened

DOTS_A_MM = 6.0
"""Of a straight sheet: 150 dots an inch, as much as a photograph of 3 megapixels has."""

_ABOUT = (7.0, 3.0)  # millimetres about boxes that are looked at: their neighbours help to judge a mark
_BAND = 100  # rows that are made at once, so that little memory is used
_QUALITY = 80

Millimetres = tuple[float, float, float, float]
"""A rectangle of a sheet: left, top, right, bottom."""


def straight(picture: PictureFile, lies: Straightened) -> Image.Image:
    """A sheet of a picture in colours, as if it had been scanned.

    Raises UsageError if the picture is damaged.
    """
    levels = picture.levels("RGB")
    rows, columns = round(HEIGHT * DOTS_A_MM), round(WIDTH * DOTS_A_MM)
    channels = [np.ascontiguousarray(levels[:, :, nth]) for nth in range(3)]
    found = np.empty((rows, columns, 3), np.uint8)
    for first in range(0, rows, _BAND):
        last = min(first + _BAND, rows)
        pixels: Points = lies.pixels(_points(first, last, columns))
        for nth, channel in enumerate(channels):
            found[first:last, :, nth] = samples.at(channel, pixels).reshape(-1, columns).round()
    return Image.fromarray(found)


def _points(first: int, last: int, columns: int) -> Points:
    """The middles of some rows of pixels, in millimetres."""
    x, y = np.meshgrid(np.arange(columns) + 0.5, np.arange(first, last) + 0.5)
    return np.stack([x.ravel(), y.ravel()], axis=1) / DOTS_A_MM


def about(boxes: Iterable[PaperBox]) -> Millimetres:
    """The rectangle about some boxes, with a little around them.

    >>> import datetime as dt
    >>> about([PaperBox(field="mood", date=dt.date(2025, 4, 2), value=1, x=40, y=50)])
    (33.0, 47.0, 50.2, 56.2)
    """
    edges = [(box.x, box.y, box.x + box.width, box.y + box.height) for box in boxes]
    lefts, tops, rights, bottoms = zip(*edges, strict=True)
    across, down = _ABOUT
    rectangle = min(lefts) - across, min(tops) - down, max(rights) + across, max(bottoms) + down
    left, top, right, bottom = (round(edge, 3) for edge in rectangle)
    return left, top, right, bottom


def part(of: Image.Image, place: Millimetres) -> Image.Image:
    """A part of a straight sheet."""
    left, top, right, bottom = (round(edge * DOTS_A_MM) for edge in place)
    return of.crop((max(0, left), max(0, top), min(of.width, right), min(of.height, bottom)))


def jpeg(image: Image.Image) -> bytes:
    """A picture as JPEG. It says nothing but its pixels."""
    data = io.BytesIO()
    image.save(data, "JPEG", quality=_QUALITY)
    return data.getvalue()


def address(image: Image.Image) -> str:
    """A picture as a data URL, for a page."""
    return f"data:image/jpeg;base64,{base64.b64encode(jpeg(image)).decode()}"
