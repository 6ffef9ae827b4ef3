"""The end of a page's session, for all that would outlive it.

marimo runs each page in a thread that ends with its session. Registries of the process, such as that of all widgets,
keep their entries for longer, and with a widget the whole page, its journal and its frames.
"""

from __future__ import annotations

import ctypes
import gc
import logging
import sys
import threading
import time
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import anywidget

_LOG = logging.getLogger(__name__)
_TOGETHER_SECONDS = 2  # sessions that end within this time are collected together
_ARENA_MAX = -8  # of glibc's malloc.h

_lock = threading.Lock()
_endings: dict[threading.Thread, list[Callable[[], None]]] = {}
_collecting = threading.Lock()


def at_end(end: Callable[[], None]) -> None:
    """Call `end` in another thread once the session of this thread has ended. Without a session, never."""
    session = threading.current_thread()
    if session is threading.main_thread():  # a script, a test, a notebook of Jupyter: it ends with the process
        return
    with _lock:
        is_first = session not in _endings
        _endings.setdefault(session, []).append(end)
    if is_first:
        threading.Thread(target=_wait, args=(session,), name="end of a page", daemon=True).start()


def close_at_end(widget: anywidget.AnyWidget) -> None:
    """Close a widget, and the layout that each has, once the session of this thread has ended."""
    at_end(widget.layout.close)
    at_end(widget.close)


def _wait(session: threading.Thread) -> None:
    session.join()
    with _lock:
        endings = _endings.pop(session)
    while endings:  # emptied, so that nothing of the page is held while its memory is collected
        try:
            endings.pop()()
        except Exception:
            _LOG.exception("something of a closed page could not be ended")
    _collect()


def _collect() -> None:
    """Free the memory of ended sessions. Of sessions that end at about the same time, the first one does it for all.

    A page refers to itself, so only the cyclic collector frees it. On its own that runs too seldom: it waits for a
    quarter as many new objects as there are old ones, and the old ones are all that was ever imported.
    """
    if not _collecting.acquire(blocking=False):
        return
    time.sleep(_TOGETHER_SECONDS)
    _collecting.release()
    gc.collect()
    _call_malloc("malloc_trim", 0)


def share_arenas() -> None:
    """Let the threads of this process share two arenas of memory. To be called before it has many threads.

    By default glibc gives each thread its own, up to eight for each core, and what a page leaves free in one is of no
    use to a page of another.
    """
    _call_malloc("mallopt", _ARENA_MAX, 2)


def _call_malloc(name: str, *numbers: int) -> None:
    """Call a function of the C library's allocator, if it has that function: glibc's do."""
    if sys.platform == "linux" and (function := getattr(ctypes.CDLL(None), name, None)):
        function(*numbers)
