"""Reading of the file to import: its bytes, and its text if it is a text."""

from __future__ import annotations

import codecs
import stat
from pathlib import Path

from journal.errors import UsageError
from journal.folder.faults import nearest
from journal.folder.folder_walk import shown, unreadable
from journal.folder.plain_file import irregular
from journal.language import digits
from journal.language.catalogue import _

SIZE_LIMIT = 25_000_000
"""Bytes. At some 300 for a full row per day, this is two hundred years. Our own table of marks has some 40 bytes a row,
or 150,000 a year for ten habits."""

_WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")
"""The first bytes of a ZIP archive (which .xlsx and .ods are) and of a compound file (.xls)."""


def content(path: Path, limit: int = SIZE_LIMIT) -> bytes:
    """Return the bytes of a file.

    >>> content(Path("nowhere.csv"))
    Traceback (most recent call last):
    journal.errors.UsageError: there is no file "nowhere.csv"; see how it is spelt

    Raises UsageError if it is missing, irregular, unreadable or larger than the limit.
    """
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise UsageError(
                _('"{path}" is {kind}; name a file', path=shown(str(path)), kind=irregular(status.st_mode))
            )
        if status.st_size > limit:
            raise _too_large(path, status.st_size, limit)
        with path.open("rb") as file:
            data = file.read(limit + 1)  # it can have grown since
    except FileNotFoundError:
        raise UsageError(
            _('there is no file "{path}"; {remedy}', path=shown(str(path)), remedy=_suggestion(path))
        ) from None
    except OSError as error:
        got, remedy = unreadable(error)
        raise UsageError(
            _('"{path}" cannot be read ({got}); {remedy}', path=shown(str(path)), got=got, remedy=remedy)
        ) from None
    if len(data) > limit:
        raise _too_large(path, len(data), limit)
    return data


def text(name: str, data: bytes) -> str:
    r"""Return the text of a table: UTF-8, or UTF-16 with a byte order mark, which is removed.

    >>> text("days.csv", "date;mood\n".encode("utf-16"))
    'date;mood\n'

    Raises UsageError for a workbook and for anything else that is not such a text.
    """
    if data.startswith(_WORKBOOKS):
        raise UsageError(
            _('"{name}" is a workbook (such as .xlsx or .ods); save its sheet as CSV and name that file', name=name)
        )
    is_wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        decoded = data.decode("utf-16" if is_wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        line, byte = data.count(b"\n", 0, error.start) + 1, f"0x{data[error.start]:02X}"
        raise UsageError(
            _(
                '"{name}" is no text in UTF-8 (line {line} has the byte {byte}); save it as CSV in UTF-8 and name that '
                "file",
                name=name,
                line=line,
                byte=byte,
            )
        ) from None
    if not decoded.strip():
        raise UsageError(_('"{name}" is empty; name a table with a row of headings', name=name))
    if "\0" in decoded:
        raise UsageError(_('"{name}" is no text; save the table as CSV in UTF-8 and name that file', name=name))
    return decoded


def _too_large(path: Path, size: int, limit: int) -> UsageError:
    return UsageError(
        _(
            '"{path}" has {count} MB, and at most {most} are read; divide it into several files',
            path=shown(str(path)),
            count=digits.number(size / 1e6, 0),
            most=digits.number(limit / 1e6, 0),
        )
    )


def _suggestion(path: Path) -> str:
    """Return a suggestion of a similar file name in the same folder."""
    try:
        names = [entry.name for entry in path.parent.iterdir() if entry.is_file()]
    except OSError:
        names = []
    near = nearest(path.name, names)
    if not near:
        return _("see how it is spelt")
    return _('did you mean "{path}"?', path=shown(str(path.with_name(near))))
