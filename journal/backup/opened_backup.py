"""A backup that is opened to read, with or without a password."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from journal.backup.age_file import BEGINNING, AgeReader
from journal.backup.archive import BackupReader
from journal.errors import BackupError
from journal.folder import plain_file
from journal.language.catalogue import _
from journal.language.system_errors import reason


def is_encrypted(source: Path) -> bool:
    """Return whether a backup needs a password. Raises BackupError if it cannot be read."""
    with opened(source) as file:
        return file.read(len(BEGINNING)) == BEGINNING


@contextmanager
def opened(source: Path) -> Iterator[BinaryIO]:
    """Open a backup, which is a plain file. Raises BackupError."""
    try:
        file = plain_file.opened(source)
    except OSError as error:
        raise BackupError(
            _('"{path}" cannot be read ({reason}); name a backup', path=source, reason=reason(error))
        ) from None
    with file:
        yield file


def reader(file: BinaryIO, password: str | None, told: str) -> BackupReader:
    """Return the reader of a backup. `told` is what messages call it.

    Raises BackupError if the password is wrong, or missing.
    """
    is_sealed = file.read(len(BEGINNING)) == BEGINNING
    file.seek(0)
    source = _Source(file, told)
    if not is_sealed:
        return BackupReader(source, told)
    if password is None:
        raise BackupError(_("{told} is encrypted; it needs its password", told=told))
    return BackupReader(AgeReader(source, password, told), told)


class _Source:
    """A file that tells of itself when it cannot be read, since what reads it writes others."""

    def __init__(self, file: BinaryIO, told: str) -> None:
        self._file, self._told = file, told

    def read(self, size: int, /) -> bytes:
        try:
            return self._file.read(size)
        except OSError as error:
            raise BackupError(
                _("{told} cannot be read ({reason}); take another copy of it", told=self._told, reason=reason(error))
            ) from None
