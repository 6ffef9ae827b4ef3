"""Backups killed with signal 9 at random moments; test_new_backup runs it in a process without threads, which may fork.

    python -m tests.backup.killing FOLDER KILLS SEED

A backup of another state is there before. After each kill the file must be that one, or the new one whole. Prints how
often it was which.
"""

from __future__ import annotations

import contextlib
import os
import random
import signal
import sys
import time
from collections import Counter
from pathlib import Path

from journal.backup import new_backup
from tests.backup.journals import SMALL, write


def run(folder: Path, kills: int, seed: int) -> Counter[str]:
    draw, target = random.Random(seed), folder / "b.tar"
    journal = write(folder / "small", SMALL)
    before = new_backup.write(journal, target).path.read_bytes()
    write(journal, {"big.jpg": draw.randbytes(1_000_000)})
    begun = time.perf_counter()
    after = new_backup.write(journal, folder / "after.tar").path.read_bytes()
    seconds = time.perf_counter() - begun
    found = Counter[str]()
    for _ in range(kills):
        target.write_bytes(before)
        child = os.fork()
        if child == 0:
            try:
                new_backup.write(journal, target, replace=True)
            finally:
                os._exit(0)
        time.sleep(draw.random() * 1.5 * seconds)
        with contextlib.suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        now = target.read_bytes()
        found["before" if now == before else "after" if now == after else "torn"] += 1
    return found


if __name__ == "__main__":
    print(dict(run(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))))
