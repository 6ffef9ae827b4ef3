"""The password of a backup: typed without being shown, or the first line of a file."""

from __future__ import annotations

from pathlib import Path

from journal.backup import opened_backup
from journal.commands import terminal_questions
from journal.commands.import_files import is_terminal
from journal.errors import UsageError
from journal.folder import plain_file
from journal.language.catalogue import _

_SIZE_LIMIT = 10_000  # bytes of a password file


def chosen(is_asked: bool, file: Path | None) -> str | None:
    """The password of a new backup, typed twice if it is asked for, None for none. Raises UsageError."""
    if is_asked and file is not None:
        raise UsageError(_("--password and --password-file do not go together; leave one out"))
    if file is not None:
        return _of_file(file)
    return _asked(_("Password of the backup"), twice=True) if is_asked else None


def of(source: Path, file: Path | None) -> str | None:
    """The password of a backup that is there, None if it has none. Raises UsageError."""
    if file is not None:
        return _of_file(file)
    if not opened_backup.is_encrypted(source):
        return None
    return _asked(_('Password of "{file}"', file=source), twice=False)


def _asked(question: str, *, twice: bool) -> str:
    if not is_terminal():
        raise UsageError(_("a password is needed and there is no terminal to ask on; name a file with --password-file"))
    return terminal_questions.password(question, twice=twice)


def _of_file(file: Path) -> str:
    try:
        text = plain_file.read(file, _SIZE_LIMIT).decode()
    except OSError as error:
        text = _('--password-file: "{file}" cannot be read ({reason}); name another')
        raise UsageError(text.format(file=file, reason=error.strerror)) from None
    except UnicodeDecodeError:
        text = _('--password-file: "{file}" is not UTF-8 text; write the password on its first line')
        raise UsageError(text.format(file=file)) from None
    password = text.partition("\n")[0].removesuffix("\r").removeprefix("\ufeff")
    if not password:
        text = _('--password-file: the first line of "{file}" is empty; write the password there')
        raise UsageError(text.format(file=file))
    return password
