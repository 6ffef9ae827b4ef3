"""Detection of edits to the journal's files while a page is open.

marimo's `mo.watch.directory` detects added and removed files, not changed ones, and would also detect our cache. So a
thread compares size and times of every file, and calls back when any of them differs. It waits for a signal of the
system where there are such (`folder.live_folder`); elsewhere it looks several times a second. All open pages share the
thread, and without an open page there is none.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Hashable
from pathlib import Path
from typing import NamedTuple

from journal.errors import Problem
from journal.folder import arriving, discover, live_folder
from journal.pages import page_sessions, sight_context

EVERY_SECONDS = 0.25
_SHARE = 0.005  # without signals, at most this share of one core; a large journal is checked less often
_SETTLE_SECONDS = 0.02  # after a signal: programs save in several steps
_UNSIGNALLED_SECONDS = 600  # even with signals, every file is looked at so often


class FolderLook(NamedTuple):
    """The state of a folder's pages and its two other files. Equal for equal files, and only then.

    A broken page differs once more when it has not changed for some seconds: only then it is told. `waiting` are those
    pages.
    """

    pages: tuple[discover.JournalFile, ...]
    others: tuple[tuple[int, ...] | None, ...]
    problems: tuple[Problem, ...]
    waiting: tuple[str, ...]


def seen(folder: Path) -> FolderLook:
    """The state of a folder now."""
    live_folder.begin(folder)
    files = discover.find(folder, keeps=True)
    others = tuple(_state(folder / name) for name in (discover.SETTINGS_NAME, discover.UNDATED_NAME))
    return FolderLook(tuple(files.pages), others, tuple(files.problems), arriving.waited_for(folder, files))


def _state(path: Path) -> tuple[int, ...] | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_size, status.st_mtime_ns, status.st_ctime_ns


class Subscriber:
    """An open page. Its own thread waits until the shared thread tells it of an edit, or that the page is closed.

    A page's state is set in a thread of marimo's, which knows the page. The shared thread belongs to none.
    """

    def __init__(self, before: Hashable, ended: Callable[[], None]) -> None:
        self.known = before
        self.ended = False
        self._at_end = ended
        self._told = threading.Semaphore(0)

    def tell(self) -> None:
        self._told.release()

    def end(self) -> None:
        self.ended = True
        self._told.release()
        self._at_end()

    def wait(self) -> bool:
        """Wait for an edit. False once the page is closed."""
        self._told.acquire()
        return not self.ended


class FolderWatch:
    """The watch of one folder for all pages that show it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock = threading.Lock()
        self._subscribers: list[Subscriber] = []
        self._running = False
        self._live = live_folder.begin(folder)

    def subscribe(self, before: Hashable) -> Subscriber:
        """Watch for edits after the state `before`, until the subscriber ends."""
        subscriber = Subscriber(before, self._wake)
        with self._lock:
            self._subscribers.append(subscriber)
            if not self._running:
                self._running = True
                threading.Thread(target=self._watch, name="file watch", daemon=True).start()
        self._wake()  # the folder may differ from `before` by now
        return subscriber

    def _watch(self) -> None:
        whole_after = time.monotonic() + _UNSIGNALLED_SECONDS
        while subscribers := self._open():
            started = time.thread_time()
            if self._live is not None and time.monotonic() > whole_after:
                self._live.forget_all()
                whole_after = time.monotonic() + _UNSIGNALLED_SECONDS
            now = seen(self.folder)
            for subscriber in subscribers:
                if subscriber.known != now:
                    subscriber.known = now
                    subscriber.tell()
            took = time.thread_time() - started
            if self._live is None or not self._live.is_heard:
                time.sleep(max(EVERY_SECONDS, took / _SHARE))
                continue
            self._live.signals.wait(EVERY_SECONDS if now.waiting else max(0, whole_after - time.monotonic()))
            time.sleep(max(_SETTLE_SECONDS, took))

    def _wake(self) -> None:
        if self._live is not None:
            self._live.signals.wake()

    def _open(self) -> list[Subscriber]:
        """The subscribers that have not ended. Without any, the thread that asks is done."""
        with self._lock:
            self._subscribers = [subscriber for subscriber in self._subscribers if not subscriber.ended]
            self._running = bool(self._subscribers)
            return list(self._subscribers)


_watches: dict[Path, FolderWatch] = {}
_lock = threading.Lock()


def start(folder: Path, before: Hashable, changed: Callable[[], None]) -> None:
    """Call `changed` in a background thread whenever the folder differs from `before`, or from the last call.

    It ends when the session ends or the cell runs again. A first sight is shown once, and watches nothing.
    """
    if sight_context.is_drawing():
        return
    import marimo as mo  # noqa: PLC0415 - the server names this module before it imports marimo

    with _lock:
        watch = _watches.setdefault(folder, FolderWatch(folder))
    subscriber = watch.subscribe(before)
    page_sessions.at_end(subscriber.end)

    def follow() -> None:
        thread = mo.current_thread()
        while subscriber.wait() and not thread.should_exit:
            changed()
        subscriber.end()

    mo.Thread(target=follow, daemon=True).start()
