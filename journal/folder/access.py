"""Which users of the machine can read or change the files of a journal, by the permissions of files and folders.

A journal is for its owner. `duskbook start` makes it so, but a copy, a synchronised folder or a checkout of version
control has the permissions that its tool gave it. Access control lists are not looked at.
"""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path

from journal.folder import history
from journal.folder.discover import CACHE_NAME
from journal.folder.folder_walk import FolderWalk

_OWN = CACHE_NAME, history.NAME  # they have text of the pages
_ENTER = stat.S_IXGRP, stat.S_IXOTH
_READ = stat.S_IRGRP, stat.S_IROTH
_WRITE = stat.S_IWGRP, stat.S_IWOTH


def others(folder: Path) -> tuple[str, ...]:
    """Return what users other than the owner can do with files of a journal: "read", "change", both, or nothing.

    They can only if they can enter every folder above, from the root of the disk on. Nothing is returned on Windows,
    whose permissions are of another kind.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as name:  # a folder that only its owner can enter
    ...     Path(name, "journal.toml").touch(mode=0o666)
    ...     others(Path(name))
    ()
    """
    if sys.platform == "win32":
        return ()
    found = dict.fromkeys(word for enter, read, write in zip(_ENTER, _READ, _WRITE, strict=True)
                          for word in _of_class(folder, enter, read, write))  # fmt: skip
    return tuple(word for word in ("read", "change") if word in found)


def _of_class(folder: Path, enter: int, read: int, write: int) -> set[str]:
    """Return what the users of one class can do: those of the group, or all others."""
    real = Path(os.path.realpath(folder))
    # A folder above may be of another group than the journal. Who is in which is not looked up.
    if not all(parent.stat().st_mode & (enter | stat.S_IXOTH) for parent in real.parents):
        return set()
    tops = [real]
    if _mode(real) & enter:
        tops += [real / name for name in _OWN if stat.S_ISDIR(_mode(real / name))]
    return {word for top in tops for word in _below(top, enter, read, write)}


def _below(top: Path, enter: int, read: int, write: int) -> set[str]:
    """Return what they can do in a folder that they can reach. Hidden folders in it are left out."""
    entered = {"": _mode(top)}
    found = set[str]()
    for prefix, entries in FolderWalk(str(top)).folders():
        mode = entered.get(prefix, 0)
        if mode & enter:
            if mode & write:
                found.add("change")
            for entry in entries:
                state = _mode(entry)
                if stat.S_ISDIR(state) and entry.name[0] != ".":
                    entered[f"{prefix}{entry.name}/"] = state
                elif stat.S_ISREG(state):
                    found |= {word for word, bit in (("read", read), ("change", write)) if state & bit}
        if len(found) == 2:
            break
    return found


def _mode(path: os.DirEntry[str] | Path) -> int:
    """Return the mode of a file or folder, links not followed, 0 if it is gone."""
    try:
        return path.stat(follow_symlinks=False).st_mode
    except OSError:
        return 0
