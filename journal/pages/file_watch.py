"""Seeing that a file of the journal was edited while it is being read.

marimo's own `mo.watch.directory` notices files that come and go, not files that change, and would also notice our
cache. So a thread looks at the size and the times of every file, a few times a second, and says so when any differs.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Hashable
from pathlib import Path

import marimo as mo

from journal.folder import discover

EVERY_SECONDS = 0.25
_SHARE = 0.05  # of one core at the most: a journal of many years is looked at less often


def seen(folder: Path) -> Hashable:
    """What a look at the folder's pages and its two other files shows: the same for the same files, only then."""
    found = discover.find(folder)
    others = tuple(_state(folder / name) for name in (discover.SETTINGS_NAME, discover.UNDATED_NAME))
    return tuple(found.pages), others, tuple(found.problems)


def _state(path: Path) -> tuple[int, ...] | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_size, status.st_mtime_ns, status.st_ctime_ns


def watch(folder: Path, before: Hashable, changed: Callable[[], None], should_exit: Callable[[], bool]) -> None:
    """Call `changed` whenever the folder is seen to differ from `before` or the last look, until `should_exit`."""
    while not should_exit():
        started = time.monotonic()
        now = seen(folder)
        if now != before:
            before = now
            changed()
        time.sleep(max(EVERY_SECONDS, (time.monotonic() - started) / _SHARE))


def start(folder: Path, before: Hashable, changed: Callable[[], None]) -> None:
    """Watch from a thread of the notebook's own, which ends with the session or when its cell runs again.

    marimo says `should_exit` for the second alone; a session that ended is known by its own thread, which ran the cell.
    """
    session = threading.current_thread()

    def look() -> None:
        thread = mo.current_thread()
        watch(folder, before, changed, lambda: thread.should_exit or not session.is_alive())

    mo.Thread(target=look, daemon=True).start()
