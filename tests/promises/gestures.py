"""Every gesture that a person has, in any order: no task, line, mark or appointment ever leaves without her word.

`python -m tests.promises.gestures --count 20000` makes so many gestures, in journals of forty, and prints one line.
"""

from __future__ import annotations

import argparse
import os
import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from unittest import mock

from tests.choosing import Chooser
from tests.promises.evening_gestures import evening
from tests.promises.other_gestures import day_edit, decide, editor, imported, month, night, put, terminal, undo
from tests.promises.world import Draw, World

Gesture = Callable[[World], None]

GESTURES: tuple[Gesture, ...] = (
    evening, evening, evening, day_edit, day_edit, day_edit, put, put, decide, undo, month, terminal, imported, editor,
    night,
)  # fmt: skip
STEPS = 40  # gestures a journal


def trace(seed: int, steps: list[int]) -> list[str]:
    """Make the gestures of a seed, each with choices of its own; return what went wrong, after what was done."""
    with tempfile.TemporaryDirectory() as name:
        world = World(Path(name) / "journal")
        for step in steps:
            rng = random.Random(f"{seed} {step}")
            gesture = rng.choice(GESTURES)
            world.choose = Chooser(_bytes_of(rng))
            gesture(world)
            if sentences := world.wrong():
                return [*world.told, *sentences]
    return []


def _bytes_of(rng: random.Random) -> Draw:
    return lambda _: rng.randbytes(64)


def smallest(seed: int, steps: list[int]) -> list[int]:
    """Leave out gestures as long as something goes wrong."""
    for step in list(steps):
        fewer = [other for other in steps if other != step]
        if trace(seed, fewer):
            steps = fewer
    return steps


def run(count: int, seed: int) -> list[list[str]]:
    """Make `count` gestures. Returns the failures, each as the shortest list of gestures found that leads to it."""
    failures = []
    with mock.patch.object(os, "fsync", lambda _: None):  # of the disk other campaigns tell
        for number in range(max(1, count // STEPS)):
            steps = list(range(STEPS))
            if trace(seed + number, steps):
                shortest = smallest(seed + number, steps)
                failures.append([f"seed {seed + number}", *trace(seed + number, shortest)])
    return failures


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    begun = time.monotonic()
    failures = run(given.count, given.seed)
    for failure in failures[:10]:
        print("\n  ".join(failure))
    seconds = time.monotonic() - begun
    print(f"gestures: {given.count} gestures, {len(failures)} failures, {seconds:.0f} s, seed {given.seed}")
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
