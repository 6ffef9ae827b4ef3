"""The work of `duskbook backup` and `duskbook restore`: the questions before, and what is said afterwards."""

from __future__ import annotations

from pathlib import Path

import click

from journal.backup import new_backup, restored_journal
from journal.backup.summary import BackupSummary
from journal.commands import backup_password, check, clock
from journal.commands.import_files import is_terminal
from journal.commands.open_journal import open_journal
from journal.commands.usage_errors import FINE, PROBLEMS, say
from journal.export.write_files import sized
from journal.folder.opened_files import OpenedFiles
from journal.wording import numbers


def backup(target: Path, folder: Path, *, yes: bool, is_asked: bool, password_file: Path | None) -> int:
    """Write a backup of a journal. Returns the exit code, 1 if a file could not be in it."""
    if target.is_dir():
        today = clock.today(OpenedFiles(folder).basis.settings)
        target /= f"{folder.resolve().name}-{today}.tar{'.age' if is_asked or password_file is not None else ''}"
    replace = yes
    if target.is_file() and not yes and is_terminal():
        replace = click.confirm(f'"{target}" is there already. Replace it?')
        if not replace:
            say("Nothing is written.")
            return FINE
    new_backup.refuse_place(folder, target, replace)
    password = backup_password.chosen(is_asked, password_file)
    made = new_backup.write(folder, target, replace=replace, password=password)
    say(f"Wrote {target}: {_contents(made.summary)}, {sized(made.size)}.")
    opened = "" if password is None else " and opened with the password"
    say(f"It was read back from disk{opened}: every file in it is as in the journal.")
    for problem in made.left_out:
        say(f"duskbook: {problem}", err=True)
    return PROBLEMS if made.left_out else FINE


def restore(source: Path, folder: Path, *, password_file: Path | None) -> int:
    """Make a journal from a backup. Returns the exit code."""
    restored_journal.refuse_place(folder)
    password = backup_password.of(source, password_file)
    summary = restored_journal.restore(source, folder, password=password)
    say(f"Restored {_contents(summary)} to {folder}. Every file is as it was backed up.")
    opened = open_journal(folder)
    problems = check.report(opened)
    where = f' "duskbook check {folder}" tells where.' if problems else ""
    say(f"{check.verdict(opened, len(problems))}{where}")
    return FINE


def _contents(summary: BackupSummary) -> str:
    """What is in a backup, in words."""
    days = f", {summary.first} to {summary.last}" if summary.first else ""
    return f"{numbers.plural(summary.pages, 'page')}{days}, and {numbers.plural(summary.others, 'other file')}"
