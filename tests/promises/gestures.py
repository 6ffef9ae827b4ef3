"""Every gesture that a person has, in any order: no task, line, mark or appointment ever leaves without her word.
No task stands open in two places.

`python -m tests.promises.gestures --count 20000` makes so many gestures, in journals of forty, and prints one line.
Each failure is printed with the seed of its journal: `python -m tests.promises.gestures --replay 60123` makes it again,
and prints the shortest list of gestures found that leads to it. With `--whole`, no gesture is left out.
"""

from __future__ import annotations

import argparse
import collections
import os
import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from unittest import mock

from tests.choosing import Chooser
from tests.promises.editor_gestures import editor, written_again
from tests.promises.evening_gestures import evening
from tests.promises.ledger import Wrong
from tests.promises.other_gestures import day_edit, decide, imported, month, night, put, terminal, undo
from tests.promises.world import Draw, World

Gesture = Callable[[World], None]

GESTURES: tuple[Gesture, ...] = (
    evening, evening, evening, day_edit, day_edit, day_edit, put, put, decide, undo, month, terminal, imported, editor,
    written_again, night,
)  # fmt: skip
STEPS = 40  # gestures a journal


def trace(seed: int, steps: list[int]) -> tuple[list[str], list[Wrong]]:
    """Make the gestures of a seed, each with choices of its own. Return what was done, and what then went wrong."""
    with tempfile.TemporaryDirectory() as name:
        world = World(Path(name) / "journal")
        for step in steps:
            rng = random.Random(f"{seed} {step}")
            gesture = rng.choice(GESTURES)
            world.choose = Chooser(_bytes_of(rng))
            gesture(world)
            if wrong := world.wrong():
                return world.told, wrong
    return world.told, []


def _bytes_of(rng: random.Random) -> Draw:
    return lambda _: rng.randbytes(64)


def smallest(seed: int, steps: list[int]) -> list[int]:
    """Leave out gestures as long as something goes wrong."""
    for step in list(steps):
        fewer = [other for other in steps if other != step]
        if trace(seed, fewer)[1]:
            steps = fewer
    return steps


def replay(seed: int, *, whole: bool = False) -> tuple[list[str], list[Wrong]]:
    """Make the gestures of one journal, without those that its failure does not need."""
    steps = list(range(STEPS))
    return trace(seed, steps if whole or not trace(seed, steps)[1] else smallest(seed, steps))


def run(count: int, seed: int, tell: Callable[[int, list[Wrong]], None]) -> list[list[Wrong]]:
    """Make `count` gestures. Return what went wrong, by journal, after it was told with the seed of the journal."""
    failures = []
    for number in range(max(1, count // STEPS)):
        if wrong := trace(seed + number, list(range(STEPS)))[1]:
            tell(seed + number, wrong)
            failures.append(wrong)
    return failures


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--replay", type=int, metavar="SEED", help="make the gestures of this journal alone")
    parser.add_argument("--whole", action="store_true", help="with --replay, leave out no gesture")
    given = parser.parse_args()
    with mock.patch.object(os, "fsync", lambda _: None):  # of the disk other campaigns tell
        if given.replay is not None:
            told, wrong = replay(given.replay, whole=given.whole)
            print("\n".join([*told, *(f"  {one.kind}: {one.sentence}" for one in wrong)]))
            sys.exit(1 if wrong else 0)
        begun = time.monotonic()
        failures = run(given.count, given.seed, _tell)
        seconds = time.monotonic() - begun
    kinds = collections.Counter(kind for wrong in failures for kind in {one.kind for one in wrong})
    counted = ", ".join(f"{kinds[kind]} {kind}" for kind in ("lost", "twice", "other"))
    print(
        f"gestures: {given.count:,} gestures, {len(failures)} failures ({counted}), {seconds:.0f} s, seed {given.seed}"
    )
    sys.exit(1 if failures else 0)


def _tell(seed: int, wrong: list[Wrong]) -> None:
    print(f"--replay {seed}: {'; '.join(f'{one.kind}: {one.sentence}' for one in wrong)}", file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
