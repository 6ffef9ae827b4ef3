"""The names of a journal's files: which name is that of a page. `stray_names` says what one means that resembles it."""

from __future__ import annotations

import datetime as dt
import re
from typing import Literal

import msgspec

from journal import periods
from journal.errors import UsageError
from journal.periods import PeriodKind

SETTINGS_NAME, UNDATED_NAME = "journal.toml", "undated.toml"

# ISO 8601 uses the Gregorian calendar, which begins in 1582. A typing error such as 9999 for 1999 would make a
# calendar of millions of days.
EARLIEST_YEAR, LATEST_YEAR = 1583, 2999

SHAPES: tuple[tuple[PeriodKind, re.Pattern[str]], ...] = (
    ("day", re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")),
    ("week", re.compile(r"[0-9]{4}-W[0-9]{2}")),
    ("month", re.compile(r"[0-9]{4}-[0-9]{2}")),
    ("year", re.compile(r"[0-9]{4}")),
)


StrayKind = Literal["misspelt", "copy", "placeholder", "backup"]


class Stray(msgspec.Struct, frozen=True):
    """What a name means that is not read: the names it may stand for, the most likely first.

    "misspelt" is a page under another spelling, "copy" a name with an addition. "placeholder" stands for a file that is
    not here yet, or only in part. "backup" is the copy that an editor leaves behind at each save.
    """

    kind: StrayKind
    meant: tuple[str, ...]


def period(stem: str) -> tuple[PeriodKind, str] | None:
    """Return the kind and key of a page's name without its ending, or None if it is not a page's name.

    >>> period("2025-W11"), period("2025-02-30")
    (('week', '2025-W11'), None)
    """
    # Fast path for days, the most frequent kind.
    if len(stem) == 10 and stem[4] == stem[7] == "-":
        try:
            day = dt.date.fromisoformat(stem)
        except ValueError:
            return None
        return ("day", stem) if EARLIEST_YEAR <= day.year <= LATEST_YEAR else None
    for kind, shape in SHAPES:
        if shape.fullmatch(stem):
            try:
                periods.parse_name(stem, kind)
            except UsageError:
                return None
            return (kind, stem) if EARLIEST_YEAR <= int(stem[:4]) <= LATEST_YEAR else None
    return None
