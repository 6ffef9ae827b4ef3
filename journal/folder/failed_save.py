"""What is told of a page that could not be saved: the reason with its remedy, and the typed text."""

from __future__ import annotations

import errno
from pathlib import Path

from journal.folder import toml_format
from journal.folder.faults import key_text
from journal.folder.three_way_merge import REMOVE, Changes


def typed_text(changes: Changes) -> str:
    """Return the changes as text, so that a failed save loses nothing."""
    lines = []
    for path, value in changes.items():
        try:
            lines.append(
                f"{key_text(path)} = {toml_format.value(value)}" if value is not REMOVE else f"# no {key_text(path)}"
            )
        except TypeError:
            lines.append(f"# {key_text(path)}: {value!r}")
    return "\n".join(lines)


_REASONS = {
    errno.ENOSPC: ("the disk is full", "make room"),
    errno.EDQUOT: ("the disk is full", "make room"),
    errno.EFBIG: ("the file would be too large for the disk", "make room"),
    errno.EACCES: ("there is no write permission", "allow your user to write it"),
    errno.EPERM: ("there is no write permission", "allow your user to write it"),
    errno.EROFS: ("the drive is read-only", "make it writable"),
    errno.ENOENT: ("its folder is gone", "bring the folder back"),
}


def uncertain(folder: Path, path: str, error: OSError) -> str:
    """Return what is told of a page that may be saved or not, because it cannot be read after an error."""
    return (
        f'it is not certain whether "{folder / path}" is saved ({error.strerror or error}); '
        "check its location, then open it again"
    )


def gone(folder: Path, path: str) -> str:
    """Return what is told of a page whose folder has vanished, as a drive that was taken out."""
    return reason_of(folder, path, OSError(errno.ENOENT, ""))


def reason_of(folder: Path, path: str, error: OSError) -> str:
    """Return why a page is not saved, with the remedy, from the error of the system."""
    cause, remedy = _REASONS.get(error.errno or 0, (error.strerror or str(error), "check its location"))
    return f'"{folder / path}" is not saved: {cause}; {remedy}, then save again'
