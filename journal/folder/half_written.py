"""Pages that another program is in the middle of writing, or has emptied.

Many editors empty a file before they write it, and a synchronised file arrives in parts. A page read in that moment
looks as if its author had removed everything. So a page that has lost much within the last two seconds is waited for.
If it stays so, its loss is no change to merge but a conflict, and the earlier state is kept.
"""

from __future__ import annotations

import time
from pathlib import Path

from journal.folder import history, open_writers
from journal.folder.open_writers import PATIENCE_SECONDS
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base
from journal.folder.toml_read import NotReadError

_PAUSE = 0.02  # seconds between two looks
_RENAMING_SECONDS = 0.25  # the longest that a page may be missing while an editor puts its new file in place


def settled(files: OpenedFiles, base: Base) -> Base:
    """Return the version of a page that is on disk, once no program seems to be in the middle of writing it.

    `base` is the version that changes were made to. Waits until the page is `PATIENCE_SECONDS` old at most.
    """
    current = files.pages.writable(base.key)
    deadline = time.monotonic() + PATIENCE_SECONDS
    while _seems_half(current, base, files) and time.monotonic() < deadline:
        time.sleep(_PAUSE)
        files.pages.forget(base.key)
        current = files.pages.writable(base.key)
    return current


def has_lost_text(files: OpenedFiles, current: Base, base: Base) -> bool:
    """Return `is_emptied`, except for a version that Duskbook wrote: a person removed what is missing in that."""
    return is_emptied(current, base) and not history.is_written_here(files.folder, current)


def is_emptied(current: Base, base: Base) -> bool:
    """Return whether a page has lost its text, or its end, in a way that is no change made by its author.

    That is so if nothing of it is left, or only its beginning: less than half of it, or up to the middle of a line.

    >>> base = Base("2025-03-14", "2025/2025-03-14.toml", b"mood = 4\\nplace = 'graz'\\nenergy = 3\\n")
    >>> [is_emptied(Base(base.key, base.path, left), base) for left in (b"\\n", b"mood = 4\\n", base.data[:-8])]
    [True, True, True]
    >>> [is_emptied(Base(base.key, base.path, left), base) for left in (b"mood = 2", base.data[:-11], base.data)]
    [False, False, False]
    """
    if current.data is None or not base.data or not base.data.strip():
        return False
    left = current.data.strip()
    if not left:
        return True
    is_start = len(left) < len(base.data.strip()) and base.data.startswith(current.data)
    is_whole_lines = base.data[len(current.data.rstrip()) :].lstrip(b" \t").startswith((b"\n", b"\r"))
    return is_start and (2 * len(left) < len(base.data) or not is_whole_lines)


def _seems_half(current: Base, base: Base, files: OpenedFiles) -> bool:
    if current.data is None:
        return base.data is not None and _age((files.folder / current.path).parent) < _RENAMING_SECONDS
    path = files.folder / current.path
    if not current.data.strip():
        return _age(path) < PATIENCE_SECONDS and not history.is_written_here(files.folder, current)
    is_less = is_emptied(current, base) or 2 * len(current.data) < len(base.data or b"")
    return (is_less or _is_broken(current)) and open_writers.may_be_open(path)


def _is_broken(version: Base) -> bool:
    try:
        _ = version.toml
    except NotReadError:
        return True
    return False


def _age(path: Path) -> float:
    """Return the seconds since a file or folder was changed, or until then by a clock that is ahead."""
    try:
        return abs(time.time() - path.stat().st_mtime)
    except OSError:
        return PATIENCE_SECONDS
