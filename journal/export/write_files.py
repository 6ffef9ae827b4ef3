"""Exports put on the disk: each file whole or not at all, and the old one there until the new one is.

    put(path, data)              one file
    put_all(folder, files)       a folder of files, by name; sub-folders are made

Nothing is written before everything has been made, so an export that fails half-way in the making writes nothing.
"""

from __future__ import annotations

import errno
from collections.abc import Mapping
from pathlib import Path

import msgspec

from journal.errors import ExportError
from journal.folder import atomic_write


class Placed(msgspec.Struct, frozen=True, kw_only=True):
    """A file that was put in place. `replaced` where there was one whose bytes were others."""

    path: Path
    size: int
    replaced: bool


def put(path: Path, data: bytes) -> Placed:
    """Put a file in place, over one that is there. Its folder is made where it is missing.

    Raises ExportError, with the reason and the remedy, and leaves what was there as it was.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     first = put(Path(folder, "out", "2025.html"), b"one")
    ...     again = put(Path(folder, "out", "2025.html"), b"another")
    ...     first.replaced, again.replaced, Path(folder, "out", "2025.html").read_text()
    (False, True, 'another')
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        before = atomic_write.content(path)
        if before != data:
            atomic_write.replace(path, data, before)
    except atomic_write.ChangedError:
        raise ExportError(
            f'"{path}" was changed by another program just now and is as that left it; try again'
        ) from None
    except OSError as error:
        raise ExportError(f'"{path}" could not be written ({error.strerror}){_remedy(error, path)}') from None
    return Placed(path=path, size=len(data), replaced=before is not None and before != data)


def put_all(folder: Path, files: Mapping[str, bytes]) -> list[Placed]:
    """Put a folder of files in place, in the order of their names; other files there stay.

    Raises ExportError where one cannot be written: that one is as it was, and the message says how many were put
    in place before it.

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
            raise ExportError(f"{error}; {len(placed)} of {len(files)} files are in place") from None
    return placed


def sized(size: int) -> str:
    """A number of bytes, in the units of the International System (1 kB = 1,000 bytes).

    >>> sized(310), sized(48_200), sized(3_260_000)
    ('310 bytes', '48 kB', '3.3 MB')
    """
    if size < 1_000:
        return f"{size} bytes"
    return f"{size / 1_000:.0f} kB" if size < 999_500 else f"{size / 1_000_000:.1f} MB"


def _remedy(error: OSError, path: Path) -> str:
    """What to do about it; where there is a file already, that it is untouched."""
    kept = "; the file that is there is as it was" if path.is_file() else ""
    match error.errno:
        case errno.ENOSPC | errno.EDQUOT | errno.EFBIG:
            return f"{kept}; make room, or write to another disk with --to"
        case errno.EISDIR | errno.ENOTDIR | errno.EEXIST:
            return "; a folder and a file have the same name there: choose another place with --to"
        case errno.ENAMETOOLONG:
            return "; choose a shorter name with --to"
    return f"{kept}; choose another place with --to"
