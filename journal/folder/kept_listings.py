"""What the folders of a journal had when a walk last read them, in `.cache/folders`.

A folder whose names are as they were has what it had (`name_states`), and is not interpreted again. No content is kept
here: whether a page has changed is told by its size and times, as in each walk. The file can be deleted at any time.
One that is broken, foreign or of another version is ignored.
"""

from __future__ import annotations

import functools
import os
import zlib
from collections.abc import Mapping
from pathlib import Path

import msgspec

from journal import __version__
from journal.folder import cache
from journal.folder.folder_listing import FolderListing
from journal.folder.folder_walk import is_text

FILE_NAME = "folders"
SIZE_LIMIT = 50_000_000
"""Bytes. Fifty years have about 3 million."""
LEAST = 500
"""Names that are read without being kept before all are kept anew. To interpret these takes two milliseconds, and to
keep those of fifty years takes twenty."""

_MAGIC = b"Duskbook folders\n"
_CHECK_BYTES = 4

Listings = Mapping[str, FolderListing]
"""By the path of the folder below the journal, "" for the journal itself."""


def load(folder: Path) -> Listings:
    """Return what is kept of a journal's folders, nothing if that cannot be read."""
    try:
        data = memoryview(cache.read(folder, FILE_NAME, SIZE_LIMIT).data)
        body = data[len(_MAGIC) + _CHECK_BYTES :]
        if bytes(data[: len(_MAGIC) + _CHECK_BYTES]) != _MAGIC + _check(body):
            return {}
        stamp, listings = msgspec.msgpack.decode(body, type=tuple[str, dict[str, FolderListing]])
    except (OSError, ValueError, msgspec.MsgspecError):
        return {}
    return {below: listing for below, listing in listings.items() if _is_told(listing)} if stamp == _stamp() else {}


def save(folder: Path, listings: Listings) -> None:
    """Keep what was read of a journal's folders, if the cache can be written."""
    named = {below: listing for below, listing in listings.items() if _is_told(listing)}
    body = msgspec.msgpack.encode((_stamp(), named))
    cache.put(folder, FILE_NAME, [_MAGIC, _check(body), body])


def _is_told(listing: FolderListing) -> bool:
    """Whether its names tell that a folder is the same. In one of folders alone nothing has a time."""
    seen = listing.seen
    return seen is not None and seen.has_times and is_text("".join(seen.names))


def _check(body: memoryview | bytes) -> bytes:
    return zlib.crc32(body).to_bytes(_CHECK_BYTES, "little")


@functools.cache  # the running code was loaded once, even if its files change later
def _stamp() -> str:
    """What the file depends on besides the folders: the version, and the code that interprets names."""
    code = [*sorted(Path(__file__).parent.glob("*.py")), Path(__file__).parent.parent / "periods.py"]
    states = [(path.name, status.st_size, status.st_mtime_ns) for path in code for status in [path.stat()]]
    return repr((__version__, os.name, states))
