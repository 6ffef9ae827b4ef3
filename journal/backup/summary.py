"""What a backup has in it, by the names of its files."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from journal.folder import file_names, history


class BackupSummary(msgspec.Struct, frozen=True):
    """The number of pages and of all other files, and the first and last day that has a page, empty if none has."""

    pages: int
    others: int
    first: str
    last: str


def of(paths: Iterable[str]) -> BackupSummary:
    """Return what files of these paths are. Pages are those of days, weeks, months and years.

    >>> of(["2025/2025-03-14.toml", "2025/2025-03.toml", ".history/2025/2025-03-14.txt", "journal.toml"])
    BackupSummary(pages=2, others=2, first='2025-03-14', last='2025-03-14')
    """
    days, pages, count = [], 0, 0
    for path in paths:
        count += 1
        if path.endswith(".toml") and not path.startswith(f"{history.NAME}/"):
            found = file_names.period(path.rpartition("/")[2][: -len(".toml")])
            pages += found is not None
            days += [found[1]] if found is not None and found[0] == "day" else []
    return BackupSummary(pages, count - pages, min(days, default=""), max(days, default=""))
