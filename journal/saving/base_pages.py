"""The page versions that a form starts from, packed in one string that the form sends back.

The server keeps nothing between showing a form and saving it. So a tab that was open over a restart can still save, and
the versions it sends back show whether it is stale.
"""

from __future__ import annotations

import base64
import datetime as dt
import zlib
from collections.abc import Callable, Collection, Mapping
from typing import Any

import msgspec

from journal.entry import Entry, Undated
from journal.errors import Problem, UsageError, WriteError
from journal.folder import discover, reading, writing
from journal.folder.identity import identities
from journal.folder.page_names import Known
from journal.folder.page_versions import Base, PageVersions
from journal.language.catalogue import _

DAY = dt.timedelta(days=1)
_LARGEST = 4_000_000  # bytes unpacked: ten times a month of the largest pages written by hand


def look(versions: PageVersions, keys: tuple[str, ...]) -> tuple[Base, ...]:
    """Return pages of a journal, as they were when the request first read them."""
    return tuple(map(versions.look, keys))


def next_day(day: dt.date, today: dt.date) -> dt.date:
    """Return the day that an evening opens: the day after, or today if that is over.

    >>> today = dt.date(2025, 3, 13)
    >>> [str(next_day(dt.date(2025, 3, day), today)) for day in (13, 12, 9)]
    ['2025-03-14', '2025-03-13', '2025-03-13']
    """
    return max(day + DAY, today)


def reachable(day: dt.date) -> dt.date:
    """Return a day that can have a page. Raises UsageError for one of another year.

    >>> reachable(dt.date(2025, 3, 13))
    datetime.date(2025, 3, 13)
    >>> reachable(dt.date(9999, 12, 31))
    Traceback (most recent call last):
    journal.errors.UsageError: "9999-12-31" is too far from today; choose a day from 1583 on
    """
    if not discover.EARLIEST_YEAR <= day.year <= discover.LATEST_YEAR:
        raise UsageError(
            _('"{day}" is too far from today; choose a day from {year} on', day=day, year=discover.EARLIEST_YEAR)
        )
    return day


def evening_keys(day: dt.date, following: dt.date | None = None) -> tuple[str, ...]:
    """Return the keys of the pages of an evening: the day, the day that it opens, and the undated tasks.

    `following` is the day after unless it is given.

    >>> evening_keys(dt.date(2025, 3, 13))
    ('2025-03-13', '2025-03-14', 'undated')
    """
    return day.isoformat(), (following or day + DAY).isoformat(), writing.UNDATED


def packed(bases: tuple[Base, ...]) -> str:
    """Return pages as one string of letters, digits, "-", "_" and "="."""
    return base64.urlsafe_b64encode(zlib.compress(msgspec.msgpack.encode(bases))).decode("ascii")


def unpacked(text: object) -> tuple[Base, ...]:
    """Return the pages of a packed string.

    >>> unpacked(packed((Base("2025-03-13", "2025/2025-03-13.toml", b"mood = 4"),)))[0].values
    {'mood': 4}

    Raises UsageError for a string that `packed` did not make.
    """
    try:
        if not isinstance(text, str):
            raise ValueError("not a text")
        unzip = zlib.decompressobj()
        data = unzip.decompress(base64.urlsafe_b64decode(text), _LARGEST)
        return msgspec.msgpack.decode(data, type=tuple[Base, ...])
    except (ValueError, zlib.error, msgspec.MsgspecError):
        raise UsageError(_("what the page was begun from is missing; open the page anew")) from None


def submitted(text: object, versions: PageVersions) -> tuple[Base, ...]:
    """Return the pages that a form sends back. Raises UsageError as `unpacked` does."""
    return tuple(map(versions.same, unpacked(text)))


def entry(base: Base, known: Known) -> tuple[Entry, tuple[Problem, ...]]:
    """Return the entry of a day's page and its problems. Values with a problem are not in the entry."""
    page, problems = reading.read_base(base, known)
    content = Entry() if page is None else page.content
    assert isinstance(content, Entry)  # the key is a day
    return content, problems


def undated(base: Base) -> Undated:
    """Return the undated tasks, none if they cannot be read."""
    try:
        return msgspec.convert(base.values, Undated, builtin_types=(dt.date, dt.datetime, dt.time))
    except (WriteError, msgspec.ValidationError):
        return Undated()


class Pages:
    """The page versions that an evening starts from. Any other page is read when it is first used.

    `broken` are pages that cannot be read and are not written: they count as having no task.
    """

    def __init__(self, bases: tuple[Base, ...], look: Callable[[str], Base], *, broken: Collection[str] = ()) -> None:
        self.bases = {base.key: base for base in bases}
        self.broken = broken
        self._look = look
        self._rows: dict[tuple[str, str], dict[str, dict[str, Any]]] = {}

    def base(self, key: str) -> Base:
        if key not in self.bases:
            self.bases[key] = self._look(key)
        return self.bases[key]

    def tasks(self, key: str) -> dict[str, dict[str, Any]]:
        """Return the tasks of a page by identity, as `rows` does."""
        return self.rows("tasks", key)

    def rows(self, name: str, key: str) -> dict[str, dict[str, Any]]:
        """Return a list of tables of a page by identity, computed once, so callers must not change them. Raises
        WriteError if the page cannot be read and is not `broken`."""
        if (name, key) not in self._rows:
            values = [] if key in self.broken else self.base(key).values.get(name, [])
            tables = [table for table in values if isinstance(table, Mapping)] if isinstance(values, list) else []
            self._rows[name, key] = dict(zip(identities(name, tables), map(dict, tables), strict=True))
        return self._rows[name, key]

    def now(self, key: str) -> list[dict[str, Any]]:
        """Return the tasks of a page as they are on disk by now. Raises WriteError if it cannot be read."""
        values = self._look(key).values.get("tasks", [])
        return [dict(table) for table in values if isinstance(table, Mapping)] if isinstance(values, list) else []

    def same(self, key: str, task: Mapping[str, Any]) -> tuple[str, dict[str, Any]] | None:
        """Return identity and row of the same task on a page: by id, or by title and first day if it has no id."""
        for ref, table in self.tasks(key).items():
            own_id = task.get("id")
            if table.get("id") == own_id if own_id else _title_and_day(table) == _title_and_day(task):
                return ref, table
        return None


def _title_and_day(task: Mapping[str, Any]) -> tuple[object, object]:
    return task.get("title"), task.get("since")
