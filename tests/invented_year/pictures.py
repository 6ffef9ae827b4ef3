"""The pictures of the example year, drawn: a bench with sketchbooks, and a book in cloth.

`python -m tests.invented_year.pictures` draws them anew into lines/pictures, from where the year copies their bytes: a
picture that is encoded by another version of a library has the same pixels in other bytes.
"""

from __future__ import annotations

import datetime as dt
import random
from pathlib import Path
from typing import NamedTuple

from PIL import Image, ImageDraw, ImageFilter

from tests.invented_year.story import Day

DRAWN = Path(__file__).parent / "lines" / "pictures"

_OVER = 2  # drawn at twice the size, so that edges are smooth
_COLOURS = 96
_WALL, _WOOD, _EDGE = "#E9E1D2", "#9A7754", "#6E5238"
_CLOTH, _SPINE, _LABEL, _INK, _THREAD = "#365F8F", "#294A73", "#EFE6D3", "#23263B", "#B98A4E"

Box = tuple[float, float, float, float]


class DrawnPicture(NamedTuple):
    """A picture of the year: its day, its file beside the page, and its caption."""

    date: dt.date
    name: str
    caption: str


PICTURES = (
    DrawnPicture(dt.date(2025, 3, 14), "2025-03-14-guest-book.png", "The blue guest book, on the bench."),
    DrawnPicture(dt.date(2025, 4, 11), "2025-04-11-sketchbooks.png", "Eighteen sketchbooks under the pressing board."),
)


def add_pictures(days: list[Day]) -> None:
    """Give their days the pictures."""
    by_date = {day.date: day for day in days}
    for picture in PICTURES:
        by_date[picture.date].pictures[picture.name] = picture.caption


def files() -> dict[str, bytes]:
    """The bytes of each picture by its path in the journal."""
    return {f"{one.date.year}/{one.name}": (DRAWN / one.name).read_bytes() for one in PICTURES}


def guest_book() -> Image.Image:
    """A book in cloth that stands on a bench, upright: its cover with a label, its spine, its shadow."""
    width, height = 1500, 2000
    picture, pen = _room(width, height, bench=1620)
    draw = random.Random(14)
    shadow = Image.new("L", picture.size, 0)
    _box(ImageDraw.Draw(shadow), (455, 1600, 1275, 1690), 150)
    soft = shadow.filter(ImageFilter.GaussianBlur(26 * _OVER))
    soft.paste(0, (0, 0, soft.width, 1630 * _OVER))  # none on the wall
    picture.paste(_INK, mask=soft)
    pages = (1108, 458, 1150, 1640)
    _box(pen, pages, "#F4EEDF")
    for x in range(1112, 1150, 5):
        _box(pen, (x, 458, x + 1, 1640), "#D8CDB6")
    _box(pen, (390, 440, 1120, 1655), _CLOTH)
    _box(pen, (390, 440, 492, 1655), _SPINE)
    _weave(picture, (390, 440, 1120, 1655), draw)
    _box(pen, (488, 440, 496, 1655), "#1F3A5C")
    _box(pen, (610, 640, 980, 880), _LABEL)
    _box(pen, (622, 652, 968, 868), _LABEL, outline=_THREAD)
    for nth, share in enumerate((0.72, 0.5)):
        y, half = 725 + nth * 62, 173 * share
        _box(pen, (795 - half, y, 795 + half, y + 13), _INK)
    for station in range(7):  # the stations of its sewing, on the spine
        y = 560 + station * 162
        _box(pen, (390, y, 488, y + 7), _THREAD)
    _spool(pen, 1240, 1655)
    return picture


