"""The lines of a day that are written by hand: told from bare ones in photographs."""

from __future__ import annotations

import datetime as dt
import io
import random
from functools import partial

import pytest
from PIL import Image

from journal.paper import day_layout, handwriting, picture_file, sheet_lookup, sheet_pictures, sheet_reader
from journal.paper.layout import PaperBox
from tests.paper import camera, hand, simulated
from tests.paper.hand import Page

DATE = dt.date(2025, 3, 14)


def written_on(page: Page, draw: random.Random, tool: hand.Tool) -> Page:
    """A short word on one of the lines, as loops of a pen."""
    page = page.copy()
    y = day_layout.LINES_BOTTOM - draw.randrange(4) * day_layout.LINE
    box = PaperBox(field="word", date=DATE, value=True, x=draw.uniform(50, 110), y=y - 4.5, width=14, height=3.5)
    loops = [(nth / 24, 0.5 + 0.45 * (-1) ** nth * draw.uniform(0.4, 1)) for nth in range(25)]
    hand.ink(page, box, [loops], simulated.DOTS_A_MM, draw, tool)
    return page


def crop(data: bytes) -> Image.Image | None:
    (picture,) = picture_file.of("a.jpg", data)
    (sheet,) = sheet_reader.read(picture, partial(sheet_lookup.layout, simulated.book())).sheets
    assert sheet.lies is not None
    return handwriting.crop(sheet_pictures.straight(picture, sheet.lies), sheet.layout)


@pytest.mark.parametrize("seed", (1, 3))
def test_a_word_is_told_from_bare_lines_in_a_photograph(seed: int) -> None:
    draw = random.Random(seed)
    shot = camera.drawn(draw)
    bare = simulated.day(str(DATE))[1]
    word = written_on(bare, draw, hand.TOOLS[seed % len(hand.TOOLS)])
    assert crop(camera.photograph(bare, simulated.DOTS_A_MM, shot, seed)) is None
    found = crop(camera.photograph(word, simulated.DOTS_A_MM, shot, seed))
    assert found is not None and found.size == (716, 198)


def test_a_picture_of_lines_has_nothing_beside_its_pixels() -> None:
    data = sheet_pictures.jpeg(Image.new("RGB", (40, 30)))
    with Image.open(io.BytesIO(data)) as image:
        assert not image.getexif() and "comment" not in image.info
