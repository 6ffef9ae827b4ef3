"""The journal that a page was opened with last, handed on to the next page while its files are the same.

The first sight of a page and the session that follows show the same journal. Its derived frames are computed once, on
first access, so handing it on saves their computation as well as the reading. One journal is kept.
"""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Callable, Hashable
from typing import TYPE_CHECKING

from journal.pages import file_watch

if TYPE_CHECKING:
    from pathlib import Path

    from journal import Journal
    from journal.settings import Settings

_lock = threading.Lock()
_kept: list[tuple[Hashable, Journal]] = []
_thread = threading.local()


def first(folder: Path, today: Callable[[Settings], dt.date], read: Callable[[], Journal]) -> Journal:
    """The journal for the first read of a page, which has a thread of its own; later ones are `read` as it is.

    A journal is handed on if `today` is still its day and the folder is as it was before the journal was read.
    """
    if getattr(_thread, "has_read", False) or threading.current_thread() is threading.main_thread():
        return read()
    _thread.has_read = True
    state = file_watch.seen(folder)
    with _lock:
        for kept, book in _kept:
            if (book.folder, kept, today(book.settings)) == (folder, state, book.today):
                return book
    book = read()
    with _lock:
        _kept[:] = [(state, book)]
    return book
