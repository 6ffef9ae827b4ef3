"""Sheets of a year, coloured by a seeded hand, photographed and read: a step that is called sure is right.

    python -m tests.promises.coloured_paper --count 100 --seed 1

Photographs are as those of `tests.promises.paper`, in light from white to yellow.
"""

from __future__ import annotations

import argparse
import time
from functools import partial

from journal.paper import picture_file, sheet_lookup, sheet_reader
from tests.paper import colouring, simulated
from tests.promises.paper import Outcome


def outcome(count: int, seed: int) -> Outcome:
    """Colour, photograph and read a number of sheets."""
    fields, asked, seconds = 0, 0, 0.0
    unread, wrong = list[str](), list[str]()
    for number in range(count):
        case = seed * 100_000 + number
        given = colouring.photograph(case)
        begun = time.process_time()
        (picture,) = picture_file.of(f"{case}", given.data)
        found = sheet_reader.read(picture, partial(sheet_lookup.layout, simulated.book()))
        seconds += time.process_time() - begun
        if len(found.sheets) != 1:
            unread.append(f"{case}: {found.told}")
            continue
        for box, step in zip(found.sheets[0].boxes, given.steps, strict=True):
            read = box.box.value if box.mark == "filled" else None
            fields += 1
            asked += not box.is_sure
            if box.is_sure and read != step:
                wrong.append(f"{case}: {box.box.date}: {step}, read as {read} ({box.certainty:.4f})")
    return Outcome(count, fields, asked, unread, wrong, seconds / count)


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=10)
    parser.add_argument("--seed", type=int, default=1)
    asked_for = parser.parse_args()
    begun = time.perf_counter()
    result = outcome(asked_for.count, asked_for.seed)
    print(*result.unread, *result.wrong, sep="\n")
    print(f"paper, coloured: {result.line}; {time.perf_counter() - begun:.1f} s, seed {asked_for.seed}")
