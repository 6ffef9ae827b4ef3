"""The journal that a page was opened with last, handed on to the next page while its files are the same.

The first sight of a page and the session that follows show the same journal. Its derived frames are computed once, on
first access, so handing it on saves their computation as well as the reading. One journal is kept, until the last page
is closed.
"""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Callable, Hashable
from typing import TYPE_CHECKING

from journal.pages import file_watch, page_sessions, sight_context

if TYPE_CHECKING:
    from pathlib import Path

    from journal import Journal
    from journal.settings import Settings

_lock = threading.Lock()
_kept: list[tuple[Hashable, Journal]] = []
_open: set[threading.Thread] = set()  # the pages that are open; a first sight is none
_thread = threading.local()


def first(folder: Path, today: Callable[[Settings], dt.date], read: Callable[[], Journal]) -> Journal:
    """The journal for the first read of a page, which has a thread of its own; later ones are `read` as it is.

    A journal is handed on if `today` is still its day and the folder is as it was before the journal was read.
    """
    if getattr(_thread, "has_read", False) or threading.current_thread() is threading.main_thread():
        return read()
    _thread.has_read = True
    if not sight_context.is_drawing():
        with _lock:
            _open.add(page := threading.current_thread())
        page_sessions.at_end(lambda: _close(page))
    state = file_watch.seen(folder)
    with _lock:
        for kept, book in _kept:
            if (book.folder, kept, today(book.settings)) == (folder, state, book.today):
                return book
    book = read()
    with _lock:
        _kept[:] = [(state, book)]
    return book


def _close(page: threading.Thread) -> None:
    """Note that a page was closed. With the last one goes the journal."""
    with _lock:
        _open.discard(page)
        if not _open:
            _kept.clear()
