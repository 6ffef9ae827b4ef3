"""Copies of a history file, as synchronising leaves them: `.history/2025/2025-03-14 (1).txt` beside `2025-03-14.txt`.

Two devices append to the history of one page, and the program that synchronises keeps both files. Records are only ever
appended, and each has its digest. So nothing needs deciding: the states of all files count, and the next save of the
page puts them into one file.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Iterable, Sequence

import msgspec

from journal.folder.history_records import KeptStates, PageState, parse
from journal.folder.private_folder import PrivateFolder

KEY = r"[0-9]{4}(?:-W[0-9]{2}|-[0-9]{2}(?:-[0-9]{2})?)?|undated|settings"
ANY_NAME = re.compile(r"[^.].*", re.DOTALL)
_BEHIND = r"(?:[^0-9A-Za-z].*)?\.txt(?:[^0-9A-Za-z].*)?"
_SHAPES = (
    re.compile(rf"({KEY}){_BEHIND}", re.DOTALL),
    re.compile(rf"(?!\.).*?[^0-9A-Za-z]({KEY}){_BEHIND}", re.DOTALL),
)
_PARTIAL = re.compile(r".*\.(?:writing|part|partial|tmp|temp|download|crdownload|!sync)", re.DOTALL | re.IGNORECASE)
_MOST = 20  # copies of one history file


class HistoryCopy(msgspec.Struct, frozen=True):
    """A copy of a history file: its name, its states, and whether it ends with a whole record."""

    name: str
    states: tuple[PageState, ...]
    is_whole: bool


def key_of(name: str) -> str | None:
    """Return the key of the page of which a file has the history or a copy of it, None for another name.

    >>> [key_of(f"{name}.txt") for name in ("2025-03-14", "2025-03-14 (2024)", "2025-laptop", "copy of undated")]
    ['2025-03-14', '2025-03-14', '2025', 'undated']
    >>> key_of("README.txt"), key_of("2025-03-14.txt.part"), key_of("12025-03-14.txt")
    (None, None, None)
    """
    if _PARTIAL.fullmatch(name):
        return None
    found = next(filter(None, (shape.fullmatch(name) for shape in _SHAPES)), None)
    return found[1] if found else None


def read(place: PrivateFolder, key: str, limit: int) -> list[HistoryCopy]:
    """Return the copies of the history file of a page that can be read, by name. Raises OSError for the folder."""
    names = [name for name in place.names(ANY_NAME) if key in name and name != f"{key}.txt" and key_of(name) == key]
    found = []
    for name in names[:_MOST]:
        with contextlib.suppress(OSError):
            data = place.read(name, limit).data
            found.append(_copy(name, parse(data), len(data)))
    return found


def _copy(name: str, kept: KeptStates, size: int) -> HistoryCopy:
    # An open record is complete. Whether it was written is known to the other device only, so it counts.
    opened = () if kept.opened is None else (kept.opened,)
    return HistoryCopy(name, (*kept.closed, *opened), bool(opened) or kept.end == size)


def union(own: Sequence[PageState], copies: Iterable[HistoryCopy]) -> tuple[PageState, ...]:
    """Return the states of a history and its copies, each once, by their moment.

    >>> import datetime as dt
    >>> moments = [dt.datetime(2025, 3, 14, hour, tzinfo=dt.UTC) for hour in (8, 9, 10)]
    >>> first, here, there = (PageState(moment, "day", b"") for moment in moments)
    >>> union([first, there], [HistoryCopy("a", (first, here), True)]) == (first, here, there)
    True
    """
    known = list(own)
    for copy in copies:
        known += [state for state in copy.states if state not in known]
    if len(known) == len(own):
        return tuple(own)
    return tuple(sorted(known, key=lambda state: state.moment))
