"""Putting a backup into a new folder: whole and checked beside its place, and only then under its name."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from journal.backup import opened_backup, summary
from journal.backup.archive import BackupReader
from journal.backup.summary import BackupSummary
from journal.errors import BackupError
from journal.folder import atomic_write, history, ownership
from journal.folder.file_names import SETTINGS_NAME

_OF_HISTORY = re.compile(rf"{re.escape(history.NAME)}/(?:[0-9]{{4}}/)?[^./][^/]*", re.DOTALL)
_NEW_FILE = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)


def restore(source: Path, folder: Path, *, password: str | None = None) -> BackupSummary:
    """Make a journal in `folder`, which is new or empty, from the backup `source`. Return what was restored.

    Only the owner can enter the folder and read the files. Raises BackupError; the folder is as before then.

    >>> from journal.backup import new_backup
    >>> with tempfile.TemporaryDirectory() as name:
    ...     journal, target, again = (Path(name, part) for part in ("my-journal", "a.tar", "again"))
    ...     journal.mkdir()
    ...     _ = Path(journal, "journal.toml").write_text('title = "Spine and thread"')
    ...     _ = new_backup.write(journal, target)
    ...     restore(target, again).others, Path(again, "journal.toml").read_text()
    (1, 'title = "Spine and thread"')
    """
    real = Path(os.path.realpath(folder))
    refuse_place(folder)
    with _beside(real, folder) as temporary:
        with opened_backup.opened(source) as file:
            _refuse_full(real.parent, os.fstat(file.fileno()).st_size, folder)
            reader = opened_backup.reader(file, password, f'"{source}"')
            _put(reader, temporary, f'"{source}"', folder)
        if hasattr(os, "sync"):
            os.sync()  # one for all: one a file would take minutes
        if sys.platform == "win32" and real.exists():
            real.rmdir()
        temporary.rename(real)
    return summary.of(reader.digests)


def refuse_place(folder: Path) -> None:
    """Raise BackupError unless a journal can be restored to this folder: it is not there, or empty."""
    real = Path(os.path.realpath(folder))
    try:
        if not real.parent.is_dir():
            raise BackupError(f'there is no folder "{real.parent}"; name one that is there')
        if not os.path.lexists(real):
            return
        if not real.is_dir():
            raise BackupError(f'"{folder}" is a file; name a folder to make, e.g. "restored"')
        if next(real.iterdir(), None) is not None:
            raise BackupError(f'"{folder}" has files, which stay as they are; name a new folder, e.g. "restored"')
    except OSError as error:
        raise _not_written(folder, error) from None


def _not_written(folder: Path, error: OSError) -> BackupError:
    return BackupError(f'folder "{folder}" cannot be written ({error.strerror or error}); name another')


@contextlib.contextmanager
def _beside(real: Path, folder: Path) -> Iterator[Path]:
    """Make a folder beside the one to come. What the body does not rename is removed."""
    try:
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


def _refuse_full(parent: Path, size: int, folder: Path) -> None:
    if shutil.disk_usage(parent).free < size:
        raise BackupError(
            f'there is no room for "{folder}": the backup has {size:,} bytes; name a place on another disk'
        )


def _put(reader: BackupReader, top: Path, told: str, folder: Path) -> None:
    """Write every file of a backup below a new folder. Nothing there is overwritten."""
    if SETTINGS_NAME not in reader.digests:
        raise BackupError(f"{told} is no backup of a journal: it has no {SETTINGS_NAME}; name another")
    for path in reader.digests:
        if not _is_own(path):
            raise BackupError(f'{told} has the file "{path}", which no backup of Duskbook has; nothing is restored')
    for path, chunks in reader.files():
        target = top / path
        try:
            _make_folders(top, target.parent)
            handle = os.open(target, _NEW_FILE, 0o600)
            with os.fdopen(handle, "wb") as file:
                ownership.follow(handle, top.stat())
                for chunk in chunks:
                    file.write(chunk)
        except (FileExistsError, NotADirectoryError):
            raise BackupError(
                f'two files of {told} have one name where "{folder}" is, that of "{path}"; '
                "name a folder on a drive that tells upper from lower case"
            ) from None
        except OSError as error:
            if error.errno in (errno.EINVAL, errno.ENAMETOOLONG, errno.EILSEQ):
                raise BackupError(f'no file can be named "{path}" where "{folder}" is; name another place') from None
            raise


def _make_folders(top: Path, folder: Path) -> None:
    if folder != top and not folder.is_dir():
        _make_folders(top, folder.parent)
        atomic_write.make_folder(folder)
        if not folder.is_dir():
            raise NotADirectoryError(errno.ENOTDIR, "not a folder", str(folder))


def _is_own(path: str) -> bool:
    """Return whether a backup of a journal may have a file of this path. One in `.cache`, say, would be trusted."""
    parts = path.split("/")
    is_foreign = sys.platform == "win32" and bool(re.search(r'[\\:*?"<>|\0-\x1f]|[. ](?:/|$)', path))
    is_plain = all(part and part[0] != "." for part in parts) or _OF_HISTORY.fullmatch(path) is not None
    return is_plain and "\0" not in path and not is_foreign
