"""Processes killed while they keep a state, at any byte: `python -m tests.promises.history --count 10000`.

Each case is a page that is saved, edited elsewhere and removed some times. Any of its saves may be killed, before or
after the page is replaced, at any byte of what it appends to the history. After each step every version that a save
replaced or wrote is read from the history, in order, and none that never was on the page.
"""

from __future__ import annotations

import argparse
import datetime as dt
import random
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from journal.folder.history import of_page, replacing
from journal.folder.page_versions import Base
from tests.choosing import Chooser

DAY = "2025-03-14"
MEMORY = "/dev/shm" if Path("/dev/shm").is_dir() else None
START = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
DIGEST = b"dc5c4d966eecad07d862575d45be45d3edd094a6fb30710c3abe5c0270848677"  # of the line that follows
TEXTS = [  # what a page may hold that looks like a part of a history
    b"",
    b"\n=== written\n",
    b"\n=== not written\n",
    b"\n=== 2025-03-14T22:05:00+00:00 day 3 bytes " + b"0" * 64 + b"\nabc\n=== written\n",
    b"\n=== 2025-03-14T22:05:00+00:00 day removed\n\n=== wri",
    b"\n=== 2025-03-14T22:05:00+00:00 day 9 bytes %b\nmood = 4\n" % DIGEST,
    b"mood = 4\n",
]


class Machine:
    """A page, its history file, and what a reader of the history must find in it.

    `must` are the versions that a save replaced or wrote. `may` are those, and versions that a killed save may have
    written. `never` are versions of killed saves that certainly were not.
    """

    def __init__(self, folder: Path, chooser: Chooser) -> None:
        self.page, self.file = folder / f"{DAY}.toml", folder / ".history" / "2025" / f"{DAY}.txt"
        self.folder, self.chooser, self.number = folder, chooser, 0
        self.must: list[bytes | None] = []
        self.may: list[bytes | None] = []
        self.never: list[bytes | None] = []

    def base(self) -> Base:
        return Base(DAY, self.page.name, self.page.read_bytes() if self.page.exists() else None)

    def set(self, data: bytes | None) -> None:
        if data is None:
            self.page.unlink(missing_ok=True)
        else:
            self.page.write_bytes(data)

    def new(self) -> bytes | None:
        """A version that no other step has, or none."""
        self.number += 1
        return None if self.chooser.flip(8) else b"# %d\n%s" % (self.number, self.chooser.one(TEXTS))

    def edit(self) -> None:
        data = self.new()
        self.set(data)
        self.may.append(data)
        self.never = []

    def save(self, kill: str = "") -> None:
        before, after = self.base(), self.new()
        if before.data == after:
            return
        at_first = self._text()
        with replacing(self.folder, before, after, now=START + dt.timedelta(minutes=self.number), by="day"):
            begun = self._text()
            self.set(after)
        closed = self._text()
        self.may += [before.data, after]
        if kill == "before":  # at any byte of what is appended before the page is replaced
            self.set(before.data)
            self._cut(at_first, begun)
            self.never = [after]
            return
        if kill == "after":  # at any byte of the closing line
            self._cut(begun, closed)
        if kill == "after" and before.data is None:  # if someone removes it, it is as if it had not been written
            self.must.append(None)
        else:
            self.must += [before.data, after]
        self.never = []

    def _text(self) -> bytes:
        return self.file.read_bytes() if self.file.exists() else b""

    def _cut(self, at_first: bytes, then: bytes) -> None:
        different = (i for i, (a, b) in enumerate(zip(at_first, then, strict=False)) if a != b)
        least = next(different, min(len(at_first), len(then)))
        size = least + self.chooser.one(range(len(then) - least + 1))
        self.file.write_bytes(then[:size])

    def check(self) -> None:
        present = self.base()
        found = [state.data for state in of_page(self.folder, present)]
        assert in_order([data for data, _ in runs(self.must)], found), (self.must, found)
        assert in_order(found, [*self.may, present.data]), (found, self.may)
        assert not ({*self.never} - {None}) & {*found}
        assert (found[-1] if found else None) == present.data


def runs(values: Sequence[bytes | None]) -> Iterator[tuple[bytes | None, int]]:
    """Each value that differs from the one before, with its position. A page that was never there is no version."""
    last: bytes | None = None
    for i, value in enumerate(values):
        if value != last:
            yield value, i
        last = value


def in_order(some: Sequence[bytes | None], every: Sequence[bytes | None]) -> bool:
    rest = iter(every)
    return all(value in rest for value in some)


def one(chooser: Chooser) -> None:
    """One case. Raises AssertionError if a state is lost or wrong."""
    with tempfile.TemporaryDirectory(dir=MEMORY) as name:
        machine = Machine(Path(name), chooser)
        for _ in range(chooser.one(range(2, 12))):
            step = chooser.one(("save", "save", "before", "after", "edit"))
            if step == "edit":
                machine.edit()
            else:
                machine.save("" if step == "save" else step)
            machine.check()


def run(count: int, seed: int) -> list[str]:
    """Run so many cases. Return a line for each that breaks the promise."""
    failures = []
    for number in range(count):
        chance = random.Random(f"{seed}:{number}")
        try:
            one(Chooser(lambda _: chance.randbytes(64)))  # noqa: B023
        except AssertionError as error:
            failures.append(f"{seed}:{number}: {str(error)[:200]}")
    return failures


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    began = time.monotonic()
    failures = run(asked.count, asked.seed)
    for failure in failures:
        print(failure, file=sys.stderr)
    seconds = time.monotonic() - began
    print(f"history: {asked.count:,} cases, {len(failures)} failures, {seconds:.0f} s, seed {asked.seed}")
    return bool(failures)


if __name__ == "__main__":
    sys.exit(main())
