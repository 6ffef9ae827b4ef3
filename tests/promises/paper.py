"""Sheets of paper, filled by a seeded hand, photographed or scanned, and read: what is called sure is right.

    python -m tests.promises.paper --count 300 --seed 1 [--scans] [--sheet day]

Each case is a sheet of a month or a day of the example year, filled with a pen or a pencil: filled, scribbled, ticked,
crossed, half filled and stroked boxes, and on a day lines through its half hours. Photographs have a tilt to 25
degrees, 1.5 to 12 megapixels, curl, blur, noise, a shadow and JPEG from quality 50. Scans have 150 dots an inch.
"""

from __future__ import annotations

import argparse
import time
from functools import partial
from typing import NamedTuple

from journal.paper import picture_file, sheet_lookup, sheet_reader
from tests.paper import simulated
from tests.paper.simulated import Filled

PERIODS = {
    "month": tuple(f"2025-{number:02}" for number in range(1, 13)),
    "day": tuple(f"2025-{month:02}-{day:02}" for month, day in zip(range(1, 13), range(4, 29, 2), strict=False)),
}


class Outcome(NamedTuple):
    """What was read of a number of sheets. `wrong` has a line for each box that was called sure and is not so."""

    sheets: int
    boxes: int
    asked: int
    unread: list[str]
    wrong: list[str]
    seconds: float

    @property
    def line(self) -> str:
        return (
            f"{self.sheets} sheets, {len(self.unread)} unread, {self.boxes:,} boxes, "
            f"{len(self.wrong)} wrong among the sure, "
            f"{self.asked / max(1, self.boxes):.2%} asked, {self.seconds * 1000:.0f} ms a sheet"
        )


def outcome(count: int, seed: int, *, scans: bool, sheet: str = "month", verbose: bool = False) -> Outcome:
    """Fill, photograph and read a number of sheets."""
    book = simulated.book()
    made, boxes, asked, seconds = simulated.scan if scans else simulated.photograph, 0, 0, 0.0
    unread, wrong = list[str](), list[str]()
    for number in range(count):
        case = seed * 100_000 + number
        given = made(case, PERIODS[sheet][number % len(PERIODS[sheet])])
        begun = time.process_time()
        (picture,) = picture_file.of(f"{case}", given.data)
        found = sheet_reader.read(picture, partial(sheet_lookup.layout, book))
        seconds += time.process_time() - begun
        if len(found.sheets) != 1:
            unread.append(f"{case}: {found.told}")
            continue
        read = found.sheets[0].boxes
        boxes += len(read)
        asked += sum(not box.is_sure for box in read)
        wrong += _wrong(case, given, read)
        if verbose and number % 20 == 19:
            print(Outcome(number + 1, boxes, asked, unread, wrong, seconds / (number + 1)).line, flush=True)
    return Outcome(count, boxes, asked, unread, wrong, seconds / count)


def _wrong(case: int, given: Filled, read: list[sheet_reader.BoxRead]) -> list[str]:
    return [
        f"{case}: {box.box.field} {box.box.date} {box.box.value}: {mark}, read as {box.mark} ({box.certainty:.4f})"
        for box, mark in zip(read, given.marks, strict=True)
        if box.is_sure and box.mark != mark
    ]


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=30)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--scans", action="store_true")
    parser.add_argument("--sheet", choices=list(PERIODS), default="month")
    asked_for = parser.parse_args()
    begun = time.perf_counter()
    result = outcome(asked_for.count, asked_for.seed, scans=asked_for.scans, sheet=asked_for.sheet, verbose=True)
    print(*result.unread, *result.wrong, sep="\n")
    kind = f"{'scans' if asked_for.scans else 'photographs'} of a {asked_for.sheet}"
    print(f"paper, {kind}: {result.line}; {time.perf_counter() - begun:.1f} s, seed {asked_for.seed}")
