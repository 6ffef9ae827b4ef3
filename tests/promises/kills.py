"""Processes killed while they save, at any file operation or moment: `python -m tests.promises.kills --count 10000`.

Each case is one way of writing, killed with signal 9. Then every page has its old bytes or bytes that the save writes,
nothing else in the folder is different, and after the next save the pages are as before the killed save or as after it,
or after one of its parts where it is several saves. No leftover stays. A merge of a copy may have written its page and
not yet removed the copy: then merging it again makes the rest.
"""

from __future__ import annotations

import functools
import os
import pickle
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from journal.folder import atomic_write
from journal.folder.opened_files import OpenedFiles
from tests.planning.puts import files
from tests.promises import campaign, file_operations, ways
from tests.promises.file_operations import Operation
from tests.promises.ways import Way

Pages = dict[str, bytes]
MEMORY = "/dev/shm" if Path("/dev/shm").is_dir() else None
LATER = "2025/2025-03-01.toml"


class Expected(NamedTuple):
    """What a way does when nothing stops it: the states of the folder before it and after each of its saves, every
    version of each file, the number of its operations that change something, and the time it takes."""

    states: list[Pages]
    versions: dict[str, set[bytes | None]]
    changing: int
    seconds: float


def expect(way: Way, place: Path) -> Expected:
    """Save once without being killed."""
    folder = copied(way, place)
    replace, lock = atomic_write.replace, OpenedFiles.lock
    states, operations = [files(folder)], list[Operation]()
    versions: dict[str, set[bytes | None]] = {}

    def replacing(path: Path, data: bytes, before: bytes | None) -> None:
        versions.setdefault(path.relative_to(folder).as_posix(), set()).add(data)
        replace(path, data, before)

    def locked(opened: OpenedFiles) -> object:
        return lock(opened) if opened._is_locked else _Noting(lock(opened), states, folder)

    with pytest.MonkeyPatch.context() as patch, file_operations.watched(operations.append):
        patch.setattr(atomic_write, "replace", replacing)
        patch.setattr(OpenedFiles, "lock", locked)
        began = time.monotonic()
        told = way.save(folder)
        seconds = time.monotonic() - began
    assert told.saved, f"{way.name}: {told.text}"
    after = files(folder)
    for name in {*states[0], *after}:
        versions.setdefault(name, set()).update({states[0].get(name), after.get(name)})
    return Expected(states, versions, sum(operation.changes for operation in operations), seconds)


class _Noting:
    """A lock after which the state of the folder is noted."""

    def __init__(self, lock: object, states: list[Pages], folder: Path) -> None:
        self._lock, self._states, self._folder = lock, states, folder

    def __enter__(self) -> None:
        self._lock.__enter__()  # type: ignore[attr-defined]

    def __exit__(self, *error: object) -> None:
        self._lock.__exit__(*error)  # type: ignore[attr-defined]
        self._states.append(files(self._folder))


def run(count: int, seed: int, told: Callable[[str], None] = print, *, only: str = "") -> list[str]:
    """Kill so many saves. Return a line for each that breaks the promise. Polars must not have been used before: a
    forked process would wait for its threads for ever."""
    failures = []
    with tempfile.TemporaryDirectory(dir=MEMORY) as name:
        place = Path(name)
        in_child(lambda: ways.prepare(place))
        every = [way for way in ways.prepared(place) if only in ("", way.name)]
        expected = {way.name: _expected_in_child(way, place) for way in every}
        for number in range(count):
            chance = random.Random(f"{seed}:{number}")
            way = chance.choice(every)
            case = f"{seed}:{number} {way.name}"
            if wrong := one(way, expected[way.name], place, chance):
                failures.append(f"{case}: {wrong}")
                told(failures[-1])
    return failures


def one(way: Way, expected: Expected, place: Path, chance: random.Random) -> str:
    """Kill one save. Return what is wrong afterwards, or an empty text."""
    states = expected.states
    folder = copied(way, place)
    if chance.random() < 0.9:
        at, is_torn = chance.randrange(expected.changing + 1), chance.random() < 0.3
        in_child(lambda: _killed_at(way, folder, at, is_torn))
    else:
        in_child(lambda: way.save(folder) and None, kill_after=chance.uniform(0, expected.seconds * 1.5))
    now = files(folder)
    if wrong := _wrong_files(now, states[0], expected.versions):
        return wrong
    in_child(lambda: ways.later(folder))
    after = files(folder)
    if after.pop(LATER, None) is None:
        return "the next save did not succeed"
    # A temporary file in .cache or .history goes after a day.
    left = [path.name for path in [*folder.glob(".*"), *folder.glob("2025/.*")] if path.is_file()]
    if left or (folder / ".history" / "unfinished.json").exists():
        return f"left behind: {left or 'unfinished.json'}"
    if after not in states and way.again is not None:
        again = way.again
        in_child(lambda: again(folder))
        after = {name: data for name, data in files(folder).items() if name != LATER}
    if after not in states:
        changed = sorted(name for name in {*after, *states[0]} if after.get(name) != states[-1].get(name))
        return f"half a save: {changed} not as after it"
    return ""


def _wrong_files(now: Pages, before: Pages, versions: dict[str, set[bytes | None]]) -> str:
    for name in {*now, *before}:
        if name.rpartition("/")[2].startswith(".") and name not in before:
            continue  # a leftover; the next save clears it
        if now.get(name) not in versions.get(name, {before.get(name)}):
            return f"{name} has other bytes: {(now.get(name) or b'')[:80]!r}"
    return ""


def _killed_at(way: Way, folder: Path, at: int, is_torn: bool) -> None:
    count = 0

    def before(operation: Operation) -> None:
        nonlocal count
        if not operation.changes:
            return
        if count == at:
            if is_torn and operation.name == "write" and isinstance(operation.arguments[0], int):
                handle, data = operation.arguments
                _WRITE(handle, bytes(data)[: len(data) // 2])
            os.kill(os.getpid(), signal.SIGKILL)
        count += 1

    with file_operations.watched(before):
        way.save(folder)


_WRITE = os.write


def in_child(work: Callable[[], object], kill_after: float | None = None) -> None:
    """Run something in a forked process, and kill it after a time, if one is given."""
    child = os.fork()
    if child == 0:
        code = 1
        try:
            work()
            code = 0
        finally:
            os._exit(code)
    if kill_after is not None:
        time.sleep(kill_after)
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


def _expected_in_child(way: Way, place: Path) -> Expected:
    result = place / "expected"
    in_child(lambda: result.write_bytes(pickle.dumps(expect(way, place))))
    read = pickle.loads(result.read_bytes())
    assert isinstance(read, Expected)
    result.unlink()
    return read


def copied(way: Way, place: Path) -> Path:
    """Return a new copy of the folder that a way starts from."""
    folder = place / "journal"
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(way.template, folder)
    return folder


def narrowed(way: str) -> campaign.RunCases:
    """The campaign of one way of writing."""
    return functools.partial(run, only=way)


if __name__ == "__main__":
    sys.exit(campaign.main("kills", "saves killed", run, count=10_000, about=__doc__, narrowed=narrowed))
