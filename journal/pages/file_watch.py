"""Detection of edits to the journal's files while a page is open.

marimo's `mo.watch.directory` detects added and removed files, not changed ones, and would also detect our cache. So a
thread compares size and times of every file several times a second, and calls back when any of them differs.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Hashable
from pathlib import Path

import marimo as mo

from journal.folder import arriving, discover

EVERY_SECONDS = 0.25
_SHARE = 0.05  # at most this share of one core; a large journal is checked less often


def seen(folder: Path) -> Hashable:
    """The state of the folder's pages and its two other files. Equal for equal files, and only then.

    A broken page differs once more when it has not changed for some seconds: only then it is told.
    """
    files = discover.find(folder)
    others = tuple(_state(folder / name) for name in (discover.SETTINGS_NAME, discover.UNDATED_NAME))
    return tuple(files.pages), others, tuple(files.problems), arriving.waited_for(folder, files)


def _state(path: Path) -> tuple[int, ...] | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_size, status.st_mtime_ns, status.st_ctime_ns


def watch(folder: Path, before: Hashable, changed: Callable[[], None], should_exit: Callable[[], bool]) -> None:
    """Call `changed` whenever the folder differs from `before` or from the last check, until `should_exit`."""
    while not should_exit():
        started = time.monotonic()
        now = seen(folder)
        if now != before:
            before = now
            changed()
        time.sleep(max(EVERY_SECONDS, (time.monotonic() - started) / _SHARE))


def start(folder: Path, before: Hashable, changed: Callable[[], None]) -> None:
    """Watch in a background thread, until the session ends or the cell runs again.

    marimo sets `should_exit` only when the cell runs again. The end of a session shows in the thread that ran the cell.
    """
    session = threading.current_thread()

    def look() -> None:
        thread = mo.current_thread()
        watch(folder, before, changed, lambda: thread.should_exit or not session.is_alive())

    mo.Thread(target=look, daemon=True).start()
