"""Writers killed with signal 9 at random moments, ten thousand writes in all; test_crash runs it in its own process.

    python -m tests.writing.killing FOLDER WRITES KILLS SEED

Each writer is forked, reports over a pipe which write it starts and which it has completed, and is killed. After each
kill the pages must read without a problem and hold the last completed write or the one just started. One write in four
is a whole `save` (read again, merge, check, back up, replace). The other three are only the replacement, the step that
a kill could tear. Prints one line of counts, or the first invalid page.
"""

from __future__ import annotations

import datetime as dt
import os
import random
import signal
import sys
import time
from pathlib import Path

from journal.folder import atomic_write, reading, writing

NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
SAVED, REPLACED = "2025-03-14", "2025-03-15"


def text(number: int) -> str:
    """The page of a write. Lengths differ widely, so a part of one page is never another page."""
    return f'mood = {1 + number % 5}\nmemory = "{number} {"x" * (number * 37 % 9000)}"\n'


def write(folder: Path, number: int) -> None:
    if number % 4 == 0:
        base = writing.look(folder, SAVED)
        memory = f"{number} {'x' * (number * 37 % 9000)}"
        writing.save(folder, SAVED, base, {("mood",): 1 + number % 5, ("memory",): memory}, now=NOW)
    else:
        path = folder / "2025" / f"{REPLACED}.toml"
        atomic_write.replace(path, text(number).encode(), atomic_write.content(path))


def writer(folder: Path, start: int, pipe: int) -> None:
    for number in range(start, start + 1_000_000):
        os.write(pipe, b"b%d\n" % number)
        write(folder, number)
        os.write(pipe, b"e%d\n" % number)


def run_and_kill(folder: Path, start: int, seconds: float, least: int) -> tuple[int, int]:
    """The last write that was started, and the last that was completed."""
    receive, send = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(receive)
        try:
            writer(folder, start, send)
        finally:
            os._exit(1)
    os.close(send)
    reports = b""
    while reports.count(b"e") < least:
        reports += os.read(receive, 65536)
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    while more := os.read(receive, 65536):
        reports += more
    os.close(receive)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status), "the writer ended by itself, so it failed"
    lines = reports.split(b"\n")[:-1]
    return max(int(x[1:]) for x in lines if x[:1] == b"b"), max(int(x[1:]) for x in lines if x[:1] == b"e")


def check(folder: Path, begun: int, ended: int) -> None:
    names = reading.read_settings(folder).known
    for key in (SAVED, REPLACED):
        held = writing.look(folder, key)
        file = writing.file_of(key, held.path)
        assert reading.check(file, held.text, names) == (), f"{key}: {held.text[:80]!r}"
        right = {
            max(n for n in range(max(0, top - 8), top + 1) if (n % 4 == 0) == (key == SAVED)) for top in (begun, ended)
        }
        assert held.text in {text(n) for n in right}, f"{key} after {begun}/{ended}: {held.text[:80]!r}"


def main(folder: Path, writes: int, kills: int, seed: int) -> None:
    chance = random.Random(seed)
    for number in range(4):
        if number == 0:
            (folder / "2025").mkdir()
            (folder / "2025" / f"{SAVED}.toml").write_text(text(0))
        else:
            write(folder, number)
    ended, within, left = 3, 0, 0
    while kills or ended < writes:
        least = max(1, (writes - ended) // max(kills, 1) - 2)
        begun, ended = run_and_kill(folder, ended + 1, chance.uniform(0, 0.004), least)
        check(folder, begun, ended)
        within += begun > ended
        left += bool(list((folder / "2025").glob(".*")))
        ended, kills = begun, max(0, kills - 1)
        write(folder, ended)  # whether it was completed or not
    write(folder, ended + 4 - ended % 4)
    assert not list((folder / "2025").glob(".*")), "a writer's leavings are still there"
    print(f"{ended} writes, {within} killed within one, {left} of them left a file behind")


if __name__ == "__main__":
    main(Path(sys.argv[1]), *map(int, sys.argv[2:5]))