def sketchbooks() -> Image.Image:
    """A bench below a shelf of tools, and a stack of sketchbooks at its end."""
    width, height = 1600, 1200
    picture, pen = _room(width, height, bench=930)
    draw = random.Random(18)
    _box(pen, (120, 150, 850, 172), _EDGE)
    for nth, x in enumerate(range(190, 840, 148)):
        length = draw.randint(150, 300)
        _box(pen, (x, 172, x + 10, 210), _EDGE)
        _box(pen, (x - 7, 210, x + 17, 210 + length), ("#7B8087", "#54606B")[nth % 2])
        _box(pen, (x - 13, 210 + length, x + 23, 290 + length), (_EDGE, "#7A2E2E", _SPINE)[nth % 3])
    covers = (_CLOTH, "#A9687F", "#E2A46E", "#5E4B7B", "#D9C28C", "#3F4A63")
    for column in range(2):
        for layer in range(9):
            left, y = 930 + column * 270 + draw.uniform(-9, 9), 930 - layer * 46
            _box(pen, (left + 4, y - 40, left + 228, y - 6), "#F1E9D8")
            _box(pen, (left, y - 44, left + 232, y - 37), covers[(layer * 5 + column * 2) % 6])
            _box(pen, (left, y - 8, left + 232, y - 1), covers[(layer * 5 + column * 2) % 6])
            _box(pen, (left, y - 44, left + 10, y - 1), covers[(layer * 5 + column * 2) % 6])
    _box(pen, (905, 478, 1455, 515), _EDGE)  # the board that presses them
    _spool(pen, 520, 930)
    _box(pen, (230, 908, 430, 928), "#F4EEDF")
    _box(pen, (250, 890, 410, 908), "#E6DCC6")
    return picture


def _room(width: int, height: int, bench: int) -> tuple[Image.Image, ImageDraw.ImageDraw]:
    """A wall and a bench of planks."""
    picture = Image.new("RGB", (width * _OVER, height * _OVER), _WALL)
    pen = ImageDraw.Draw(picture)
    _box(pen, (0, bench, width, height), _WOOD)
    draw = random.Random(width)
    for _ in range(60):
        x, y = draw.uniform(0, width), draw.uniform(bench + 12, height)
        _box(pen, (x, y, x + draw.uniform(80, 420), y + 2), "#8A6849")
    _box(pen, (0, bench, width, bench + 9), _EDGE)
    return picture, pen


def _weave(picture: Image.Image, box: Box, draw: random.Random) -> None:
    """The threads of cloth over a part of a picture."""
    left, top, right, bottom = (round(edge * _OVER) for edge in box)
    threads = Image.new("L", picture.size, 0)
    pen = ImageDraw.Draw(threads)
    for x in range(left, right, 9 * _OVER):
        pen.line([(x, top), (x, bottom)], draw.randint(2, 14), _OVER)
    for y in range(top, bottom, 9 * _OVER):
        pen.line([(left, y), (right, y)], draw.randint(2, 14), _OVER)
    picture.paste("#FFFFFF", mask=threads)


def _spool(pen: ImageDraw.ImageDraw, x: float, floor: float) -> None:
    """A spool of thread."""
    _box(pen, (x, floor - 128, x + 92, floor - 112), _EDGE)
    _box(pen, (x, floor - 16, x + 92, floor), _EDGE)
    for nth in range(12):
        _box(pen, (x + 9, floor - 112 + nth * 8, x + 83, floor - 105 + nth * 8), (_THREAD, "#A67A42")[nth % 2])


def _box(pen: ImageDraw.ImageDraw, box: Box, fill: str | int, outline: str | None = None) -> None:
    left, top, right, bottom = (edge * _OVER for edge in box)
    pen.rectangle((left, top, right, bottom), fill, outline, 3 * _OVER if outline else 0)


def finished(picture: Image.Image) -> Image.Image:
    """A picture at its size, with few colours."""
    small = picture.resize((picture.width // _OVER, picture.height // _OVER), Image.Resampling.BOX)
    return small.quantize(_COLOURS, Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)


DRAWERS = {"2025-03-14-guest-book.png": guest_book, "2025-04-11-sketchbooks.png": sketchbooks}


if __name__ == "__main__":
    DRAWN.mkdir(exist_ok=True)
    for name, drawer in DRAWERS.items():
        finished(drawer()).save(DRAWN / name, optimize=True)
