"""The weights of the questions of journal/paper/box_marks.py, by logistic regression on simulated pictures.

    python -m tests.paper.calibration --count 60 --seed 1

It prints the weights of each question, and the scores of both answers at their edges. The bounds are set by hand
between them: at most one mark in 20,000 may lie beyond the bound of the other answer.
"""

from __future__ import annotations

import argparse
from functools import partial

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from journal.paper import (
    box_marks,
    corner_search,
    ink_levels,
    mark_features,
    picture_file,
    sheet_lookup,
    straightening,
)
from tests.paper import simulated

_RIDGE = 1e-4


def patches(count: int, seed: int) -> tuple[NDArray[np.float32], NDArray[np.str_]]:
    """The ink of all boxes of as many photographs as scans, and their marks."""
    found, marks = list[NDArray[np.float32]](), list[str]()
    layout_of = partial(sheet_lookup.layout, simulated.book())
    for number in range(count):
        for made in (simulated.photograph, simulated.scan):
            given = made(seed * 100_000 + number)
            (picture,) = picture_file.of("", given.data)
            levels = picture.levels()
            for sheet in corner_search.search(levels).sheets:
                layout = layout_of(sheet)
                assert layout is not None
                straight = straightening.straighten(levels, sheet)
                light = ink_levels.light(levels, straight)
                printed = np.array([box.is_printed for box in layout.boxes])
                found.append(ink_levels.patches(levels, straight, light, layout.boxes)[printed])
                marks += np.array(given.marks)[printed].tolist()
    return np.concatenate(found), np.array(marks)


def weights(columns: list[NDArray[np.float64]], yes: NDArray[np.bool_]) -> tuple[list[float], float]:
    """The weights and the constant of a question; both answers count alike, however many there are."""
    values = np.stack(columns, axis=1)
    middle, spread = values.mean(axis=0), values.std(axis=0)
    scaled = np.column_stack([(values - middle) / spread, np.ones(len(values))])
    share = np.where(yes, 0.5 / yes.mean(), 0.5 / (1 - yes.mean()))
    sign = np.where(yes, 1, -1)

    def loss(guess: NDArray[np.float64]) -> float:
        misfit = float(np.mean(share * np.logaddexp(0, -sign * (scaled @ guess))))
        return misfit + _RIDGE * float(guess[:-1] @ guess[:-1])

    best = minimize(loss, np.zeros(scaled.shape[1])).x
    return (best[:-1] / spread).round(2).tolist(), round(float(best[-1] - (best[:-1] * middle / spread).sum()), 2)


def main(count: int, seed: int) -> None:
    """Print the weights of each question."""
    ink, marks = patches(count, seed)
    features = mark_features.of(ink)
    marked, width = marks != "empty", features.width
    thin = marked & (width < 0.055)
    solid = marked & (marks != "stroke")
    for name, among, yes in (
        ("MARKED", np.ones_like(marked), marked),
        ("LINE", thin, marks == "stroke"),
        ("HALF", solid, marks == "half"),
    ):
        columns = [column[among] for column in box_marks.asked_features(features)[name]]
        found, constant = weights(columns, yes[among])
        scores = np.stack(columns, axis=1) @ found + constant
        edges = np.percentile(scores[yes[among]], [0, 0.1, 1]), np.percentile(scores[~yes[among]], [99, 99.9, 100])
        yes_from, no_to = edges[0].round(1), edges[1].round(1)
        print(f"{name}: {found}, {constant}; yes from {yes_from}, no to {no_to}, {among.sum():,} boxes")
    widest, narrowest = width[marks == "stroke"].max(), width[marks == "half"].min()
    print(f"THIN: a stroke is at most {widest:.4f} wide, a half at least {narrowest:.4f}")


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    main(given.count, given.seed)
