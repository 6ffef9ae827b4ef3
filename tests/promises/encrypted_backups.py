"""Encrypted backups beside an independent implementation, and with changes: what was written, or told.

    python -m tests.promises.encrypted_backups --count 1000 --seed 1 --others 3

Of each text, one file is opened by both implementations, and once more with bytes changed, cut off or added. With
`--others`, as many files that the other one makes are opened here: it takes up to a minute and 1 GB of memory for each.
"""

from __future__ import annotations

import argparse
import io
import random
import time

import pyrage

from journal.backup.age_file import AgeReader, Seal
from journal.errors import BackupError


def opened(data: bytes, password: str) -> bytes:
    reader, parts = AgeReader(io.BytesIO(data), password, "it"), []
    while part := reader.read(50_000):
        parts.append(part)
    return b"".join(parts)


def failures(count: int, seed: int, others: int = 0) -> list[str]:
    """A line for each case that went wrong."""
    draw, found = random.Random(seed), list[str]()
    for number in range(count):
        password = "".join(chr(draw.choice((draw.randrange(33, 127), draw.randrange(0xA0, 0x2000)))) for _ in range(9))
        data = draw.randbytes(draw.choice((0, 1, 65_535, 65_536, 65_537, draw.randrange(200_000))))
        file = io.BytesIO()
        with Seal(password, work=2).writing(file) as out:
            out.write(data)
        whole = file.getvalue()
        if pyrage.passphrase.decrypt(whole, password) != data or opened(whole, password) != data:
            found.append(f"{number}: opened to another text")
        if (changed := _changed(whole, draw)) != whole:
            try:
                opened(changed, password)
                found.append(f"{number}: a change was not told")
            except BackupError:
                pass
    for number in range(others):
        if opened(pyrage.passphrase.encrypt(b"mood = 4", f"thread {number}"), f"thread {number}") != b"mood = 4":
            found.append(f"other {number}: opened to another text")
    return found


def _changed(data: bytes, draw: random.Random) -> bytes:
    at = draw.randrange(22, len(data)) if draw.random() < 0.7 else draw.randrange(22, 170)
    match draw.randrange(4):
        case 0:
            return data[:at]
        case 1:
            return data + draw.randbytes(1)
        case 2:
            return data[:at] + data[at + 1 :]
    return data[:at] + bytes([data[at] ^ (1 << draw.randrange(8))]) + data[at + 1 :]


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--others", type=int, default=0)
    given = parser.parse_args()
    begun = time.perf_counter()
    wrong = failures(given.count, given.seed, given.others)
    print(*wrong, sep="\n", end="\n" if wrong else "")
    seconds = time.perf_counter() - begun
    cases = given.count + given.others
    print(f"encrypted backups: {cases} cases, {len(wrong)} failures, {seconds:.1f} s, seed {given.seed}")
    raise SystemExit(bool(wrong))
