"""Files that are most likely still arriving: synchronising and copying write them piece by piece.

A page that is broken, empty or stands under the name of a temporary, and was changed within the last seconds, is waited
for: nothing is told of it yet, and no new page is written in its place.
"""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Sequence
from pathlib import Path

from journal.errors import Problem, WriteError
from journal.folder import discover, file_names, toml_read
from journal.folder.discover import SETTINGS_NAME, UNDATED_NAME, Discovery
from journal.folder.toml_read import NotReadError
from journal.language.catalogue import N_, _

SECONDS = 3.0
"""How long a file has to be unchanged to count as whole. Programs that copy write at least every second."""


def is_fresh(path: Path) -> bool:
    """Return whether a file was changed within the last `SECONDS`. A clock that is wrong makes none fresh."""
    with contextlib.suppress(OSError):
        status = path.stat(follow_symlinks=False)
        return 0 <= time.time() - max(status.st_mtime, status.st_ctime) < SECONDS
    return False


def is_waited_for(folder: Path, problem: Problem) -> bool:
    """Return whether a problem may only be that a file is still arriving: one of syntax, of an empty file, or of a name
    that is not that of a page, of a file that was changed just now.
    """
    if problem.where or not is_fresh(path := folder / problem.path):
        return False
    is_page = file_names.period(path.stem) is not None and path.suffix == ".toml"
    return bool(problem.line) or not is_page or not path.stat().st_size


def settled(folder: Path, problems: Sequence[Problem]) -> list[Problem]:
    """Return the problems without those of files that may still be arriving."""
    return [problem for problem in problems if not is_waited_for(folder, problem)]


def waited_for(folder: Path, found: Discovery) -> tuple[str, ...]:
    """Return the paths of files that are waited for. Each leaves this list when it has not changed for some seconds."""
    since_ns = time.time_ns() - int(SECONDS * 1e9)
    paths = [problem.path for problem in found.problems if is_waited_for(folder, problem)]
    is_recent = max(found.newest_content_ns, found.newest_state_ns) > since_ns
    fresh = [f.path for f in found.pages if max(f.content_ns, f.state_ns) > since_ns] if is_recent else []
    return (*paths, *(path for path in (*fresh, SETTINGS_NAME, UNDATED_NAME) if _is_broken(folder, path)))


def _is_broken(folder: Path, path: str) -> bool:
    if not is_fresh(folder / path):
        return False
    try:
        data = toml_read.content(str(folder), path, discover.SIZE_LIMIT)
        toml_read.values(path, toml_read.text(path, data))
    except NotReadError:
        return True
    return not data


def wait(folder: Path, problems: Sequence[Problem]) -> bool:
    """Wait until no file of these problems is fresh. Return whether there was one."""
    waiting = {problem.path for problem in problems if is_waited_for(folder, problem)}
    deadline = time.monotonic() + 2 * SECONDS
    while any(is_fresh(folder / path) for path in waiting) and time.monotonic() < deadline:
        time.sleep(0.1)
    return bool(waiting)


def refuse(folder: Path, path: str) -> None:
    """Raise WriteError if a page that is not there is just arriving, under the name of a temporary."""
    name = path.rsplit("/", maxsplit=1)[-1]
    with contextlib.suppress(OSError), os.scandir((folder / path).parent) as entries:
        for entry in entries:
            if name not in entry.name or entry.name == name:
                continue
            from journal.folder import stray_names  # noqa: PLC0415 (its patterns take a hundredth of a log)

            stray = stray_names.stray(entry.name)
            is_part = stray is not None and stray.kind == "placeholder" and stray.meant == (name,)
            if is_part and is_fresh(Path(entry.path)):
                text = N_('"{path}" is just arriving as "{name}"; save again in a moment')
                raise WriteError(_(text, path=path, name=entry.name))
