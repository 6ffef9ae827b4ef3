"""Writes the files of a new journal (`new_journal_text`). Existing files are never overwritten."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from journal.errors import FolderError
from journal.folder import atomic_write, ownership
from journal.folder.new_journal_text import Beginning, settings_text, undated_text
from journal.language import system_errors
from journal.language.catalogue import N_, _

SETTINGS_FILE, UNDATED_FILE = "journal.toml", "undated.toml"


def begin(folder: Path, beginning: Beginning) -> list[Path]:
    """Make the folder if it is missing, and write its first files. Return the paths written.

    Only its owner can enter a folder that is new or was empty; one that has other files keeps its permissions. Each
    file is written atomically. An existing file stays as it is. Raises FolderError, with the remedy, if the folder is a
    journal already or cannot be written.
    """
    refuse_if_begun(folder)
    written = []
    try:
        _make_private(folder)
        with contextlib.suppress(FileExistsError):
            written.append(_write_new(folder / UNDATED_FILE, undated_text(beginning.language)))
        # Last, since it is what makes the folder a journal.
        written.append(_write_new(folder / SETTINGS_FILE, settings_text(beginning)))
    except FileExistsError:
        refuse_if_begun(folder)
        text = N_('"{folder}" is in the way: a file has that name; name another folder')
        raise FolderError(_(text, folder=folder)) from None
    except (OSError, ValueError) as error:
        text = N_('folder "{folder}" cannot be written ({reason}); name another')
        raise FolderError(_(text, folder=folder, reason=system_errors.reason(error))) from None
    return written


def refuse_if_begun(folder: Path) -> None:
    """Raise FolderError if the folder is a journal already, or is not a folder."""
    try:
        if os.path.lexists(folder / SETTINGS_FILE):
            text = N_(
                '"{folder}" is a journal already and stays as it is; open it with "duskbook evening {folder}", '
                "or name another folder"
            )
            raise FolderError(_(text, folder=folder))
        if folder.exists() and not folder.is_dir():
            raise FolderError(_('"{folder}" is a file; name a folder to make, e.g. "my-journal"', folder=folder))
    except (OSError, ValueError) as error:
        text = N_('folder "{folder}" cannot be read ({reason}); name another')
        raise FolderError(_(text, folder=folder, reason=system_errors.reason(error))) from None


def _make_private(folder: Path) -> None:
    try:
        atomic_write.make_folder(folder)
    except FileNotFoundError:
        folder.parent.mkdir(parents=True, exist_ok=True)
        atomic_write.make_folder(folder)
    with os.scandir(folder) as entries:
        is_empty = next(entries, None) is None
    if is_empty:
        with contextlib.suppress(OSError):  # a folder of another user, or a drive without permissions
            folder.chmod(0o700)


def _write_new(path: Path, text: str) -> Path:
    """Write a file that must not exist yet: to a temp file first, then into place in one step."""
    temp_fd, temp_path = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".writing", dir=path.parent)
    try:
        # mkstemp gives mode 0600, and that is right: a journal is private.
        with os.fdopen(temp_fd, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            ownership.follow(temp_fd, path.parent.stat())
            os.fsync(file.fileno())
        try:
            os.link(temp_path, path)  # unlike a rename, never replaces a file
        except FileExistsError:
            raise
        except OSError:  # a file system without hard links
            with path.open("x", encoding="utf-8", newline="\n") as file:
                file.write(text)
    finally:
        Path(temp_path).unlink(missing_ok=True)
    return path
