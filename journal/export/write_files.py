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
        raise ExportError(f'"{path}" was changed by another program just now and was not replaced; try again') from None
    except OSError as error:
        raise ExportError(f'"{path}" could not be written ({error.strerror}){_remedy(error, path)}') from None
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
            raise ExportError(f"{error}; {len(placed)} of {len(files)} files are written") from None
    return placed


def sized(size: int) -> str:
    """A number of bytes in SI units (1 kB = 1,000 bytes).

    >>> sized(310), sized(48_200), sized(3_260_000)
    ('310 bytes', '48 kB', '3.3 MB')
    """
    if size < 1_000:
        return f"{size} bytes"
    return f"{size / 1_000:.0f} kB" if size < 999_500 else f"{size / 1_000_000:.1f} MB"


def _remedy(error: OSError, path: Path) -> str:
    """The remedy for an error, and that an existing file is unchanged."""
    unchanged = "; the existing file is unchanged" if path.is_file() else ""
    match error.errno:
        case errno.ENOSPC | errno.EDQUOT | errno.EFBIG:
            return f"{unchanged}; make room, or write to another disk with --to"
        case errno.EISDIR | errno.ENOTDIR | errno.EEXIST:
            return "; a folder and a file have the same name there: choose another place with --to"
        case errno.ENAMETOOLONG:
            return "; choose a shorter name with --to"
    return f"{unchanged}; choose another place with --to"
