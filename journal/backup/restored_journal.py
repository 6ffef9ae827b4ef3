"""Putting a backup into a new folder: whole and checked beside its place, and only then under its name."""

from __future__ import annotations

import contextlib
import datetime as dt
import errno
import os
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import msgspec

from journal.backup import contents, opened_backup, past_day, summary
from journal.backup.archive import BackupReader
from journal.backup.new_files import write_new
from journal.backup.past_day import PastDay
from journal.backup.summary import BackupSummary
from journal.errors import BackupError
from journal.folder import history, ownership
from journal.folder.file_names import SETTINGS_NAME
from journal.language import digits
from journal.language.catalogue import _
from journal.language.system_errors import reason

_OF_HISTORY = re.compile(rf"{re.escape(history.NAME)}/(?:[0-9]{{4}}/)?[^./][^/]*", re.DOTALL)
_DAY_SECONDS = 86_400


class Restored(msgspec.Struct, frozen=True):
    """What was restored: what is in the folder, and what was put back for an earlier day, if one was asked for."""

    summary: BackupSummary
    past: PastDay | None


def restore(
    source: Path, folder: Path, *, now: dt.datetime, password: str | None = None, as_of: dt.date | None = None
) -> Restored:
    """Make a journal in `folder`, which is new or empty, from the backup `source`. Return what was restored.

    With `as_of`, pages are as at the end of that day (`past_day.put`). `now` is when, for the history. Only the owner
    can enter the folder and read the files. Raises BackupError; the folder is as before then.

    >>> from journal.backup import new_backup
    >>> with tempfile.TemporaryDirectory() as name:
    ...     journal, target, again = (Path(name, part) for part in ("my-journal", "a.tar", "again"))
    ...     journal.mkdir()
    ...     _ = Path(journal, "journal.toml").write_text('title = "Spine and thread"')
    ...     _ = new_backup.write(journal, target)
    ...     restored = restore(target, again, now=dt.datetime(2025, 3, 15, tzinfo=dt.UTC))
    ...     restored.summary.others, Path(again, "journal.toml").read_text()
    (1, 'title = "Spine and thread"')
    """
    real = Path(os.path.realpath(folder))
    refuse_place(folder)
    with _beside(real, folder) as temporary:
        with opened_backup.opened(source) as file:
            _refuse_full(real.parent, os.fstat(file.fileno()).st_size, folder)
            reader = opened_backup.reader(file, password, f'"{source}"')
            _put(reader, temporary, f'"{source}"', folder)
        past = None if as_of is None else past_day.put(temporary, as_of, now=now)
        found = summary.of(contents.find(temporary).paths)
        if hasattr(os, "sync"):
            os.sync()  # one for all: one a file would take minutes
        if sys.platform == "win32" and real.exists():
            real.rmdir()
        temporary.rename(real)
    return Restored(found, past)


def refuse_place(folder: Path) -> None:
    """Raise BackupError unless a journal can be restored to this folder: it is not there, or empty."""
    real = Path(os.path.realpath(folder))
    try:
        if not real.parent.is_dir():
            raise BackupError(_('there is no folder "{path}"; name one that is there', path=real.parent))
        if not os.path.lexists(real):
            return
        if not real.is_dir():
            raise BackupError(_('"{path}" is a file; name a folder to make, e.g. "restored"', path=folder))
        if next(real.iterdir(), None) is not None:
            raise BackupError(
                _('"{path}" has files, which stay as they are; name a new folder, e.g. "restored"', path=folder)
            )
    except OSError as error:
        raise _not_written(folder, error) from None


def _not_written(folder: Path, error: OSError) -> BackupError:
    return BackupError(
        _('folder "{path}" cannot be written ({reason}); name another', path=folder, reason=reason(error))
    )


@contextlib.contextmanager
def _beside(real: Path, folder: Path) -> Iterator[Path]:
    """Make a folder beside the one to come. What the body does not rename is removed."""
    try:
        _sweep(real)
        temporary = Path(tempfile.mkdtemp(prefix=f".{real.name}.", suffix=".restoring", dir=real.parent))
        try:
            if hasattr(os, "O_DIRECTORY"):
                handle = os.open(temporary, os.O_RDONLY)
                ownership.follow(handle, real.parent.stat())
                os.close(handle)
            yield temporary
        finally:
            shutil.rmtree(temporary, ignore_errors=True)
    except OSError as error:
        raise _not_written(folder, error) from None


def _sweep(real: Path) -> None:
    """Remove what killed processes left beside the folder more than a day ago."""
    shape = re.compile(rf"\.{re.escape(real.name)}\.[a-z0-9_]{{8}}\.restoring")
    for path in real.parent.iterdir():
        is_ours = shape.fullmatch(path.name) is not None and path.is_dir() and not path.is_symlink()
        if is_ours and abs(time.time() - path.stat().st_mtime) > _DAY_SECONDS:
            shutil.rmtree(path, ignore_errors=True)


def _refuse_full(parent: Path, size: int, folder: Path) -> None:
    if shutil.disk_usage(parent).free < size:
        raise BackupError(
            _(
                'there is no room for "{path}": the backup has {count} bytes; name a place on another disk',
                path=folder,
                count=digits.number(size),
            )
        )


def _put(reader: BackupReader, top: Path, told: str, folder: Path) -> None:
    """Write every file of a backup below a new folder. Nothing there is overwritten."""
    if SETTINGS_NAME not in reader.digests:
        raise BackupError(
            _("{told} is no backup of a journal: it has no {path}; name another", told=told, path=SETTINGS_NAME)
        )
    for path in reader.digests:
        if not _is_own(path):
            raise BackupError(
                _(
                    '{told} has the file "{path}", which no backup of Duskbook has; nothing is restored',
                    told=told,
                    path=path,
                )
            )
    for path, chunks in reader.files():
        try:
            write_new(top, path, chunks)
        except (FileExistsError, NotADirectoryError):
            raise BackupError(
                _(
                    'two files of {told} have one name where "{folder}" is, that of "{path}"; '
                    "name a folder on a drive that tells upper from lower case",
                    told=told,
                    folder=folder,
                    path=path,
                )
            ) from None
        except OSError as error:
            if error.errno in (errno.EINVAL, errno.ENAMETOOLONG, errno.EILSEQ):
                raise BackupError(
                    _('no file can be named "{path}" where "{folder}" is; name another place', path=path, folder=folder)
                ) from None
            raise


def _is_own(path: str) -> bool:
    """Return whether a backup of a journal may have a file of this path. One in `.cache`, say, would be trusted."""
    parts = path.split("/")
    is_foreign = sys.platform == "win32" and bool(re.search(r'[\\:*?"<>|\0-\x1f]|[. ](?:/|$)', path))
    is_plain = all(part and part[0] != "." for part in parts) or _OF_HISTORY.fullmatch(path) is not None
    return is_plain and "\0" not in path and not is_foreign
