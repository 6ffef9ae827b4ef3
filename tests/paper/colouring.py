"""Year sheets, coloured by a seeded hand and photographed in colour."""

from __future__ import annotations

import random
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from PIL import Image, ImageDraw

from journal import periods
from journal.export import year_sheet
from journal.paper.layout import PaperBox, SheetLayout
from tests.paper import camera, simulated
from tests.paper.camera import Shot
from tests.paper.hand import Page
from tests.paper.simulated import DOTS_A_MM

Colour = tuple[float, float, float]
"""What a pencil lets through of red, green and blue."""

PALETTES: tuple[tuple[Colour, ...], ...] = (
    ((0.16, 0.2, 0.45), (0.2, 0.5, 0.6), (0.35, 0.65, 0.3), (0.95, 0.75, 0.2), (0.85, 0.25, 0.2)),
    ((0.25, 0.15, 0.35), (0.6, 0.2, 0.45), (0.85, 0.4, 0.35), (0.95, 0.65, 0.3), (0.98, 0.9, 0.45)),
    ((0.15, 0.15, 0.15), (0.2, 0.3, 0.6), (0.45, 0.7, 0.85), (0.6, 0.8, 0.4), (0.95, 0.6, 0.7)),
)
"""Pencils of five colours, dark to light: two boxes of pencils, and one with the steps of dusk."""

_OVER = 2


class Coloured(NamedTuple):
    """A coloured sheet as a picture, its layout, and the step of each field, None for an empty one."""

    data: bytes
    layout: SheetLayout
    steps: list[float | None]


@lru_cache(maxsize=1)
def year() -> tuple[SheetLayout, Page]:
    """The sheet of 2025, and its print."""
    sheet = year_sheet.of(simulated.book().settings, periods.year(2025))
    return sheet.layout, simulated.printed(sheet)


def coloured(
    draw: random.Random, palette: tuple[Colour, ...], skipped: tuple[float, ...] = ()
) -> tuple[Page, list[float | None]]:
    """The print with three channels, coloured; the swatches of `skipped` steps are left out."""
    layout, print_of = year()
    page = np.repeat(print_of[:, :, None], 3, axis=2)
    steps, share = list[float | None](), draw.choice((0.3, 0.7, 1.0))
    for box in layout.boxes:
        if box.field == "key":
            step: float | None = None if box.value in skipped else float(box.value)
        else:
            step = draw.choice((1, 2, 3, 4, 5)) if draw.random() < share else None
            steps.append(step)
        if step is not None:
            _colour(page, box, palette[int(step) - 1], draw)
    return page, steps


def _colour(page: Page, box: PaperBox, colour: Colour, draw: random.Random) -> None:
    """Colour a box to and fro, as with a pencil held at a slant, some paper left between its lines."""
    left, top = round((box.x - 1) * DOTS_A_MM), round((box.y - 1) * DOTS_A_MM)
    wide, high = round((box.width + 2) * DOTS_A_MM), round((box.height + 2) * DOTS_A_MM)
    canvas = Image.new("L", (wide * _OVER, high * _OVER), 0)
    brush, unit = ImageDraw.Draw(canvas), DOTS_A_MM * _OVER
    step, x = draw.uniform(0.4, 0.65), 0.15
    while x < box.width - 0.1:
        ends = 1 + draw.uniform(0, 0.35), 1 + box.height - draw.uniform(0, 0.35)
        brush.line([((1 + x) * unit, ends[0] * unit), ((1 + x + 0.3) * unit, ends[1] * unit)], 255, round(0.6 * unit))
        x += step * draw.uniform(0.85, 1.15)
    cover = np.asarray(canvas.resize((wide, high), Image.Resampling.BOX), np.float32) / 255
    grain = np.random.default_rng(draw.getrandbits(32)).normal(1, 0.1, cover.shape).astype(np.float32)
    dense = np.clip(cover * grain * draw.uniform(0.85, 1.0), 0, 1)[:, :, None]
    page[top : top + high, left : left + wide] *= 1 - dense * (1 - np.array(colour, np.float32))


def photographed(page: Page, shot: Shot, seed: int, cast: Colour = (1, 1, 1)) -> bytes:
    """A photograph in colour, in light of a cast."""
    channels = [
        camera.developed(camera.taken(page[:, :, nth] * np.float32(cast[nth]), DOTS_A_MM, shot, seed), shot, seed + nth)
        for nth in range(3)
    ]
    return camera.jpeg(np.stack(channels, axis=2), shot.quality)


def photograph(seed: int) -> Coloured:
    """A photograph of a coloured sheet by a seed."""
    draw = random.Random(seed)
    page, steps = coloured(draw, draw.choice(PALETTES))
    shot = camera.drawn(draw)
    return Coloured(photographed(page, shot, seed, (1, draw.uniform(0.88, 1), draw.uniform(0.7, 1))), year()[0], steps)
