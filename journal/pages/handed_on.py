"""The journal of this process's pages: what one page has read and derived, the others have as well.

The first sight of a page, the session that follows, and each request of its forms show the same journal. It is read and
its frames are derived once, until a file or the day differs. Then only what differs is read. One journal is kept, until
the last page is closed.
"""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from journal.folder import discover, live_folder
from journal.pages import file_watch, page_sessions, sight_context

if TYPE_CHECKING:
    from pathlib import Path

    from journal import Journal
    from journal.folder.discover import Discovery
    from journal.folder.opened_files import OpenedFiles
    from journal.pages.file_watch import FolderLook
    from journal.settings import Settings


class _Kept(NamedTuple):
    """A journal, with what was found of its folder just before it was read. `look` is null where signals tell more."""

    book: Journal
    found: Discovery
    look: FolderLook | None


_lock = threading.Lock()
_reading = threading.Lock()  # of several threads that find the same edit, one reads it
_kept: list[_Kept] = []
_open: set[threading.Thread] = set()  # the pages that are open; a first sight is none
_thread = threading.local()


def current(
    folder: Path, today: Callable[[Settings], dt.date], read: Callable[[OpenedFiles | None], Journal]
) -> Journal:
    """The journal as it is now, for the thread of a page. `read` opens it; it gets the files that were read before.

    The first read of a page shares the journal itself, since it shows it; a later one, which may save, has files of its
    own. Both follow the files: by the signals of the system (`folder.live_folder`), or by a look at all of them.
    """
    if threading.current_thread() is threading.main_thread():
        return read(None)
    is_first = not getattr(_thread, "has_read", False)
    if is_first:
        _begin()
    with _reading:
        is_live = live_folder.begin(folder) is not None
        look = file_watch.seen(folder) if is_first and not is_live else None
        found = discover.find(folder, keeps=True)
        with _lock:
            before = next((kept for kept in _kept if kept.book.folder == folder), None)
        # Without a signal since, a walk gives the very same.
        is_same = before is not None and (before.found is found or (look is not None and before.look == look))
        if before is not None and is_same and today(before.book.settings) == before.book.today:
            return before.book if is_first else before.book.for_request()
        book = read(None if before is None else before.book.files.later())
        with _lock:
            _kept[:] = [_Kept(book, found, look)]
        return book


def _begin() -> None:
    """Note that the page of this thread is open."""
    _thread.has_read = True
    if not sight_context.is_drawing():
        with _lock:
            _open.add(page := threading.current_thread())
        page_sessions.at_end(lambda: _close(page))


def _close(page: threading.Thread) -> None:
    """Note that a page was closed. With the last one goes the journal."""
    with _lock:
        _open.discard(page)
        if not _open:
            _kept.clear()
