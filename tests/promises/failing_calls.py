"""Every file operation fails once, in every way of writing: `python -m tests.promises.failing_calls`.

Each operation of a save fails with each of four errors, and once more with it everything after it, as on a drive that
is gone bad. Then nothing is lost, and what is told is what is on disk: "saved" if all pages are as the save writes
them, "not saved" if none is; and if some are, they are named as saved. After the next save no leftover stays.
"""

from __future__ import annotations

import argparse
import errno
import functools
import itertools
import os
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

from tests.planning.puts import files
from tests.promises import file_operations, ways
from tests.promises.file_operations import Operation
from tests.promises.kills import MEMORY, Expected, copied, expect
from tests.promises.ways import Told, Way

ERRORS = (errno.EIO, errno.ENOSPC, errno.EACCES, errno.EROFS)
_READS = {errno.ENOSPC: False, errno.EROFS: False}
"""Whether an error can come from reading, if not always."""
_SURE = ("close", "lseek")  # operations that do not fail on an open file


class Failure(NamedTuple):
    """Which operation of a way fails, with which error, and whether all later ones fail with it."""

    way: Way
    at: int
    code: int
    lasts: bool


def cases(every: list[Way], lengths: dict[str, list[Operation]]) -> Iterator[Failure]:
    for way, code, lasts in itertools.product(every, ERRORS, (False, True)):
        for at, operation in enumerate(lengths[way.name]):
            if operation.name not in _SURE and (operation.changes or _READS.get(code, True)):
                yield Failure(way, at, code, lasts)


def run(count: int | None, seed: int, told: Callable[[str], None] = print) -> tuple[int, list[str]]:
    """Make each operation fail, or so many by lot. Return the number of cases, and a line for each broken promise."""
    failures = []
    with tempfile.TemporaryDirectory(dir=MEMORY) as name:
        place = Path(name)
        every = ways.prepared(place)
        expected = {way.name: expect(way, place) for way in every}
        chosen = list(cases(every, {way.name: _operations(way, place) for way in every}))
        if count is not None:
            chosen = random.Random(seed).sample(chosen, min(count, len(chosen)))
        for failure in chosen:
            if wrong := one(failure, expected[failure.way.name], place):
                code = errno.errorcode[failure.code]
                failures.append(f"{failure.way.name} at {failure.at} {code}{' lasting' * failure.lasts}: {wrong}")
                told(failures[-1])
    return len(chosen), failures


def one(failure: Failure, expected: Expected, place: Path) -> str:
    """Let one operation fail. Return what is wrong afterwards, or an empty text."""
    folder = copied(failure.way, place)
    name, answer = _failed(failure, folder)
    now = files(folder)
    for path in {*now, *expected.states[0]}:
        known = expected.versions.get(path, {expected.states[0].get(path)})
        is_blank = not (now.get(path) or b"").strip() and None in known  # a new page that is taken back
        if not path.rpartition("/")[2].startswith(".") and now.get(path) not in known and not is_blank:
            return f"{path} has other bytes after {name}: {now.get(path)!r}, told {answer.text[:300]!r}"
    pages = {path: data for path, data in now.items() if not path.rpartition("/")[2].startswith(".")}
    if wrong := _told_wrongly(answer, pages, expected):
        return f"{wrong} after {name}: {answer.text[:300]!r}"
    ways.later(folder)
    left = [path.name for path in [*folder.glob(".*"), *folder.glob("2025/.*")] if path.is_file()]
    return f"left behind after {name}: {left}" if left else ""


def _failed(failure: Failure, folder: Path) -> tuple[str, Told]:
    count, name = -1, ""

    def before(operation: Operation) -> None:
        nonlocal count, name
        count += 1
        if operation.name in _SURE:
            return
        is_hit = count == failure.at or (failure.lasts and count > failure.at)
        if is_hit and (operation.changes or _READS.get(failure.code, True)):
            name = name or operation.name
            raise OSError(failure.code, os.strerror(failure.code), str(operation.arguments[0]))

    with file_operations.watched(before):
        answer = failure.way.save(folder)
    return name, answer


def _told_wrongly(answer: Told, pages: dict[str, bytes], expected: Expected) -> str:
    states = [_filled(state) for state in (*expected.states, pages)]
    before, after, now = states[0], states[-2], states[-1]
    if answer.saved:
        if "The copy still lies beside it" in answer.text:
            now = {path: data for path, data in now.items() if path in after}
        return "" if now == after else "told as saved, and it is not"
    if "not certain" in answer.text:
        return ""
    changed = [path for path in {**before, **now} if now.get(path) != before.get(path)]
    unnamed = [path for path in changed if path not in answer.text and not _is_counted(path, len(changed), answer.text)]
    return f"told as not saved, and {unnamed} is" if unnamed else ""


def _filled(state: dict[str, bytes]) -> dict[str, bytes]:
    """Return the files of a state that are not empty, and no folders."""
    return {path: data for path, data in state.items() if data.strip()}


def _is_counted(path: str, changed: int, text: str) -> bool:
    """Return whether a page is among those that a month or an import counts."""
    day = f"{int(path[-7:-5])} March" if path.endswith(".toml") and path[-7:-5].isdigit() else "-"
    counts = (
        f"Wrote {changed} page",
        f"{changed} page is written",
        f"{changed} pages are written",
        f"Saved {changed} day",
    )
    return any(count.format(changed) in text for count in counts) or (text.find("Saved ") >= 0 and day in text)


def _operations(way: Way, place: Path) -> list[Operation]:
    operations: list[Operation] = []
    folder = copied(way, place)
    with file_operations.watched(operations.append):
        way.save(folder)
    return operations


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, help="this many by lot; all, where left out")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    began = time.monotonic()
    number, failures = run(asked.count, asked.seed, functools.partial(print, file=sys.stderr, flush=True))
    seconds = time.monotonic() - began
    print(f"failing calls: {number:,} failed operations, {len(failures)} failures, {seconds:.0f} s, seed {asked.seed}")
    return bool(failures)


if __name__ == "__main__":
    sys.exit(main())
