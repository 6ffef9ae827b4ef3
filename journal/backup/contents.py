"""The files of a journal that go into its backup: all that are the person's, and the history of the pages.

Hidden files and folders stay out, `.cache` among them, and so does what is no plain file.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
from collections.abc import Iterator
from pathlib import Path

import msgspec

from journal.backup.archive import FILE_SIZE_LIMIT
from journal.errors import Problem
from journal.folder import history, plain_file, private_folder
from journal.folder.folder_walk import FolderWalk, is_text, shown, unreadable
from journal.folder.page_versions import FileState
from journal.language import digits
from journal.language.catalogue import _

_PLAIN_NAME = re.compile(r"[^.].*", re.DOTALL)
_YEAR = re.compile(r"[0-9]{4}")
_OPEN = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


class Contents(msgspec.Struct, frozen=True):
    """The files by their paths, with forward slashes, in the order of the archive, and a problem for each left out.

    Text comes first, since a save changes it and is held up while it is read.
    """

    texts: dict[str, FileState]
    others: dict[str, FileState]
    left_out: tuple[Problem, ...]

    @property
    def paths(self) -> tuple[str, ...]:
        """All paths, in the order of the archive."""
        return (*self.texts, *self.others)


def find(folder: Path) -> Contents:
    """Return the files of a journal.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as name:
    ...     for path in ("journal.toml", "bench.jpg", ".hidden"):
    ...         Path(name, path).touch()
    ...     find(Path(name)).paths
    ('journal.toml', 'bench.jpg')
    """
    walk = FolderWalk(str(folder))
    states: dict[str, FileState] = {}
    for prefix, entries in walk.folders():
        for entry in entries:
            _take(walk, entry, prefix + entry.name, states)
    states |= _of_history(walk, folder)
    texts = {path: states[path] for path in sorted(states) if _is_text_file(path)}
    others = {path: states[path] for path in sorted(states) if path not in texts}
    return Contents(texts, others, tuple(sorted(walk.problems)))


def chunks(folder: Path, path: str, size: int) -> Iterator[bytes]:
    """Yield the bytes of a file, in parts of at most `size`. A link is not followed. Raises OSError."""
    handle = os.open(folder / path, _OPEN)
    with os.fdopen(handle, "rb", buffering=0) as file:
        mode = os.fstat(handle).st_mode
        if not stat.S_ISREG(mode):
            raise OSError(22, _("it is {kind}", kind=plain_file.irregular(mode)), path)
        while chunk := file.read(size):
            yield chunk


def _take(walk: FolderWalk, entry: os.DirEntry[str], path: str, states: dict[str, FileState]) -> None:
    """Note the state of a file. What is neither a file, hidden, nor a folder that is walked is reported."""
    if entry.name[0] == ".":
        return
    try:
        status = entry.stat(follow_symlinks=False)
        if entry.is_symlink():
            if not entry.is_dir():  # of a folder, the walk tells
                _leave_out(walk, path, _("a link"), _("put what it leads to in its place"))
        elif stat.S_ISDIR(status.st_mode):
            if entry.name[-5:].lower() == ".toml":
                _leave_out(walk, path, _("a folder that is named like a page"), _("give it another name"))
        elif not stat.S_ISREG(status.st_mode):
            _leave_out(walk, path, plain_file.irregular(status.st_mode), _("move it out of the journal"))
        elif not is_text(entry.name):
            _leave_out(walk, path, _("a name that is not UTF-8"), _("give it another name"))
        elif status.st_size > FILE_SIZE_LIMIT:
            _leave_out(
                walk,
                path,
                _("more than {count} bytes", count=digits.number(FILE_SIZE_LIMIT)),
                _("move it out of the journal"),
            )
        elif not os.access(entry.path, os.R_OK):
            _leave_out(walk, path, *unreadable(PermissionError()))
        else:
            states[path] = _state(status)
    except FileNotFoundError:
        return  # taken away meanwhile
    except OSError as error:
        _leave_out(walk, path, *unreadable(error))


def left_out(path: str, got: str, remedy: str) -> Problem:
    """Return the problem of a file that is not in the backup."""
    return Problem(
        path=shown(path),
        expected=_("a plain file"),
        got=_("{got}, which is not in the backup", got=got),
        remedy=remedy,
    )


def _leave_out(walk: FolderWalk, path: str, got: str, remedy: str) -> None:
    walk.problems.append(left_out(path, got, remedy))


def _of_history(walk: FolderWalk, folder: Path) -> dict[str, FileState]:
    """Return the files in the history that are of a kind and in a place as Duskbook makes them."""
    found: dict[str, FileState] = {}
    try:
        with private_folder.opened(folder, history.NAME) as top:
            years = top.folders(_YEAR)
        for below in ("", *(f"{year}/" for year in years)):
            with private_folder.opened(folder, history.NAME, *below.split("/")[:-1]) as place:
                names = place.names(_PLAIN_NAME)
            for path in (f"{history.NAME}/{below}{name}" for name in names if is_text(name)):
                with contextlib.suppress(FileNotFoundError):
                    found[path] = _state((folder / path).lstat())
    except FileNotFoundError:
        return found
    except OSError as error:
        got, remedy = unreadable(error)
        walk.report(
            history.NAME,
            _("a folder of Duskbook's own"),
            _("{got}, and not all of it is in the backup", got=got),
            remedy,
        )
    return found


def _state(status: os.stat_result) -> FileState:
    return FileState(status.st_size, status.st_mtime_ns, status.st_ctime_ns)


def _is_text_file(path: str) -> bool:
    return path.endswith(".toml") or path.startswith(f"{history.NAME}/")
