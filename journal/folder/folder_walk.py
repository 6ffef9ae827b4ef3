"""A walk over the folders of a journal. It ends in bounded time, whatever lies there, and stays in the journal.

Folders whose name starts with a dot are skipped. A link to a folder is not followed: inside the journal it adds
nothing, since the folder itself is walked; elsewhere it could lead to the whole disk, or to another journal. Such a
link becomes a problem.
"""

from __future__ import annotations

import os
import stat
import sys
from collections import deque
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from journal.errors import Problem
from journal.language import system_errors
from journal.language.catalogue import N_
from journal.language.lazy_text import L_, Phrase, said

FOLDER_LIMIT = 10_000
ENTRY_LIMIT = 1_000_000
"""Folders and names that are looked at. Fifty years with a folder a month have 600 folders, and looking at the most
takes about a second."""


def unreadable(error: OSError) -> tuple[str, str]:
    """Return what is there instead of a readable file or folder, and the remedy."""
    got, remedy = unreadable_words(error)
    return said(got), said(remedy)


def unreadable_words(error: OSError) -> tuple[Phrase, Phrase]:
    """Return the same as `unreadable`, not looked up in a language yet."""
    if isinstance(error, PermissionError):
        return L_("no permission"), L_("let your user read it")
    if isinstance(error, FileNotFoundError):
        return L_("a link to nothing"), L_("take the link away, or bring back what it links to")
    return L_('"{reason}"', reason=system_errors.words(error)), L_("check its location, or move it away")


def shown(path: str) -> str:
    """Return a path as printable text, with escapes for bytes that are not UTF-8."""
    return path if is_text(path) else os.fsencode(path).decode("utf-8", "backslashreplace")


def is_text(name: str) -> bool:
    """Return whether a name can be encoded in UTF-8."""
    if not name.isascii():
        try:
            name.encode()
        except UnicodeEncodeError:
            return False
    return True


def is_outside(top: str, path: str) -> bool:
    """Return whether a path, relative to the folder `top`, leads out of that folder by links.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     os.symlink("/etc", f"{folder}/other")
    ...     os.symlink("2025", f"{folder}/same")
    ...     [is_outside(folder, path) for path in ("2025/a.toml", "same/a.toml", "other/a.toml")]
    [False, False, True]
    """
    return _inside(top, path) is None


class KnownFolder(NamedTuple):
    """The paths of the folders in a folder that are walked, and the number of all its entries."""

    walked: list[str]
    entries: int


class FolderWalk:
    """One walk. `problems` are those of folders that are not walked, complete when the walk has ended."""

    def __init__(self, top: str) -> None:
        self.top = top
        self.problems: list[Problem] = []

    def folders(self) -> Iterator[tuple[str, list[os.DirEntry[str]]]]:
        """Yield for each folder the beginning of the paths in it, e.g. "" or "2025/", and its entries.

        Folders near the top come first. A folder that ends in ".toml" is not walked: it is named like a page.
        """
        for prefix, listed, _ in self.steps(lambda _: None):
            if listed is not None:
                yield prefix, listed

    def steps(
        self, known: Callable[[str], KnownFolder | None]
    ) -> Iterator[tuple[str, list[os.DirEntry[str]] | None, KnownFolder]]:
        """As `folders`, also of folders that are `known` by their paths: they have no entries, and are not read."""
        waiting, folders_left, entries_left = deque([""]), FOLDER_LIMIT, ENTRY_LIMIT
        while waiting and folders_left and entries_left:
            below = waiting.popleft()
            prefix = f"{below}/" if below else ""
            if (kept := known(below)) is not None:
                folders_left, entries_left = folders_left - 1, entries_left - kept.entries
                waiting.extend(kept.walked)
                yield prefix, None, kept
                continue
            try:
                with os.scandir(f"{self.top}/{below}") as entries:
                    listed = list(islice(entries, entries_left))
            except OSError as error:
                self.report(below or ".", L_("a folder that can be read"), *unreadable_words(error))
                continue
            folders_left -= 1
            entries_left -= len(listed)
            walked = sorted(prefix + entry.name for entry in listed if self._is_walked(entry, prefix))
            waiting.extend(walked)
            yield prefix, listed, KnownFolder(walked, len(listed))
        if waiting or not entries_left:
            text = N_("at most {folders} folders and {files} files")
            expected, got = L_(text, folders=FOLDER_LIMIT, files=ENTRY_LIMIT), L_("more, and the others are not read")
            self.report(".", expected, got, L_("move what is no page out of the journal"))

    def report(self, path: str, expected: Phrase, got: Phrase, remedy: Phrase) -> None:
        """Add a problem of a path."""
        self.problems.append(Problem(path=shown(path), expected=expected, got=got, remedy=remedy))

    def _is_walked(self, entry: os.DirEntry[str], prefix: str) -> bool:
        """Return whether an entry is a folder to walk. A folder that is not walked and may have pages is reported."""
        name = entry.name
        if name[-5:] == ".toml" or name[0] == "." or name[-5:].lower() == ".toml":
            return False
        try:
            if entry.is_dir(follow_symlinks=False) and not _is_junction(entry):
                if is_text(name):
                    return True
                expected, remedy = L_("a folder named in UTF-8"), L_("give it another name")
                self.report(prefix + name, expected, f'"{shown(name)}"', remedy)
            elif not entry.is_file() and entry.is_dir() and not self._is_walked_elsewhere(prefix + name):
                got = L_("a link that is not followed")
                remedy = L_("move the folder into the journal, or take the link away")
                self.report(prefix + name, L_("a folder of the journal"), got, remedy)
        except OSError:  # a link to itself
            return False
        return False

    def _is_walked_elsewhere(self, link: str) -> bool:
        """Return whether a link leads to a folder of the journal that the walk comes to by itself."""
        inside = _inside(self.top, link)
        return inside is not None and not any(part.startswith(".") for part in inside.parts)


def _inside(top: str, path: str) -> Path | None:
    """Return where a path leads, relative to the folder `top`, or None if it leads out of it."""
    real_top, real = Path(os.path.realpath(top)), Path(os.path.realpath(f"{top}/{path}"))
    return real.relative_to(real_top) if real.is_relative_to(real_top) else None


def _is_junction(entry: os.DirEntry[str]) -> bool:
    """Return whether a folder is a junction, the link of Windows that Python 3.11 counts as a folder."""
    if sys.platform != "win32":
        return False
    return entry.stat(follow_symlinks=False).st_reparse_tag == stat.IO_REPARSE_TAG_MOUNT_POINT
