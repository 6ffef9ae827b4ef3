"""The record of a save of several pages, from before its first write to after its last: what it is about to write.

    with save_record.kept(folder, changes, now, by):
        ...  # write the pages

A process that is killed in between leaves the record, `.history/unfinished.json`. The next one that writes finishes the
save (`interrupted_save`). A page that it cannot finish, since it was changed in the same places, is put beside as
`.history/unfinished 2025-03-14.toml`, for the person to decide.

A save is not refused because there can be no record, e.g. on a full disk. It is then as safe as its single pages.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import msgspec

from journal.errors import JournalError, Problem, WriteError
from journal.folder import history, locking, private_folder, room
from journal.folder.history_records import PageWriter
from journal.folder.page_versions import Base
from journal.language.lazy_text import L_

_NAME = "unfinished.json"
PATH = f"{history.NAME}/{_NAME}"
_RECORD = re.compile(re.escape(_NAME))
_REST = re.compile(r"unfinished (.+)\.toml")
_LIMIT = 40_000_000  # bytes: two versions of the largest pages of two months

VersionPair = tuple[Base, Base]
"""The version that a save found of a page, and the one that it writes."""


class SaveRecord(msgspec.Struct, frozen=True):
    """A save: when and from where it was made, and its pages in the order in which they are written."""

    moment: dt.datetime
    by: PageWriter | None
    changes: tuple[VersionPair, ...]


class _RecordedPage(msgspec.Struct, frozen=True):
    """A page as the file has it. `before` is null for a new page, `after` for one that is removed."""

    key: str
    path: str
    before: str | None
    after: str | None


class _RecordFile(msgspec.Struct, frozen=True):
    saved: dt.datetime
    by: PageWriter | None
    pages: tuple[_RecordedPage, ...]


@contextlib.contextmanager
def kept(folder: Path, changes: Sequence[VersionPair], now: dt.datetime, by: PageWriter | None) -> Iterator[None]:
    """Keep the record of a save while its pages are written, if they are several. The caller must hold the write lock.

    If the body raises anything but a JournalError, which is told, the save counts as interrupted.

    >>> import tempfile
    >>> now = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
    >>> pages = [(Base(key, f"{key}.toml", None), Base(key, f"{key}.toml", b"")) for key in ("undated", "2025")]
    >>> with tempfile.TemporaryDirectory() as name:
    ...     with kept(Path(name), pages, now, "evening"):
    ...         during = read(Path(name)).moment == now
    ...     during, read(Path(name))
    (True, None)
    """
    is_kept = len(changes) > 1 and _write(folder, SaveRecord(now, by, tuple(changes)))
    try:
        yield
    except JournalError:
        if is_kept:
            remove(folder)
        raise
    if is_kept:
        remove(folder)


def read(folder: Path) -> SaveRecord | None:
    """Return the record of an interrupted save, None if there is none or it cannot be read."""
    try:
        with private_folder.opened(folder, history.NAME) as place:
            file = msgspec.json.decode(place.read(_NAME, _LIMIT).data, type=_RecordFile)
    except (OSError, ValueError):
        return None
    pages = [(_version(page, page.before), _version(page, page.after)) for page in file.pages]
    return SaveRecord(file.saved, file.by, tuple(pages))


def remove(folder: Path) -> None:
    """Remove the record. No error is raised: a record whose pages are all written changes nothing when it is read."""
    with contextlib.suppress(OSError), private_folder.opened(folder, history.NAME) as place:
        place.remove(_NAME, _RECORD)


def put_beside(folder: Path, version: Base) -> str:
    """Write the version that could not be saved beside, and return its path below the folder. Raises OSError."""
    name = f"unfinished {version.key}.toml"
    with private_folder.opened(folder, history.NAME, make=True) as place:
        place.write(name, [version.data or b""], durable=True)
    return f"{history.NAME}/{name}"


def problems(folder: Path) -> list[Problem]:
    """Return a problem for an interrupted save, and one for each page that is put beside."""
    try:
        with private_folder.opened(folder, history.NAME) as place:
            names = place.names(re.compile(rf"{_RECORD.pattern}|{_REST.pattern}"))
    except OSError:
        return []
    return [problem for name in names if (problem := _problem(folder, name)) is not None]


def _problem(folder: Path, name: str) -> Problem | None:
    path = f"{history.NAME}/{name}"
    if rest := _REST.fullmatch(name):
        return Problem(
            path=path,
            expected=L_("no rest of a save"),
            got=L_("the page of {period} as an interrupted save would have left it", period=rest[1]),
            remedy=L_("take what you miss from this file into the page, then delete the file"),
        )
    try:
        with locking.write_lock(folder, patience_seconds=0):
            record = read(folder)
    except (WriteError, OSError):  # the save is being made
        return None
    if record is None:
        return None
    return Problem(
        path=path,
        expected=L_("a save that was finished"),
        got=L_(
            "one of {count} pages, interrupted on {day} at {time}",
            count=len(record.changes),
            day=f"{record.moment:%Y-%m-%d}",
            time=f"{record.moment:%H:%M}",
        ),
        remedy=L_("open a page or log something, and it is finished; or delete this file, and it is not"),
    )


def _write(folder: Path, record: SaveRecord) -> bool:
    """Write a record. Return False if it cannot be written, or if there is one already."""
    try:
        pages = tuple(_recorded(before, after) for before, after in record.changes)
        text = msgspec.json.format(msgspec.json.encode(_RecordFile(record.moment, record.by, pages)), indent=1)
    except ValueError:  # no text
        return False
    try:
        return _put(folder, text)
    except OSError as error:
        if error.errno not in room.FULL or not room.make(folder, len(text)):
            return False
    try:
        return _put(folder, text)
    except OSError:
        return False


def _put(folder: Path, text: bytes) -> bool:
    """Write the file. Return False if there is one already. Raises OSError."""
    with private_folder.opened(folder, history.NAME, make=True) as place:
        if place.names(_RECORD):
            return False
        place.sweep()
        place.write(_NAME, [text], durable=True)
    return True


def _recorded(before: Base, after: Base) -> _RecordedPage:
    texts = (None if version.data is None else version.data.decode() for version in (before, after))
    return _RecordedPage(after.key, after.path, *texts)


def _version(page: _RecordedPage, text: str | None) -> Base:
    return Base(page.key, page.path, None if text is None else text.encode())
