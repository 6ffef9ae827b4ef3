"""Seeing that a page of the journal was edited while it is being read.

marimo's own `mo.watch.directory` notices files that come and go, not files that change, and would also notice our
cache. So a thread looks at the size and time of every TOML file, about twice a second, and says so when any differs.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

import marimo as mo

EVERY_SECONDS = 0.5
_SHARE = 0.05  # of one core at the most: a journal of many years is looked at less often

Seen = dict[str, tuple[int, int]]


def seen(folder: Path) -> Seen:
    """Path to modification time (ns) and size of every TOML file below a folder; hidden folders are left out.

    What cannot be looked at is left out too: it is the reader's to tell, not the watcher's.
    """
    found: Seen = {}
    waiting = [str(folder)]
    while waiting:
        try:
            with os.scandir(waiting.pop()) as entries:
                for entry in entries:
                    if entry.name.startswith("."):
                        continue
                    if entry.is_dir(follow_symlinks=False):
                        waiting.append(entry.path)
                    elif entry.name.endswith(".toml"):
                        state = entry.stat()
                        found[entry.path] = (state.st_mtime_ns, state.st_size)
        except OSError:
            continue
    return found


def watch(folder: Path, changed: Callable[[], None], should_exit: Callable[[], bool]) -> None:
    """Call `changed` after every edit of a TOML file below a folder, until `should_exit`."""
    before = seen(folder)
    while not should_exit():
        started = time.monotonic()
        now = seen(folder)
        if now != before:
            before = now
            changed()
        time.sleep(max(EVERY_SECONDS, (time.monotonic() - started) / _SHARE))


def start(folder: Path, changed: Callable[[], None]) -> None:
    """Watch from a thread of the notebook's own, which ends with the session or when its cell runs again."""

    def look() -> None:
        thread = mo.current_thread()
        watch(folder, changed, lambda: thread.should_exit)

    mo.Thread(target=look, daemon=True).start()
