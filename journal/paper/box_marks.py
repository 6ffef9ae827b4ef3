"""The mark in each box: empty, a stroke, half filled, or filled; with a certainty.

Three questions are asked of a box, each a weighted sum of a few features: is there a mark, is it one line, does it fill
one half. The weights are those of logistic regressions on simulated marks (tests/paper/calibration.py, which prints
them). Between the bounds of a question lies what different marks have in common. There the box is asked. A tick and a
cross count as filled: a hand in a hurry makes them for "done", and no line is straight in them.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from journal.paper import mark_features
from journal.paper.mark_features import MarkFeatures
from journal.paper.samples import Ink

MarkKind = Literal["empty", "stroke", "half", "filled"]

SURE = 0.99


class MarkQuestion(NamedTuple):
    """A sum of features. At most `no` is a sure no, at least `yes` a sure yes."""

    weights: tuple[float, ...]
    constant: float
    no: float
    yes: float

    def chance(self, *features: NDArray[np.float64]) -> NDArray[np.float64]:
        """The chance of a yes: `SURE` at the upper bound, 1 - `SURE` at the lower one.

        >>> MarkQuestion((1.0,), 0.0, -2.0, 4.0).chance(np.array([-2.0, 1.0, 4.0])).round(2).tolist()
        [0.01, 0.5, 0.99]
        """
        score = self.constant + sum(weight * one for weight, one in zip(self.weights, features, strict=True))
        slope = 2 * math.log(SURE / (1 - SURE)) / (self.yes - self.no)
        return np.asarray(1 / (1 + np.exp(np.clip(-slope * (score - (self.yes + self.no) / 2), -60, 60))))


MARKED = MarkQuestion((11.7, 17.1), -5.5, -2.4, -0.4)
"""Of `dark` and `mean`. A speck of 0.2 mm is no mark; the lightest line of a hard pencil is one."""

THIN = MarkQuestion((-1.0,), 0.0, -math.log(0.056), -math.log(0.045))
"""Of the logarithm of `width`: no single line is wider, and no half that is filled is as thin."""

LINE = MarkQuestion((-11.05, -7.85, 7.12, -5.15, 8.78, -10.35), -57.28, -3.0, 4.0)
"""Of the logarithms of `width` and `bow`, `cover`, the logarithm of `dark`, `fuller` and `emptier`, where it is thin.
A bent stroke is a line; the corner of a tick makes two."""

HALF = MarkQuestion((31.3, -19.5, 0.14, -1.86, -1.26), -22.64, -2.6, 3.4)
"""Of `fuller`, `emptier`, `cover`, and the logarithms of `bow` and `width`."""


class ReadMarks(NamedTuple):
    """The marks of boxes, and the certainty of each, 0.5 to 1."""

    kinds: list[MarkKind]
    certainty: NDArray[np.float64]


def read(patches: Ink, any_mark: NDArray[np.bool_] | None = None) -> ReadMarks:
    """Read the marks of boxes from their ink (box, row, column). Where `any_mark` holds, any mark counts as filled.

    >>> boxes = np.zeros((3, 20, 20), np.float32)
    >>> boxes[1, 9:11], boxes[2] = 0.8, 0.8
    >>> marks = read(boxes)
    >>> marks.kinds, bool((marks.certainty > SURE).all())
    (['empty', 'stroke', 'filled'], True)
    """
    features = mark_features.of(patches)
    marked, line, half = chances(features)
    whole = np.zeros(len(patches), bool) if any_mark is None else any_mark
    kinds: list[MarkKind] = []
    certainty = np.ones(len(patches))
    for nth in range(len(patches)):
        answers = [marked[nth]]
        if marked[nth] < 0.5:
            kinds.append("empty")
        elif whole[nth]:
            kinds.append("filled")
        else:
            answers.append(line[nth])
            if line[nth] >= 0.5:
                kinds.append("stroke")
            else:
                answers.append(half[nth])
                kinds.append("half" if half[nth] >= 0.5 else "filled")
        certainty[nth] = min(max(chance, 1 - chance) for chance in answers)
    return ReadMarks(kinds, certainty)


def chances(features: MarkFeatures) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """The chance of a yes to each question, for each box."""
    asked = asked_features(features)
    line = np.minimum(THIN.chance(*asked["THIN"]), LINE.chance(*asked["LINE"]))
    return MARKED.chance(*asked["MARKED"]), line, HALF.chance(*asked["HALF"])


def asked_features(features: MarkFeatures) -> dict[str, tuple[NDArray[np.float64], ...]]:
    """What each question rests on."""
    width, bow = np.log(features.width + 0.005), np.log(features.bow + 0.02)
    cover, fuller, emptier = features.cover, features.fuller, features.emptier
    return {
        "MARKED": (np.clip(features.dark, 0, 0.6), np.clip(features.mean, 0, 0.3)),
        "THIN": (width,),
        "LINE": (width, bow, cover, np.log(np.maximum(features.dark, 0.05)), fuller, emptier),
        "HALF": (fuller, emptier, cover, bow, width),
    }
