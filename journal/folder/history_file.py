"""One file of the history: reading it, closing what a killed process left open, thinning it out, appending to it.

The caller must hold the write lock for all but reading. Every function raises OSError.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
from collections.abc import Sequence

from journal.folder import history_copies, history_records
from journal.folder.history_records import NOT_WRITTEN, WRITTEN, KeptStates, PageState, parse, record
from journal.folder.private_folder import PrivateFolder

SIZE_LIMIT = 4_000_000
"""Bytes of the history of one page, some two thousand states of a usual one."""


def read(place: PrivateFolder, key: str, *, is_quick: bool = False) -> KeptStates:
    """Return the kept states, none if there is no file. Raises OSError."""
    try:
        return parse(place.read(f"{key}.txt", SIZE_LIMIT).data, is_quick=is_quick)
    except FileNotFoundError:
        return parse(b"")


def settled(
    place: PrivateFolder, key: str, data: bytes | None, coming: PageState, *, is_whole: bool = False
) -> KeptStates:
    """Return the kept states, thinned out and with none open, where the page is `data` and one more is to come."""
    kept = read(place, key, is_quick=True)
    if kept.opened is not None:
        kept = close(place, key, kept, WRITTEN if kept.settled(data) else NOT_WRITTEN)
    else:
        with contextlib.suppress(FileNotFoundError):
            cut(place, key, kept.end)
    kept = _with_copies(place, key, kept, coming.moment)
    is_full = kept.end + len(data or b"") + len(coming.data or b"") + 400 > SIZE_LIMIT
    if is_whole and not is_full:
        return kept
    largest = SIZE_LIMIT // 2 if is_full or not kept.is_whole else SIZE_LIMIT
    return thin(place, key, kept, coming.moment, largest)


def close(place: PrivateFolder, key: str, kept: KeptStates, closing: bytes) -> KeptStates:
    """Write the closing line of the open state. Return the states as they are then."""
    assert kept.opened is not None
    cut(place, key, kept.end)
    append(place, key, closing)
    last = (kept.opened,) if closing == WRITTEN else ()
    return KeptStates((*kept.closed, *last), None, kept.end + len(closing), kept.is_whole)


def thin(place: PrivateFolder, key: str, kept: KeptStates, now: dt.datetime, largest: int) -> KeptStates:
    """Write the history of a page again with the states that stay, if there are fewer or `largest` is less than what a
    history may have. Return them. What is damaged does not stay."""
    staying = history_records.thinned(kept.closed, now, largest)
    if kept.opened is not None or (len(staying) == len(kept.closed) and largest == SIZE_LIMIT):
        return kept
    staying = history_records.thinned(read(place, key).closed, now, largest)  # with every digest checked
    return _write(place, key, staying)


def append(place: PrivateFolder, key: str, text: bytes, durable: bool = False) -> None:
    place.append(f"{key}.txt", text, SIZE_LIMIT, durable=durable)


def cut(place: PrivateFolder, key: str, size: int, of: int | None = None) -> None:
    """Cut the history of a page to a size in bytes; if `of` is given, only if that is its size."""
    handle = place.open_file(f"{key}.txt", os.O_RDWR)
    try:
        status = os.fstat(handle)
        if status.st_size > size and status.st_nlink == 1 and of in (None, status.st_size):
            os.ftruncate(handle, size)
    finally:
        os.close(handle)


def _with_copies(place: PrivateFolder, key: str, kept: KeptStates, now: dt.datetime) -> KeptStates:
    """Put the states of copies of a history file into it, and remove the copies. One that ends in a torn record stays:
    the rest may still come. Return the states as they are then."""
    copies = history_copies.read(place, key, SIZE_LIMIT)
    if not copies:
        return kept
    own = read(place, key).closed
    staying = history_copies.union(own, copies)
    if len(staying) > len(own):
        staying = tuple(history_records.thinned(staying, now, SIZE_LIMIT))
        kept = _write(place, key, staying)
    for copy in copies:
        if copy.is_whole:
            place.remove(copy.name, history_copies.ANY_NAME)
    return kept


def _write(place: PrivateFolder, key: str, staying: Sequence[PageState]) -> KeptStates:
    records = [record(state) + WRITTEN for state in staying]
    place.write(f"{key}.txt", records, durable=True)
    return KeptStates(tuple(staying), None, sum(map(len, records)))
