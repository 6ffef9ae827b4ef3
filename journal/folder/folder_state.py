"""The names of everything in a journal's folder, with the size and times of each, compared with those of another time.

This tells at once whether a journal is as it was, and which of its pages are not, without a look at any content. It
needs no library, and takes little more than the system needs for `stat` of every file.

A name is the same while its kind and permissions, its size and both its times are (as for `snapshot`). Of a folder only
its permissions count: what is in it is compared by itself. Folders whose name starts with a dot are not walked.
"""

from __future__ import annotations

import itertools
import os
import stat
from array import array
from collections.abc import Iterable, Iterator
from typing import NamedTuple

FOLDER_LIMIT = 2_000
_FACTS = 4  # of each name: mode, size, and the two times
_BLOCK = 128 * _FACTS
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

    def parted(self, start: int, end: int) -> tuple[FolderState, FolderState, FolderState]:
        """Return so many names from the start, those between, and so many at the end."""
        cuts = (0, start, len(self.paths) - end, len(self.paths))
        first, between, last = (
            FolderState(self.paths[low:high], self.facts[_FACTS * low : _FACTS * high])
            for low, high in itertools.pairwise(cuts)
        )
        return first, between, last

    @property
    def content_times(self) -> array[int]:
        """When the content of each path last changed, in ns."""
        return self.facts[2::_FACTS]

    @property
    def newest_ns(self) -> int:
        """When any content last changed, in ns."""
        return max(self.content_times, default=0)

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


def facts_of(path: str) -> tuple[int, int, int, int]:
    """Return the facts of one file. Raises OSError."""
    status = os.stat(path, follow_symlinks=False)  # noqa: PTH116 (without pathlib)
    return status.st_mode, status.st_size, status.st_mtime_ns, status.st_ctime_ns


def changes(before: FolderState, now: FolderState) -> list[str]:
    """Return the paths that are new, gone or not the same, sorted.

    >>> facts = array("q", [1] * 8)
    >>> changes(FolderState(["a", "b"], facts), FolderState(["b", "c"], array("q", [1, 1, 1, 2] + [1] * 4)))
    ['a', 'b', 'c']
    """
    if before.paths == now.paths:
        return sorted(now.paths[place] for place in _changed_places(before.facts, now.facts))
    most = min(len(before.paths), len(now.paths))
    start = _alike(before.paths, now.paths, most)
    end = _alike(reversed(before.paths), reversed(now.paths), most - start)
    (head, between, tail), (new_head, new_between, new_tail) = before.parted(start, end), now.parted(start, end)
    known = {path: between.of(i) for i, path in enumerate(between.paths)}
    present = {path: new_between.of(i) for i, path in enumerate(new_between.paths)}
    named = (path for path in known.keys() | present.keys() if known.get(path) != present.get(path))
    return sorted([*named, *changes(head, new_head), *changes(tail, new_tail)])


def _alike(names: Iterable[str], others: Iterable[str], most: int) -> int:
    """Return how many names are the same from the beginning on, at most so many."""
    pairs = itertools.islice(zip(names, others, strict=False), most)
    return next((i for i, (name, other) in enumerate(pairs) if name != other), most)


def _changed_places(facts: array[int], others: array[int]) -> Iterator[int]:
    """Yield the places of names whose facts differ. Most are the same, so that many are compared at once."""
    for block in range(0, len(facts), _BLOCK):
        if facts[block : block + _BLOCK] != others[block : block + _BLOCK]:
            for at in range(block, min(block + _BLOCK, len(facts)), _FACTS):
                if facts[at : at + _FACTS] != others[at : at + _FACTS]:
                    yield at // _FACTS
