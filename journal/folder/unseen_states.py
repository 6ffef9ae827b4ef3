"""Versions of pages that something else than Duskbook wrote, kept when they are first seen: when a page of the journal
opens, or follows an edit, and before a backup.

A save keeps the version that it replaces. Without this, what an editor wrote twice in a row would have one state, and
what it wrote last none. The moment of such a state is that of its file, which a backup does not have.

A page of which no state is kept yet is not looked at in a backup: a journal that is kept by hand, or was copied here,
would get all of its pages a second time, as written today.
"""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Iterable, Sequence

from journal.errors import FolderError, UsageError, WriteError
from journal.folder import discover, history, locking
from journal.folder.discover import JournalFile
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import SETTINGS, UNDATED, Base, FileState, file_state

_FIXED = {SETTINGS: discover.SETTINGS_NAME, UNDATED: discover.UNDATED_NAME}


def keep_all(files: OpenedFiles, *, now: dt.datetime) -> list[str]:
    """Keep the present version of every page that has a history, if it is not its last state. Return the keys of those
    that were kept now. Nothing is raised: without a history that can be written, none is kept."""
    kept_ns = history.pages(files.folder)
    pages = [file for file in discover.find(files.folder).pages if file.key in kept_ns]
    return _keep(files, [*(key for key in _FIXED if key in kept_ns), *_newer(pages, kept_ns)], now)


def keep_changed(files: OpenedFiles, changed: Sequence[JournalFile], *, now: dt.datetime) -> list[str]:
    """Keep the present version of pages that changed since they were read before, and of the two other files if they
    have a history. Return the keys of those that were kept now. Nothing is raised, as in `keep_all`."""
    keys = [*_FIXED, *(file.key for file in changed)]
    kept_ns = {key: ns for key in keys if (ns := history.written_ns(files.folder, key)) is not None}
    return _keep(files, [*(key for key in _FIXED if key in kept_ns), *_newer(changed, kept_ns)], now)


def _newer(pages: Iterable[JournalFile], kept_ns: dict[str, int]) -> list[str]:
    """Return the keys of pages that changed after their history was written. A save writes the history last."""
    return [file.key for file in pages if max(file.content_ns, file.state_ns) > kept_ns.get(file.key, 0)]


def _is_newer(files: OpenedFiles, key: str) -> bool:
    if key not in _FIXED:
        return True
    state, kept_ns = file_state(files.folder / _FIXED[key]), history.written_ns(files.folder, key)
    return isinstance(state, FileState) and max(state.content_ns, state.state_ns) > (kept_ns or 0)


def _keep(files: OpenedFiles, keys: Sequence[str], now: dt.datetime) -> list[str]:
    if files.basis.other_format is not None:
        return []  # nothing is written there
    unseen = [base for key in keys if _is_newer(files, key) and (base := _unseen(files, key)) is not None]
    if not unseen:
        return []
    with contextlib.suppress(OSError, WriteError), locking.write_lock(files.folder, patience_seconds=0):
        return [base.key for base in unseen if history.keep_seen(files.folder, base, now=now)]
    return []  # a save is being made, and keeps what it replaces


def _unseen(files: OpenedFiles, key: str) -> Base | None:
    """Return the version of a page on disk if it is not its last state. One that cannot be read or says nothing may
    still be written."""
    try:
        page = files.pages.current(key)
        if not page.data or not page.data.strip() or not page.values:
            return None
    except (FolderError, UsageError, WriteError):
        return None
    states = history.states(files.folder, key, page.data)
    return None if states and states[-1].data == page.data else page
