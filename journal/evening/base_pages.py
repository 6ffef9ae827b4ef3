"""What an evening was begun from: pages as they were looked at, in one string that goes out and comes back.

Nothing needs to be kept between showing a form and saving it: the form brings along what it was made from. So a tab
that stood open over a restart saves as well as any, and a stale one is found out by what it brings.
"""

from __future__ import annotations

import base64
import datetime as dt
import zlib
from collections.abc import Callable, Mapping
from typing import Any

import msgspec

from journal.entry import Entry, Undated
from journal.errors import Problem, UsageError, WriteError
from journal.folder import reading, writing
from journal.folder.identity import identities
from journal.folder.page_names import Known
from journal.folder.page_versions import Base, PageVersions

DAY = dt.timedelta(days=1)
_LARGEST = 4_000_000  # bytes unpacked: a month of the largest pages that anyone writes by hand has a tenth of it


def look(versions: PageVersions, keys: tuple[str, ...]) -> tuple[Base, ...]:
    """Some pages of a journal, as they were when the request first looked at them."""
    return tuple(map(versions.look, keys))


def of_evening(day: dt.date) -> tuple[str, ...]:
    """The pages that an evening is about: the day, the next, and the tasks without a day.

    >>> of_evening(dt.date(2025, 3, 13))
    ('2025-03-13', '2025-03-14', 'undated')
    """
    return day.isoformat(), (day + DAY).isoformat(), writing.UNDATED


def packed(bases: tuple[Base, ...]) -> str:
    """Pages as one string of letters, digits, "-", "_" and "="."""
    return base64.urlsafe_b64encode(zlib.compress(msgspec.msgpack.encode(bases))).decode("ascii")


def unpacked(text: object) -> tuple[Base, ...]:
    """The inverse of `packed`.

    >>> unpacked(packed((Base("2025-03-13", "2025/2025-03-13.toml", b"mood = 4"),)))[0].values
    {'mood': 4}

    Raises UsageError for anything that `packed` did not make.
    """
    try:
        if not isinstance(text, str):
            raise ValueError("no text")
        unzip = zlib.decompressobj()
        data = unzip.decompress(base64.urlsafe_b64decode(text), _LARGEST)
        return msgspec.msgpack.decode(data, type=tuple[Base, ...])
    except (ValueError, zlib.error, msgspec.MsgspecError):
        raise UsageError("what the page was begun from is missing; open the page anew") from None


def brought(text: object, versions: PageVersions) -> tuple[Base, ...]:
    """The pages that a form brings back. Raises UsageError as `unpacked` does."""
    return tuple(map(versions.same, unpacked(text)))


def entry(base: Base, known: Known) -> tuple[Entry, tuple[Problem, ...]]:
    """What a day's page says, and what is wrong in it: a value with a problem is left out of the entry."""
    page, problems = reading.read_base(base, known)
    content = Entry() if page is None else page.content
    assert isinstance(content, Entry)  # it has the name of a day
    return content, problems


def undated(base: Base) -> Undated:
    """The tasks without a day, as far as they can be read."""
    try:
        return msgspec.convert(base.values, Undated, builtin_types=(dt.date, dt.datetime, dt.time))
    except (WriteError, msgspec.ValidationError):
        return Undated()


class Pages:
    """The pages that an evening may touch, as they were looked at; any other is looked at when it is asked for."""

    def __init__(self, bases: tuple[Base, ...], look: Callable[[str], Base]) -> None:
        self.bases = {base.key: base for base in bases}
        self._look = look

    def base(self, key: str) -> Base:
        if key not in self.bases:
            self.bases[key] = self._look(key)
        return self.bases[key]

    def tasks(self, key: str) -> dict[str, dict[str, Any]]:
        """The tasks of a page by what each goes by. Raises WriteError where the page cannot be read."""
        found = self.base(key).values.get("tasks", [])
        tables = [table for table in found if isinstance(table, Mapping)] if isinstance(found, list) else []
        return dict(zip(identities("tasks", tables), map(dict, tables), strict=True))

    def same(self, key: str, task: Mapping[str, Any]) -> tuple[str, dict[str, Any]] | None:
        """The row of a page that is the same task: of its id, or of its title and first day."""
        for ref, table in self.tasks(key).items():
            both = table.get("id"), task.get("id")
            if both[0] == both[1] if all(both) else _named(table) == _named(task):
                return ref, table
        return None


def _named(task: Mapping[str, Any]) -> tuple[object, object]:
    return task.get("title"), task.get("since")
