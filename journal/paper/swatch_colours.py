"""The steps of mood on a year's sheet, by colour: each field goes to the swatch of the key that it is nearest to.

Colours are compared in CIE L*a*b* (CIE 15), with the paper about them as white, so that the colour of the light and a
shadow do not matter. Bare paper is one more swatch: a field that is nearest to it is empty.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from journal.errors import UsageError
from journal.language import digits
from journal.language.catalogue import _
from journal.paper import box_marks, ink_levels, samples, year_layout
from journal.paper.box_marks import MarkKind
from journal.paper.layout import PaperBox
from journal.paper.picture_file import Levels
from journal.paper.straightening import Straightened

BARE = 7.0
"""Most distance from bare paper of a swatch that was left empty."""

CLEAR = 8.0
"""Least lead of the nearest colour over the next with which it is sure."""

FAR = 18.0
"""Distance from every colour with which a field has another one. One in a thousand of the right ones is so far."""

ALIKE = 10.0
"""Distance of two swatches with which they cannot be told apart."""

_INSIDE = (0.14, 0.24, 0.56, 0.6)  # x, y, width, height as shares of a field: without edges and a weekend's corner
_CELLS = 10
_GAMMA = 2.2  # of the levels of a picture, about that of sRGB (IEC 61966-2-1)
_TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
_WHITE = _TO_XYZ.sum(axis=1)

_PAPER = (100.0, 0.0, 0.0)

Colours = NDArray[np.float64]
"""L*, a* and b* of some boxes, a row each."""


class ColouredBox(NamedTuple):
    """A field with the step that its colour says, and the certainty of it, 0.5 to 1."""

    box: PaperBox
    mark: MarkKind
    certainty: float


def read(levels: Levels, sheet: Straightened, boxes: Sequence[PaperBox]) -> list[ColouredBox]:
    """Read the fields of a year's sheet from levels of red, green and blue.

    Raises UsageError, in a part of a sentence, if its key lacks a colour, has two alike, or each stands for several
    steps.
    """
    return nearest(boxes, colours(levels, sheet, boxes))


def nearest(boxes: Sequence[PaperBox], seen: Colours) -> list[ColouredBox]:
    """Each field with the step of the nearest swatch, from the colours of all boxes.

    Raises UsageError as `read` does.
    """
    in_key = np.array([box.field == year_layout.KEY for box in boxes])
    steps = [float(box.value) for box in boxes if box.field == year_layout.KEY]
    if any(math.isnan(step) for step in steps):
        raise UsageError(_("a colour of its key stands for several steps, so it cannot be read"))
    swatches = seen[in_key]
    _refuse_unclear(steps, swatches)
    centres = np.array([_PAPER, *swatches])
    found = list[ColouredBox]()
    for box, colour in zip(boxes, seen, strict=True):
        if box.field == year_layout.KEY:
            continue
        apart = np.linalg.norm(centres - colour, axis=1)
        first, second = np.argsort(apart)[:2]
        lead = math.log(box_marks.SURE / (1 - box_marks.SURE)) * float(apart[second] - apart[first]) / CLEAR
        certainty = 0.5 if apart[first] > FAR else 1 / (1 + math.exp(-min(lead, 60)))
        if first == 0:
            found.append(ColouredBox(box, "empty", certainty))
        else:
            of_step = msgspec.structs.replace(box, value=steps[first - 1])
            found.append(ColouredBox(of_step, "filled", certainty))
    return found


def colours(levels: Levels, sheet: Straightened, boxes: Sequence[PaperBox]) -> Colours:
    """The mean colour inside each box, with the paper about it as white."""
    place = np.array([(box.x, box.y, box.width, box.height) for box in boxes], float)
    x, y, width, height = _INSIDE
    inside = np.column_stack(
        [place[:, 0] + x * place[:, 2], place[:, 1] + y * place[:, 3], width * place[:, 2], height * place[:, 3]]
    )
    middles = inside[:, :2] + inside[:, 2:] / 2
    points = sheet.inside(inside, _CELLS)
    shares = []
    for channel in range(3):
        one = np.ascontiguousarray(levels[:, :, channel])
        bare = ink_levels.light(one, sheet).at(middles)
        shares.append(samples.at(one, points).reshape(len(boxes), -1).mean(axis=1) / bare)
    return lab(np.clip(np.stack(shares, axis=1).astype(float), 0.0, 1.1))


def lab(shares: NDArray[np.float64]) -> Colours:
    """L*, a* and b* of levels of red, green and blue as shares of those of white.

    >>> lab(np.array([(1.0, 1.0, 1.0), (0.0, 0.0, 0.0)])).round(3).tolist()
    [[100.0, 0.0, 0.0], [0.0, 0.0, 0.0]]
    """
    xyz = (shares**_GAMMA) @ _TO_XYZ.T / _WHITE
    bent = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    lightness = 116 * bent[:, 1] - 16
    return np.stack([lightness, 500 * (bent[:, 0] - bent[:, 1]), 200 * (bent[:, 1] - bent[:, 2])], axis=1)


def _refuse_unclear(steps: Sequence[float], swatches: Colours) -> None:
    """Raise UsageError if a swatch is bare or like another: fields of its colour would be taken for another step."""
    bare = [
        digits.signed(f"{step:g}")
        for step, colour in zip(steps, swatches, strict=True)
        if math.dist(colour, _PAPER) < BARE
    ]
    if bare:
        raise UsageError(
            _("its key has no colour for {steps}; colour each swatch, and take it again", steps=", ".join(bare))
        )
    for (step, colour), (other, its_colour) in itertools.combinations(zip(steps, swatches, strict=True), 2):
        if math.dist(colour, its_colour) < ALIKE:
            raise UsageError(
                _(
                    "the colours of {step} and {other} in its key are too much alike to be told apart; write its days "
                    "on the pages",
                    step=digits.signed(f"{step:g}"),
                    other=digits.signed(f"{other:g}"),
                )
            )
