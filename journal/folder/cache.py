"""The folder `.cache/` of a journal. It can be deleted at any time, and may be unwritable.

Only its owner can read it, because it has content of the pages. A cache tag tells backup programs to leave it out.
Links in it are not followed and what is no plain file is not read (`private_folder`), so nothing outside the journal is
read or written.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from journal.folder import private_folder
from journal.folder.private_folder import PrivateFile, PrivateFolder

if TYPE_CHECKING:
    from pathlib import Path

CACHE_NAME = ".cache"

# Cache Directory Tagging Specification (Bryan Ford, 2004): backup programs can leave the folder out.
_TAG_NAME = "CACHEDIR.TAG"
_TAG = (
    "Signature: 8a477f597d28d172789f06886806bc55\n"
    "# Made by Duskbook from the pages of this journal, and made again when it is missing. Delete it at any time.\n"
)


@contextlib.contextmanager
def opened(folder: str | Path, *below: str, make: bool = False) -> Iterator[PrivateFolder]:
    """Open the cache of a journal, or a folder in it. With `make`, it is made, with its tag. Raises OSError."""
    if make:
        with private_folder.opened(folder, CACHE_NAME, make=True) as cache:
            _tag(cache)
    with private_folder.opened(folder, CACHE_NAME, *below, make=make) as opened_folder:
        yield opened_folder


def read(folder: str | Path, name: str, limit: int) -> PrivateFile:
    """Return a file of the cache of a journal, of at most `limit` bytes. Raises OSError."""
    with opened(folder) as cache:
        return cache.read(name, limit)


def put(folder: str | Path, name: str, parts: Sequence[bytes]) -> bool:
    """Write a file into the cache of a journal atomically. Return whether that succeeded.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     put(folder, "a", [b"1", b"2"]), read(folder, "a", 100).data
    (True, b'12')
    """
    try:
        with opened(folder, make=True) as cache:
            cache.sweep()
            cache.write(name, parts)
    except OSError:
        return False
    return True


def _tag(cache: PrivateFolder) -> None:
    try:
        cache.read(_TAG_NAME, len(_TAG.encode()))
    except OSError:
        cache.write(_TAG_NAME, [_TAG.encode()])
