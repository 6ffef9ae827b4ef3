"""Filled sheets of the example year, photographed and scanned by a seed."""

from __future__ import annotations

import datetime as dt
import io
import random
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import msgspec
import numpy as np
from PIL import Image

import journal
from journal import Journal, periods
from journal.export import day_sheet, month_sheet, sheets, typesetting
from journal.export.day_sheet import DaySheet
from journal.export.month_sheet import MonthSheet
from journal.export.sheets import PaperSheet
from journal.paper.layout import PaperBox
from tests.paper import camera, hand, hand_hours
from tests.paper.camera import Shot
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


@lru_cache(maxsize=40)
def day(key: str) -> tuple[DaySheet, Page]:
    """The sheet of a day as it would have been printed the evening before, with its tasks open, and its print."""
    sheet = day_sheet.of(book(), dt.date.fromisoformat(key))[0]
    boxes = tuple(msgspec.structs.replace(box, kind="due") if box.kind == "done" else box for box in sheet.layout.boxes)
    sheet = msgspec.structs.replace(sheet, layout=msgspec.structs.replace(sheet.layout, boxes=boxes))
    return sheet, printed(sheet)


def sheet_of(key: str) -> tuple[DaySheet | MonthSheet, Page]:
    """The sheet of a month or a day, and its print."""
    return day(key) if len(key) == 10 else month(key)


def printed(*some: PaperSheet, paper: str = "a5") -> Page:
    """The first page of sheets at 300 dots an inch: the light that it reflects, 0 to 1."""
    words = msgspec.json.encode(sheets.data(some, paper, frozenset())).decode()  # type: ignore[arg-type]
    png = typesetting.images("sheets", words, "png", 300)[0]
    light: Page = np.asarray(Image.open(io.BytesIO(png)).convert("L"), np.float32) / np.float32(255)
    return light


def filled(seed: int, key: str = "2025-04") -> tuple[Page, list[PaperBox], list[Mark], random.Random]:
    """A sheet of a month or a day filled by a seeded hand."""
    draw = random.Random(seed)
    sheet, page = sheet_of(key)
    boxes = [box for box in sheet.layout.boxes if box.is_printed and box.kind != "hour"]
    marks = hand.drawn_marks(boxes, draw, draw.choice((0.1, 0.3, 0.6)))
    page = hand.smudged(page, draw)
    tool = draw.choice(hand.TOOLS)
    hand.fill(page, boxes, marks, DOTS_A_MM, draw, tool)
    given = {id(box): mark for box, mark in zip(boxes, marks, strict=True)}
    half_hours = [box for box in sheet.layout.boxes if box.kind == "hour"]
    if half_hours:
        given |= zip(map(id, half_hours), hand_hours.fill(page, half_hours, DOTS_A_MM, draw, tool), strict=True)
    # The other places are empty, and have to be read as empty.
    return page, list(sheet.layout.boxes), [given.get(id(box), "empty") for box in sheet.layout.boxes], draw


def photograph(seed: int, key: str = "2025-04") -> Filled:
    """A photograph of a filled sheet."""
    page, boxes, marks, draw = filled(seed, key)
    return Filled(camera.photograph(page, DOTS_A_MM, camera.drawn(draw), seed), boxes, marks)


def scan(seed: int, key: str = "2025-04") -> Filled:
    """A scan of a filled sheet at 150 dots an inch."""
    page, boxes, marks, draw = filled(seed, key)
    return Filled(camera.scan(page, DOTS_A_MM, draw), boxes, marks)


SIGNS: dict[str, Mark] = {"_": "empty", "-": "stroke", "/": "half", "#": "filled"}


def written(sheet: DaySheet | MonthSheet, page: Page, days: Mapping[int, Mapping[str, str]], seed: int = 1) -> Page:
    """The print of a sheet with marks where they are said: for each day and field a sign for each of its boxes."""
    boxes, marks = list[PaperBox](), list[Mark]()
    for day, fields in days.items():
        for field, signs in fields.items():
            of_field = [box for box in sheet.layout.boxes if (box.date.day, box.field) == (day, field)]
            assert len(of_field) == len(signs), (day, field)
            boxes += of_field
            marks += [SIGNS[sign] for sign in signs]
    filled_page = page.copy()
    hand.fill(filled_page, boxes, marks, DOTS_A_MM, random.Random(seed), hand.TOOLS[0])
    return filled_page


AUGUST: dict[int, dict[str, str]] = {
    11: {"mood": "__#__", "habits.walk": "#", "habits.read": "#_#", "habits.bench": "#", "habits.swim": "#"},
    12: {"mood": "___#_", "habits.walk": "#", "habits.stretch": "-", "habits.screen": "#___"},
    14: {"mood": "____#", "habits.read": "_/_", "habits.exhibition": "#"},
    17: {"mood": "___#_", "habits.walk": "#", "habits.call": "#"},
    18: {"mood": "___#_", "habits.walk": "#"},
}
"""The marks on tests/paper/august.jpg, a photograph that the manual reads. 2025-08-18 has a page with another mood."""


def august() -> bytes:
    """The photograph of August that the manual reads. `python -m tests.paper.simulated` writes it."""
    shot = Shot(megapixels=2, tilt=12, toward=60, turn=3, curl=2, shadow=0.25, quality=60)
    return camera.photograph(written(*month("2025-08"), AUGUST), DOTS_A_MM, shot, 1)


if __name__ == "__main__":
    (Path(__file__).parent / "august.jpg").write_bytes(august())
