"""The names of everything in a journal's folder, with the size and times of each, compared with those of another time.

This tells at once whether a journal is as it was, and which of its pages are not, without a look at any content. It
needs no library, and takes little more than the system needs for `stat` of every file.

A name is the same while its kind and permissions, its size and both its times are (as for `snapshot`). Of a folder only
its permissions count: what is in it is compared by itself. Folders whose name starts with a dot are not walked.
"""

from __future__ import annotations

import os
import stat
from array import array
from typing import NamedTuple

FOLDER_LIMIT = 2_000
_FACTS = 4  # of each name: mode, size, and the two times
_HAS_HANDLES = os.listdir in os.supports_fd and os.stat in os.supports_dir_fd and hasattr(os, "O_DIRECTORY")
_KIND = 0o170000  # the bits of a mode that tell a file from a folder


class FolderState(NamedTuple):
    """The paths of all names below a folder, with forward slashes, folder by folder; and four facts of each path.

    The facts are its mode, its size in bytes, and when its content and its inode state last changed, in ns. They are no
    list, whose numbers would be most of the memory that a command takes.
    """

    paths: list[str]
    facts: array[int]

    def of(self, place: int) -> tuple[int, int, int, int]:
        """Return the facts of the path at a place of the list."""
        mode, size, content_ns, state_ns = self.facts[_FACTS * place : _FACTS * (place + 1)]
        return mode, size, content_ns, state_ns

    @property
    def newest_ns(self) -> int:
        """When any content last changed, in ns."""
        return max(self.facts[2::_FACTS], default=0)

    @property
    def has_links(self) -> bool:
        """Whether a name is neither a file nor a folder. What it stands for can change without it."""
        return any(mode & _KIND not in (stat.S_IFREG, stat.S_IFDIR) for mode in set(self.facts[::_FACTS]))


def seen(top: str) -> FolderState:
    """Return the state of a folder now. Raises OSError if a folder cannot be read, or there are too many.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as top:
    ...     os.mkdir(f"{top}/2025")
    ...     with open(f"{top}/2025/2025-03-14.toml", "w") as page:
    ...         _ = page.write("mood = 4")
    ...     state = seen(top)
    >>> state.paths, state.of(1)[1]
    (['2025', '2025/2025-03-14.toml'], 8)
    """
    state = FolderState([], array("q"))
    waiting = [""]
    for prefix in waiting:
        waiting += _look(top, prefix, state)
        if len(waiting) > FOLDER_LIMIT:
            raise OSError(f"more than {FOLDER_LIMIT} folders")
    return state


def _look(top: str, prefix: str, state: FolderState) -> list[str]:
    """Add the names of one folder to a state. Return the beginnings of the paths in the folders among them."""
    if not _HAS_HANDLES:
        return _added(state, prefix, sorted(os.listdir(f"{top}/{prefix}")), f"{top}/{prefix}", None)  # noqa: PTH208
    # From a handle of the folder the system finds each name in three quarters of the time that a path takes.
    handle = os.open(f"{top}/{prefix}", os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        return _added(state, prefix, sorted(os.listdir(handle)), "", handle)  # noqa: PTH208 (a handle)
    finally:
        os.close(handle)


def _added(state: FolderState, prefix: str, names: list[str], above: str, handle: int | None) -> list[str]:
    below, facts, status_of = [], list[int](), os.stat
    state.paths.extend([prefix + name for name in names] if prefix else names)
    for name in names:
        status = status_of(above + name, dir_fd=handle, follow_symlinks=False)
        mode = status.st_mode
        if mode & _KIND == stat.S_IFDIR:
            facts += (mode, 0, 0, 0)
            if name[0] != ".":
                below.append(f"{prefix}{name}/")
        else:
            facts += (mode, status.st_size, status.st_mtime_ns, status.st_ctime_ns)
    state.facts.extend(array("q", facts))
    return below


def changes(before: FolderState, now: FolderState) -> list[str]:
    """Return the paths that are new, gone or not the same, sorted.

    >>> facts = array("q", [1] * 8)
    >>> changes(FolderState(["a", "b"], facts), FolderState(["b", "c"], array("q", [1, 1, 1, 2] + [1] * 4)))
    ['a', 'b', 'c']
    """
    if before.paths == now.paths:
        if before.facts == now.facts:
            return []
        places = range(len(now.paths))
        return sorted(now.paths[i] for i in places if before.of(i) != now.of(i))
    known = {path: before.of(i) for i, path in enumerate(before.paths)}
    present = {path: now.of(i) for i, path in enumerate(now.paths)}
    return sorted(path for path in known.keys() | present.keys() if known.get(path) != present.get(path))
