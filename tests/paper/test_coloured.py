"""Reading of a year's sheet by its colours: simulated photographs, and keys that cannot be read."""

from __future__ import annotations

import datetime as dt
import math
import random
from functools import partial

import numpy as np
import pytest

from journal.errors import UsageError
from journal.export.year_sheet import of as year_sheet_of
from journal.paper import picture_file, sheet_fields, sheet_lookup, sheet_reader, swatch_colours, year_layout
from journal.paper.layout import PaperBox
from journal.periods import year
from journal.settings import Scale, Settings
from tests.paper import colouring, simulated
from tests.paper.camera import Shot
from tests.promises import coloured_paper

DATE = dt.date(2025, 4, 2)
SWATCHES = {1.0: (30.0, 20.0, -40.0), 2.0: (50.0, 60.0, 30.0), 3.0: (85.0, 0.0, 60.0)}


def boxes(steps: tuple[float, ...], count: int = 1) -> list[PaperBox]:
    """Some fields, then the swatches of the key."""
    fields = [PaperBox(field="mood", date=DATE, value=True, x=0, y=0)] * count
    return fields + [PaperBox(field="key", date=DATE, value=step, x=0, y=0) for step in steps]


@pytest.mark.parametrize(
    ("colour", "mark", "step", "is_sure"),
    [
        ((100.0, 1.0, 2.0), "empty", True, True),
        ((34.0, 18.0, -36.0), "filled", 1.0, True),
        ((84.0, 3.0, 52.0), "filled", 3.0, True),
        ((93.0, 0.0, 31.0), "filled", 3.0, False),  # between paper and yellow
        ((60.0, -40.0, 20.0), "empty", True, False),  # green, which the key does not have
    ],
)
def test_a_field_goes_to_the_nearest_swatch_or_is_asked(
    colour: tuple[float, float, float], mark: str, step: float, is_sure: bool
) -> None:
    (found,) = swatch_colours.nearest(boxes(tuple(SWATCHES)), np.array([colour, *SWATCHES.values()]))
    assert (found.mark, found.box.value, found.certainty >= 0.99) == (mark, step, is_sure)


@pytest.mark.parametrize(
    ("steps", "changed", "words"),
    [
        ((1.0, 2.0, 3.0), {2.0: (97.0, 1.0, 1.0)}, "its key has no colour for 2; colour each swatch"),
        ((1.0, 2.0, 3.0), dict.fromkeys(SWATCHES, (100.0, 0.0, 0.0)), "its key has no colour for 1, 2, 3"),
        ((1.0, 2.0, 3.0), {2.0: (32.0, 22.0, -36.0)}, "the colours of 1 and 2 in its key are too much alike"),
        ((math.nan,) * 3, {}, "a colour of its key stands for several steps"),
    ],
)
def test_a_key_that_says_too_little_is_told(
    steps: tuple[float, ...], changed: dict[float, tuple[float, float, float]], words: str
) -> None:
    seen = np.array([(100.0, 0, 0), *(SWATCHES | changed).values()])
    with pytest.raises(UsageError, match=words):
        swatch_colours.nearest(boxes(steps), seen)


def test_steps_that_are_called_sure_are_right() -> None:
    """The command `python -m tests.promises.coloured_paper` does it for 100 sheets."""
    found = coloured_paper.outcome(1, 8)
    assert (found.unread, found.wrong, found.boxes) == ([], [], 365)
    assert found.asked <= 0.03 * found.boxes


def test_a_sheet_is_read_to_moods_of_days_and_one_with_an_empty_key_is_told() -> None:
    shot = Shot(megapixels=2, quality=70)
    layout_of = partial(sheet_lookup.layout, simulated.book())
    page, steps = colouring.coloured(random.Random(3), colouring.PALETTES[0])
    (picture,) = picture_file.of("a.jpg", colouring.photographed(page, shot, 1))
    (sheet,) = sheet_reader.read(picture, layout_of).sheets
    fields = sheet_fields.of(sheet)
    assert {field.field for field in fields} == {"mood"}
    assert [field.value for field in fields if not field.doubt] == [
        step for field, step in zip(fields, steps, strict=True) if not field.doubt
    ]
    page, _ = colouring.coloured(random.Random(3), colouring.PALETTES[0], skipped=(1, 2, 3, 4, 5))
    (picture,) = picture_file.of("a.jpg", colouring.photographed(page, shot, 1))
    assert sheet_reader.read(picture, layout_of).told == [
        (
            '"a.jpg": the sheet of the year 2025: its key has no colour for 1, 2, 3, 4, 5; colour each swatch, and '
            "take it again"
        )
    ]


@pytest.mark.parametrize(("low", "high"), [(1, 2), (1, 4), (1, 5), (0, 5), (1, 10), (1, 4.5), (0, 100)])
def test_each_swatch_has_a_word_and_a_step(low: float, high: float) -> None:
    scale = Scale(low=low, high=high)
    sheet = year_sheet_of(Settings(title="Small", places=(), mood=scale), year(2025))
    assert len(sheet.words.key) == len(year_layout.swatch_steps(scale))
