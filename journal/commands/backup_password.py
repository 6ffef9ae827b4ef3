"""The password of a backup: typed without being shown, or the first line of a file."""

from __future__ import annotations

from pathlib import Path

import click

from journal.backup import opened_backup
from journal.commands.import_files import is_terminal
from journal.errors import UsageError
from journal.folder import plain_file

_SIZE_LIMIT = 10_000  # bytes of a password file


def chosen(is_asked: bool, file: Path | None) -> str | None:
    """The password of a new backup, typed twice if it is asked for, None for none. Raises UsageError."""
    if is_asked and file is not None:
        raise UsageError("--password and --password-file do not go together; leave one out")
    if file is not None:
        return _of_file(file)
    return _asked("Password of the backup", confirm=True) if is_asked else None


def of(source: Path, file: Path | None) -> str | None:
    """The password of a backup that is there, None if it has none. Raises UsageError."""
    if file is not None:
        return _of_file(file)
    return _asked(f'Password of "{source}"', confirm=False) if opened_backup.is_encrypted(source) else None


def _asked(question: str, *, confirm: bool) -> str:
    if not is_terminal():
        raise UsageError("a password is needed and there is no terminal to ask on; name a file with --password-file")
    again = "The same once more" if confirm else False
    # click asks again for an empty answer by itself.
    return str(click.prompt(question, hide_input=True, confirmation_prompt=again))


def _of_file(file: Path) -> str:
    try:
        text = plain_file.read(file, _SIZE_LIMIT).decode()
    except OSError as error:
        raise UsageError(f'--password-file: "{file}" cannot be read ({error.strerror}); name another') from None
    except UnicodeDecodeError:
        raise UsageError(f'--password-file: "{file}" is not UTF-8 text; write the password on its first line') from None
    password = text.partition("\n")[0].removesuffix("\r").removeprefix("\ufeff")
    if not password:
        raise UsageError(f'--password-file: the first line of "{file}" is empty; write the password there')
    return password
