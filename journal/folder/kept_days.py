"""What the days of a journal say of its habits, in `.cache/days`, so that a command can count them without any library.

    kept = kept_days.load(folder, stamp)
    now = folder_state.seen(str(folder))
    if kept is not None and not kept_days.outdated(kept, now): ...

It is derived from the files and can be deleted at any time. What is not certain to be as it was is named by `outdated`,
and is to be read from its file: nothing here stands for content that the files do not have. A file that is broken,
foreign or of another version is ignored (`snapshot` has the same rules).
"""

from __future__ import annotations

import json
import os
import sys
from array import array
from typing import TYPE_CHECKING, Any, NamedTuple

from journal import __version__
from journal.folder import cache, checked_parts
from journal.folder.folder_state import FolderState, changes

if TYPE_CHECKING:
    from pathlib import Path

FILE_NAME = "days"
SIZE_LIMIT = 50_000_000
"""Bytes. Fifty years of pages have about 2 million."""
TICK_NS = 2_000_000_000
"""As `discover.TICK_NS`, which needs libraries to import."""

_MAGIC = b"Duskbook days\n"


class KeptDays(NamedTuple):
    """The state of the folder when its pages were read, the bytes of journal.toml, and what was found.

    `facts` are values as JSON has them, `texts` bytes by name. Content that is as new as `trusted_before_ns`, or newer,
    may have changed without a trace.
    """

    state: FolderState
    facts: dict[str, Any]
    texts: dict[str, bytes]
    trusted_before_ns: int = 0


def stamp() -> str:
    """Return what such a file depends on besides the journal: the version, and the code of the running program."""
    package = os.path.dirname(os.path.dirname(__file__))  # noqa: PTH120 (no library, not even pathlib)
    states = [state for name in _READERS for state in sorted(_code(f"{package}{name}"))]
    return repr((__version__, sys.byteorder, states))


_READERS = ("", "/folder", "/measures")


def _code(package: str) -> list[tuple[str, int, int]]:
    """The names of the modules of a package, each with its size and time."""
    with os.scandir(package) as entries:
        modules = [(entry.name, entry.stat()) for entry in entries if entry.name.endswith(".py")]
    return [(name, status.st_size, status.st_mtime_ns) for name, status in modules]


def are_there(folder: str | Path) -> bool:
    """Return whether something is kept of a journal, of whatever stamp."""
    return os.path.isfile(f"{folder}/{cache.CACHE_NAME}/{FILE_NAME}")  # noqa: PTH113 (without pathlib)


def load(folder: str | Path, expected_stamp: str) -> KeptDays | None:
    """Return what is kept of a journal, None if there is nothing with this stamp."""
    try:
        file = cache.read(folder, FILE_NAME, SIZE_LIMIT)
        first, names, numbers, *parts = checked_parts.unpacked(_MAGIC, file.data)
        head = json.loads(first)
        if head["stamp"] != expected_stamp:
            return None
        paths = names.decode("utf-8", "surrogateescape").split("\0")
        facts = array("q", numbers)
        texts = dict(zip(head["texts"], parts, strict=True))
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None
    trusted = file.written_ns - head["since_walk_ns"] - TICK_NS
    return KeptDays(FolderState(paths, facts), head["facts"], texts, trusted)


def save(folder: str | Path, kept: KeptDays, current_stamp: str, *, since_walk_ns: int) -> None:
    """Keep the days of a journal, if the cache can be written. `since_walk_ns` is how long ago `state` was taken."""
    head = {"stamp": current_stamp, "since_walk_ns": since_walk_ns, "facts": kept.facts, "texts": list(kept.texts)}
    paths = "\0".join(kept.state.paths).encode("utf-8", "surrogateescape")
    parts = [json.dumps(head).encode(), paths, kept.state.facts.tobytes(), *kept.texts.values()]
    cache.put(folder, FILE_NAME, checked_parts.packed(_MAGIC, parts))


def outdated(kept: KeptDays, now: FolderState) -> list[str]:
    """Return the paths that are not certain to be as they were, sorted: new, gone, changed, or written just before."""
    changed = changes(kept.state, now)
    if now.newest_ns < kept.trusted_before_ns:
        return changed
    recent = (path for path, times in zip(now.paths, now.content_times, strict=True) if times >= kept.trusted_before_ns)
    return sorted({*changed, *recent})
