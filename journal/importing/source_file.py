"""The file that is to be brought in: its bytes, and its text where it is text; refused where it is none."""

from __future__ import annotations

import codecs
import stat
from pathlib import Path

from journal.errors import UsageError
from journal.folder.discover import irregular, shown, unreadable
from journal.folder.faults import nearest

SIZE_LIMIT = 25_000_000
"""Bytes. A row a day has some 300 for a full one, so this is two hundred years of them; our own table of marks takes
700,000 a year for ten habits and 50 bytes a row."""

_WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")
"""How a ZIP archive (which .xlsx and .ods are) and a compound file (.xls) begin."""


def content(path: Path, limit: int = SIZE_LIMIT) -> bytes:
    """The bytes of a file.

    >>> content(Path("nowhere.csv"))
    Traceback (most recent call last):
    journal.errors.UsageError: there is no file "nowhere.csv"; see how it is spelt

    Raises UsageError where it is missing, no file, unreadable or larger than the limit.
    """
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise UsageError(f'"{shown(str(path))}" is {irregular(status.st_mode)}; name a file')
        if status.st_size > limit:
            raise _too_large(path, status.st_size, limit)
        with path.open("rb") as file:
            data = file.read(limit + 1)  # it may have grown
    except FileNotFoundError:
        raise UsageError(f'there is no file "{shown(str(path))}"; {_beside(path)}') from None
    except OSError as error:
        got, remedy = unreadable(error)
        raise UsageError(f'"{shown(str(path))}" cannot be read ({got}); {remedy}') from None
    if len(data) > limit:
        raise _too_large(path, len(data), limit)
    return data


def text(name: str, data: bytes) -> str:
    r"""The text of a table: UTF-8, or UTF-16 that says so with its byte order mark, which is taken off.

    >>> text("days.csv", "date;mood\n".encode("utf-16"))
    'date;mood\n'

    Raises UsageError for a workbook and for anything that is no such text.
    """
    if data.startswith(_WORKBOOKS):
        raise UsageError(f'"{name}" is a workbook (such as .xlsx or .ods); save its sheet as CSV and name that file')
    is_wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        found = data.decode("utf-16" if is_wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise UsageError(
            f'"{name}" is no text in UTF-8 (line {line} has the byte 0x{data[error.start]:02X}); '
            "save it as CSV in UTF-8 and name that file"
        ) from None
    if not found.strip():
        raise UsageError(f'"{name}" is empty; name a table with a row of headings')
    if "\0" in found:
        raise UsageError(f'"{name}" is no text; save the table as CSV in UTF-8 and name that file')
    return found


def _too_large(path: Path, size: int, limit: int) -> UsageError:
    return UsageError(
        f'"{shown(str(path))}" has {size / 1e6:,.0f} MB, and at most {limit / 1e6:.0f} are read; '
        "divide it into several files"
    )


def _beside(path: Path) -> str:
    """The file in the same folder that was probably meant."""
    try:
        names = [one.name for one in path.parent.iterdir() if one.is_file()]
    except OSError:
        names = []
    near = nearest(path.name, names)
    return f'did you mean "{shown(str(path.with_name(near)))}"?' if near else "see how it is spelt"
