"""What is told of a page that could not be saved: the reason with its remedy, and the typed text."""

from __future__ import annotations

import errno
from pathlib import Path

from journal.folder import toml_format
from journal.folder.faults import key_text
from journal.folder.three_way_merge import REMOVE, Changes
from journal.language import system_errors
from journal.language.catalogue import N_, _


def typed_text(changes: Changes) -> str:
    """Return the changes as text, so that a failed save loses nothing."""
    lines = []
    for path, value in changes.items():
        try:
            lines.append(
                f"{key_text(path)} = {toml_format.value(value)}"
                if value is not REMOVE
                else _("# no {key}", key=key_text(path))
            )
        except TypeError:
            lines.append(f"# {key_text(path)}: {value!r}")
    return "\n".join(lines)


_FULL = N_('"{path}" is not saved: the disk is full; make room, then save again')
_LARGE = N_('"{path}" is not saved: the file would be too large for the disk; make room, then save again')
_REFUSED = N_('"{path}" is not saved: there is no write permission; allow your user to write it, then save again')
_READ_ONLY = N_('"{path}" is not saved: the drive is read-only; make it writable, then save again')
_GONE = N_('"{path}" is not saved: its folder is gone; bring the folder back, then save again')
_REASONS = {
    errno.ENOSPC: _FULL, errno.EDQUOT: _FULL, errno.EFBIG: _LARGE, errno.EACCES: _REFUSED, errno.EPERM: _REFUSED,
    errno.EROFS: _READ_ONLY, errno.ENOENT: _GONE,
}  # fmt: skip


def uncertain(folder: Path, path: str, error: OSError) -> str:
    """Return what is told of a page that may be saved or not, because it cannot be read after an error."""
    return _(
        'it is not certain whether "{path}" is saved ({reason}); check its location, then open it again',
        path=folder / path,
        reason=system_errors.reason(error),
    )


def gone(folder: Path, path: str) -> str:
    """Return what is told of a page whose folder has vanished, as a drive that was taken out."""
    return reason_of(folder, path, OSError(errno.ENOENT, ""))


def reason_of(folder: Path, path: str, error: OSError) -> str:
    """Return why a page is not saved, with the remedy, from the error of the system."""
    if (text := _REASONS.get(error.errno or 0)) is not None:
        return _(text, path=folder / path)
    return _(
        '"{path}" is not saved: {reason}; check its location, then save again',
        path=folder / path,
        reason=system_errors.reason(error),
    )


def never_still(path: str) -> str:
    """Return what is told of a file that was changed again before each attempt to write it."""
    return _('"{path}" is being written by something else all the time; save again in a while', path=path)


def half_a_character() -> str:
    """Return what is told of a text with half of a surrogate pair."""
    return _("a text contains half a character, which no file can store; type it again")


def not_safely(path: str) -> str:
    """Return what is told of a change that no edit of the text makes."""
    return _('"{path}" is written in a way that cannot be changed safely; change it in an editor', path=path)
