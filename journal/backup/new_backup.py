"""Making a backup: beside its place, on disk, read back, and only then under its name."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import stat
import tempfile
import time
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import BinaryIO

import msgspec

from journal.backup import archive, contents, opened_backup, summary
from journal.backup.age_file import Seal
from journal.backup.archive import CHUNK, ByteTarget, MismatchError
from journal.backup.summary import BackupSummary
from journal.errors import BackupError, Problem
from journal.folder import ownership
from journal.folder.file_names import SETTINGS_NAME
from journal.folder.folder_walk import unreadable
from journal.folder.locking import write_lock
from journal.language.catalogue import _
from journal.language.system_errors import reason

_ATTEMPTS = 10
_DAY_SECONDS = 86_400


class NewBackup(msgspec.Struct, frozen=True):
    """A backup that was made and read back: its size in bytes, what it has, and a problem for each file it lacks."""

    path: Path
    size: int
    summary: BackupSummary
    left_out: tuple[Problem, ...]


def write(folder: Path, target: Path, *, replace: bool = False, password: str | None = None) -> NewBackup:
    """Write the backup of a journal to the file `target`, and compare it with the journal's files.

    With a password, it is an age file around the archive.

    Only with `replace` an existing file is replaced, in one step at the end. Raises BackupError, and WriteError if
    another Duskbook keeps writing to the journal.

    >>> with tempfile.TemporaryDirectory() as name:
    ...     journal = Path(name, "my-journal")
    ...     journal.mkdir()
    ...     _ = Path(journal, "journal.toml").write_text('title = "Spine and thread"')
    ...     made = write(journal, Path(name, "my-journal.tar"))
    ...     made.size, made.summary.others
    (10240, 1)
    """
    refuse_place(folder, target, replace)
    target = Path(os.path.realpath(target))
    try:
        _sweep(target)
        seal = None if password is None else Seal(password)
        temp_fd, temp_path = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".writing", dir=target.parent)
        try:
            with os.fdopen(temp_fd, "w+b") as file:
                digests, left_out = _filled(file, folder, seal)
                ownership.follow(temp_fd, target.parent.stat())
                _forget(file)
                size = os.fstat(temp_fd).st_size
            _read_back(Path(temp_path), target, digests, password)
            _place(temp_path, target, replace)
        finally:
            with contextlib.suppress(FileNotFoundError):
                os.unlink(temp_path)  # noqa: PTH108
    except OSError as error:
        raise BackupError(
            _('"{path}" cannot be written ({reason}); name another place', path=target, reason=reason(error))
        ) from None
    return NewBackup(target, size, summary.of(digests), tuple(left_out))


def refuse_place(folder: Path, target: Path, replace: bool) -> None:
    """Raise BackupError if no backup of a journal can be written to this file."""
    target = Path(os.path.realpath(target))
    if target.is_relative_to(os.path.realpath(folder)):
        raise BackupError(
            _('"{path}" is in the journal itself; name a place outside, best on another disk', path=target)
        )
    if not target.parent.is_dir():
        raise BackupError(_('there is no folder "{path}"; name one that is there', path=target.parent))
    if os.path.lexists(target):
        if not stat.S_ISREG(target.lstat().st_mode):
            raise BackupError(_('"{path}" is no file; name a file or a folder', path=target))
        if not replace:
            raise _is_there(target)


def _is_there(target: Path) -> BackupError:
    return BackupError(
        _('"{path}" is there already and stays as it is; name another file, or add --yes to replace it', path=target)
    )


def _filled(file: BinaryIO, folder: Path, seal: Seal | None) -> tuple[dict[str, str], list[Problem]]:
    """Write the archive. Return the digests, and a problem for each file it lacks.

    Begins again when a file is changed meanwhile.
    """
    path = ""
    for _attempt in range(_ATTEMPTS):
        file.seek(0)
        file.truncate()
        try:
            with contextlib.nullcontext(file) if seal is None else seal.writing(file) as out:
                filled = _fill(out, folder)
            file.flush()
            return filled
        except MismatchError as error:
            path = str(error)
    raise BackupError(
        _('"{path}" changes while it is read; end what writes to it, and back up again', path=folder / path)
    )


def _fill(out: ByteTarget, folder: Path) -> tuple[dict[str, str], list[Problem]]:
    """Write the archive. Raises MismatchError with the path of a file that is changed meanwhile.

    The lock is held while text is read, so that a save of several pages is in it whole. Pictures are read without it:
    a save would wait for them.
    """
    early = contents.find(folder).others
    known = _read(folder, early)[0]
    with contextlib.ExitStack() as locked:
        locked.enter_context(write_lock(folder))
        found = contents.find(folder)
        later = [path for path, state in found.others.items() if path not in known or early[path] != state]
        texts, lost = _read(folder, found.texts)
        others, more = _read(folder, later)
        if SETTINGS_NAME not in texts:
            raise BackupError(
                _(
                    '"{path}" cannot be read as a plain file, and without it no backup could be restored; put the file '
                    "itself in its place",
                    path=folder / SETTINGS_NAME,
                )
            )
        known |= others
        unread = set(later) - others.keys()
        files = texts | {path: known[path] for path in found.others if path not in unread}
        digests = {path: digest for path, (_size, digest) in files.items()}
        archive.write(out, _files(folder, files, len(texts), locked), digests)
    return digests, sorted([*found.left_out, *lost, *more])


def _read(folder: Path, paths: Iterable[str]) -> tuple[dict[str, tuple[int, str]], list[Problem]]:
    """Return the length and digest of each file, and a problem for each that cannot be read."""
    read: dict[str, tuple[int, str]] = {}
    problems = []
    for path in paths:
        digest, size = hashlib.sha256(), 0
        try:
            for chunk in contents.chunks(folder, path, CHUNK):
                digest.update(chunk)
                size += len(chunk)
            read[path] = size, digest.hexdigest()
        except FileNotFoundError:
            raise MismatchError(path) from None
        except OSError as error:
            problems.append(contents.left_out(path, *unreadable(error)))
    return read, problems


def _files(
    folder: Path, files: Mapping[str, tuple[int, str]], texts: int, locked: contextlib.ExitStack
) -> Iterator[tuple[str, int, Iterator[bytes]]]:
    """Yield each file. Behind the texts, the lock is given back."""
    for number, (path, (size, _digest)) in enumerate(files.items()):
        if number == texts:
            locked.close()
        yield path, size, _chunks(folder, path)


def _chunks(folder: Path, path: str) -> Iterator[bytes]:
    try:
        yield from contents.chunks(folder, path, CHUNK)
    except OSError:
        raise MismatchError(path) from None


def _forget(file: BinaryIO) -> None:
    """Flush the file to disk, and let the system forget it where it can, so that it is read from there."""
    file.flush()
    os.fsync(file.fileno())
    if hasattr(os, "posix_fadvise"):
        with contextlib.suppress(OSError):
            os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)


def _read_back(path: Path, target: Path, digests: dict[str, str], password: str | None) -> None:
    """Compare what stands in the file with what was read from the journal. Raises BackupError."""
    try:
        with path.open("rb") as file:
            reader = opened_backup.reader(file, password, f'"{target}"')
            for _file in reader.files():
                pass
        is_same = reader.digests == digests
    except BackupError:
        is_same = False
    if not is_same:
        raise BackupError(
            _('"{path}" is not what was written when it is read back; name a place on another disk', path=target)
        )


def _place(temp_path: str, target: Path, replace: bool) -> None:
    """Give the file its name. Without `replace`, a file that came there meanwhile stays."""
    if replace:
        os.replace(temp_path, target)  # noqa: PTH105
    else:
        try:
            os.link(temp_path, target)
        except FileExistsError:
            raise _is_there(target) from None
        except OSError:  # a drive without hard links
            if os.path.lexists(target):
                raise _is_there(target) from None
            os.replace(temp_path, target)  # noqa: PTH105
    with contextlib.suppress(OSError):
        handle = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _sweep(target: Path) -> None:
    """Remove what killed processes left beside the target more than a day ago."""
    shape = re.compile(rf"\.{re.escape(target.name)}\.[a-z0-9_]{{8}}\.writing")
    with os.scandir(target.parent) as entries:
        for entry in entries:
            if shape.fullmatch(entry.name) and entry.is_file(follow_symlinks=False):
                with contextlib.suppress(OSError):
                    if abs(time.time() - entry.stat().st_mtime) > _DAY_SECONDS:
                        os.unlink(entry.path)  # noqa: PTH108
