"""Writes exports to disk with atomic writes: an old file stays until the new one is complete.

    put(path, data)              one file
    put_all(folder, files)       a folder of files, by name; sub-folders are created

The data is complete before the first write, so an export that fails while it is made writes nothing.
"""

from __future__ import annotations

import errno
from collections.abc import Mapping
from pathlib import Path

import msgspec

from journal.errors import ExportError
from journal.folder import atomic_write
from journal.language import digits
from journal.language.catalogue import _, _n

_LARGEST = 2_000_000_000
"""Bytes of an existing file that is compared with a new export. A year with pictures for print has some ten million."""


class Placed(msgspec.Struct, frozen=True, kw_only=True):
    """A written file. `replaced` is true if a file with other bytes was there."""

    path: Path
    size: int
    replaced: bool


def put(path: Path, data: bytes) -> Placed:
    """Write a file, replacing an existing one. A missing folder is created.

    Raises ExportError with reason and remedy if it cannot be written. The existing file then stays unchanged.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     first = put(Path(folder, "out", "2025.html"), b"one")
    ...     again = put(Path(folder, "out", "2025.html"), b"another")
    ...     first.replaced, again.replaced, Path(folder, "out", "2025.html").read_text()
    (False, True, 'another')
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        before = atomic_write.content(path, _LARGEST)
        if before != data:
            atomic_write.replace(path, data, before)
    except atomic_write.ChangedError:
        changed = _('"{path}" was changed by another program just now and was not replaced; try again', path=path)
        raise ExportError(changed) from None
    except OSError as error:
        raise ExportError(_failed(error, path)) from None
    return Placed(path=path, size=len(data), replaced=before is not None and before != data)


def put_all(folder: Path, files: Mapping[str, bytes]) -> list[Placed]:
    """Write a folder of files, in the order of their names. Other files in the folder stay.

    Raises ExportError if one cannot be written. That one stays unchanged; the message has the number of files written
    before it.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     [placed.path.name for placed in put_all(Path(folder, "tables"), {"marks.csv": b"", "days.csv": b""})]
    ['days.csv', 'marks.csv']
    """
    placed: list[Placed] = []
    for name in sorted(files):
        try:
            placed.append(put(folder / name, files[name]))
        except ExportError as error:
            counts = {"written": digits.number(len(placed)), "count": digits.number(len(files))}
            raise ExportError(_("{error}; {written} of {count} files are written", error=error, **counts)) from None
    return placed


def sized(size: int) -> str:
    """A number of bytes in SI units (1 kB = 1,000 bytes).

    >>> sized(310), sized(48_200), sized(3_260_000)
    ('310 bytes', '48 kB', '3.3 MB')
    """
    if size < 1_000:
        return _n("{count} byte", "{count} bytes", size)
    if size < 999_500:
        return _("{number} kB", number=digits.number(size / 1_000, 0))
    return _("{number} MB", number=digits.mean(size / 1_000_000))


def _failed(error: OSError, path: Path) -> str:
    """That a file could not be written, that an existing one is unchanged, and what to do."""
    reason = _('"{path}" could not be written ({reason})', path=path, reason=error.strerror)
    unchanged = _("the existing file is unchanged") if path.is_file() else ""
    match error.errno:
        case errno.ENOSPC | errno.EDQUOT | errno.EFBIG:
            remedy = _("make room, or write to another disk with --to")
        case errno.EISDIR | errno.ENOTDIR | errno.EEXIST:
            unchanged = ""
            remedy = _("a folder and a file have the same name there: choose another place with --to")
        case errno.ENAMETOOLONG:
            unchanged = ""
            remedy = _("choose a shorter name with --to")
        case _other:
            remedy = _("choose another place with --to")
    return "; ".join(filter(None, [reason, unchanged, remedy]))
