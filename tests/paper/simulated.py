"""Filled sheets of the example year, photographed and scanned by a seed."""

from __future__ import annotations

import datetime as dt
import io
import random
from functools import lru_cache
from typing import NamedTuple

import msgspec
import numpy as np
from PIL import Image

import journal
from journal import Journal, periods
from journal.export import month_sheet, sheets, typesetting
from journal.export.month_sheet import MonthSheet
from journal.export.sheets import PaperSheet
from journal.paper.layout import PaperBox
from tests.paper import camera, hand
from tests.paper.hand import Mark, Page

DOTS_A_MM = 300 / 25.4
TODAY = dt.date(2025, 12, 31)


class Filled(NamedTuple):
    """A filled sheet as a picture, its boxes and the marks in them."""

    data: bytes
    boxes: list[PaperBox]
    marks: list[Mark]


@lru_cache(maxsize=1)
def book() -> Journal:
    return journal.open("example_year", today=TODAY, cache=False)


@lru_cache(maxsize=12)
def month(key: str = "2025-04") -> tuple[MonthSheet, Page]:
    """The sheet of a month, and its print."""
    sheet = month_sheet.of(book(), periods.parse(key, week_starts="monday"))[0]
    return sheet, printed(sheet)


def printed(*some: PaperSheet, paper: str = "a5") -> Page:
    """The first page of sheets at 300 dots an inch: the light that it reflects, 0 to 1."""
    words = msgspec.json.encode(sheets.data(some, paper, frozenset())).decode()  # type: ignore[arg-type]
    png = typesetting.images("sheets", words, "png", 300)[0]
    light: Page = np.asarray(Image.open(io.BytesIO(png)).convert("L"), np.float32) / np.float32(255)
    return light


def filled(seed: int, key: str = "2025-04") -> tuple[Page, list[PaperBox], list[Mark], random.Random]:
    """A sheet of a month filled by a seeded hand."""
    draw = random.Random(seed)
    sheet, page = month(key)
    boxes = [box for box in sheet.layout.boxes if box.kind != "rest"]
    marks = hand.drawn_marks(boxes, draw, draw.choice((0.1, 0.3, 0.6)))
    page = hand.smudged(page, draw)
    hand.fill(page, boxes, marks, DOTS_A_MM, draw, draw.choice(hand.TOOLS))
    return page, boxes, marks, draw


def photograph(seed: int, key: str = "2025-04") -> Filled:
    """A photograph of a filled sheet."""
    page, boxes, marks, draw = filled(seed, key)
    return Filled(camera.photograph(page, DOTS_A_MM, camera.drawn(draw), seed), boxes, marks)


def scan(seed: int, key: str = "2025-04") -> Filled:
    """A scan of a filled sheet at 150 dots an inch."""
    page, boxes, marks, draw = filled(seed, key)
    return Filled(camera.scan(page, DOTS_A_MM, draw), boxes, marks)
