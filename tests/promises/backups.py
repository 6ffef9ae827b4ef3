"""Backups there and back, and changed in between: the restored journal is the same to the byte, or there is none.

    python -m tests.promises.backups --count 10000 --seed 1

Each case is a journal with odd names and contents, backed up with or without a password, whole or with bytes of the
file changed, cut off, added, moved or swapped.
"""

from __future__ import annotations

import argparse
import random
import tempfile
import time
from pathlib import Path

from journal.backup import age_file, new_backup, restored_journal
from journal.errors import BackupError
from tests.backup.journals import NOW, drawn, read, write


def failures(count: int, seed: int) -> list[str]:
    """A line for each case that went wrong."""
    found, draw, cost = list[str](), random.Random(seed), age_file.WORK
    age_file.WORK = 2
    try:
        for number in range(count):
            with tempfile.TemporaryDirectory() as name:
                if wrong := _failure(Path(name), draw):
                    found.append(f"{number}: {wrong}")
    finally:
        age_file.WORK = cost
    return found


def _failure(top: Path, draw: random.Random) -> str:
    files, password = drawn(draw.randrange(1 << 30)), draw.choice((None, "Glue, and thread"))
    backup, again = top / "b", top / "again"
    new_backup.write(write(top / "journal", files), backup, password=password)
    data = backup.read_bytes()
    changed = data if draw.random() < 0.3 else _changed(data, draw)
    backup.write_bytes(changed)
    try:
        restored_journal.restore(backup, again, now=NOW, password=password)
    except BackupError as error:
        left = {path.name for path in top.iterdir()} - {"journal", "b"}
        return f"refused: {error}" if changed == data else f"left behind: {left}" if left else ""
    if changed != data:
        return "a change was not told"
    return "" if read(again) == files else "restored to something else"


def _changed(data: bytes, draw: random.Random) -> bytes:
    at, to = sorted(draw.randrange(len(data)) for _ in range(2))
    match draw.randrange(6):
        case 0:
            return data[:at]
        case 1:
            return data + draw.randbytes(draw.choice((1, 512, 10_240)))
        case 2:
            return data[:at] + data[to:]
        case 3:
            return data[:at] + data[at:to] * 2 + data[to:]
        case 4:
            at, to = at // 512 * 512, to // 512 * 512
            return data[:at] + data[to : to + 512] + data[at + 512 : to] + data[at : at + 512] + data[to + 512 :]
    return data[:at] + bytes([data[at] ^ draw.randrange(1, 256)]) + data[at + 1 :]


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    begun = time.perf_counter()
    wrong = failures(given.count, given.seed)
    print(*wrong, sep="\n", end="\n" if wrong else "")
    print(
        f"backups: {given.count} cases, {len(wrong)} failures, {time.perf_counter() - begun:.1f} s, seed {given.seed}"
    )
    raise SystemExit(bool(wrong))
