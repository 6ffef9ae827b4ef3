"""The one folder of Duskbook's own in a journal, `.cache/`: deletable at any time, and written only where it can be.

Whatever is kept there is for its owner's eyes alone, as it holds what the pages say; it is tagged for backups to leave
out, and a link in its place is not followed, so that nothing is written outside the journal.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Sequence
from pathlib import Path

from journal.folder.discover import CACHE_NAME

# Cache Directory Tagging Specification (Bryan Ford, 2004), so that backups may leave the folder out.
_TAG = (
    "Signature: 8a477f597d28d172789f06886806bc55\n"
    "# Made by Duskbook from the pages of this journal, and made again when it is missing. Delete it at any time.\n"
)


def is_elsewhere(folder: Path) -> bool:
    """Whether the cache of a journal is a link."""
    return os.path.islink(folder / CACHE_NAME)  # noqa: PTH114 (that of pathlib may raise)


def put(folder: Path, name: str, parts: Sequence[bytes]) -> bool:
    """Write a file into the cache of a journal, whole or not at all; returns whether it could be written.

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
    """Write a file that appears whole or not at all; only its owner can read it."""
    handle, aside = tempfile.mkstemp(prefix=f"{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.writelines(parts)
        Path(aside).replace(path)
    except BaseException:
        Path(aside).unlink(missing_ok=True)
        raise
