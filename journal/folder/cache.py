"""The only folder that Duskbook makes in a journal, `.cache/`. It can be deleted at any time, and may be unwritable.

Only its owner can read it, because it has content of the pages. A cache tag tells backup programs to leave it out. A
symbolic link in its place is not followed, so nothing is written outside the journal.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Sequence
from pathlib import Path

from journal.folder.discover import CACHE_NAME

# Cache Directory Tagging Specification (Bryan Ford, 2004): backup programs can leave the folder out.
_TAG = (
    "Signature: 8a477f597d28d172789f06886806bc55\n"
    "# Made by Duskbook from the pages of this journal, and made again when it is missing. Delete it at any time.\n"
)


def is_elsewhere(folder: Path) -> bool:
    """Return whether the cache of a journal is a symbolic link."""
    return os.path.islink(folder / CACHE_NAME)  # noqa: PTH114 (pathlib's method may raise)


def put(folder: Path, name: str, parts: Sequence[bytes]) -> bool:
    """Write a file into the cache of a journal atomically. Return whether that succeeded.

    >>> with tempfile.TemporaryDirectory() as folder:
    ...     put(Path(folder), "a", [b"1", b"2"]), Path(folder, ".cache", "a").read_bytes()
    (True, b'12')
    """
    if is_elsewhere(folder):
        return False
    cache = folder / CACHE_NAME
    try:
        cache.mkdir(mode=0o700, exist_ok=True)
        if not (cache / "CACHEDIR.TAG").exists():
            _put(cache / "CACHEDIR.TAG", [_TAG.encode()])
        _put(cache / name, parts)
    except OSError:
        return False
    return True


def _put(path: Path, parts: Sequence[bytes]) -> None:
    """Write a file atomically, readable by its owner only."""
    temp_fd, temp_path = tempfile.mkstemp(prefix=f"{path.name}.", dir=path.parent)
    try:
        with os.fdopen(temp_fd, "wb") as file:
            file.writelines(parts)
        Path(temp_path).replace(path)
    except BaseException:
        Path(temp_path).unlink(missing_ok=True)
        raise
