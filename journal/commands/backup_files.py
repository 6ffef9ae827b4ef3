"""The work of `duskbook backup` and `duskbook restore`: the questions before, and what is said afterwards."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from journal.backup import new_backup, restored_journal
from journal.backup.past_day import PastDay
from journal.backup.summary import BackupSummary
from journal.commands import backup_password, check, clock
from journal.commands.import_files import is_terminal
from journal.commands.open_journal import open_journal
from journal.commands.usage_errors import FINE, PROBLEMS, say
from journal.export.write_files import sized
from journal.folder import unseen_states
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
    unseen_states.keep_all(OpenedFiles(folder), now=clock.now())
    made = new_backup.write(folder, target, replace=replace, password=password)
    say(f"Wrote {target}: {_contents(made.summary)}, {sized(made.size)}.")
    opened = "" if password is None else " and opened with the password"
    say(f"It was read back from disk{opened}: every file in it is as in the journal.")
    for problem in made.left_out:
        say(f"duskbook: {problem}", err=True)
    return PROBLEMS if made.left_out else FINE


def restore(source: Path, folder: Path, day: dt.date | None, *, password_file: Path | None) -> int:
    """Make a journal from a backup. Returns the exit code."""
    restored_journal.refuse_place(folder)
    password = backup_password.of(source, password_file)
    restored = restored_journal.restore(source, folder, now=clock.now(), password=password, as_of=day)
    if restored.past is None:
        say(f"Restored {_contents(restored.summary)} to {folder}. Every file is as it was backed up.")
    else:
        say(f"Restored {_contents(restored.summary)} to {folder}, as of {day}. {_of_past(restored.past)}")
    opened = open_journal(folder)
    problems = check.report(opened)
    where = f' "duskbook check {folder}" tells where.' if problems else ""
    say(f"{check.verdict(opened, len(problems))}{where}")
    return FINE


def _of_past(past: PastDay) -> str:
    """What was put back for an earlier day, in words."""
    counts = (
        (past.put_back, "page is as it was then", "pages are as they were then"),
        (past.left_out, "page was not there then and is left out", "pages were not there then and are left out"),
    )
    parts = [numbers.plural(len(keys), one, many) for keys, one, many in counts if keys]
    if past.unknown:
        parts.append(f"of {numbers.plural(len(past.unknown), 'file')} no state is kept: as in the backup")
    if past.elsewhere:
        changed = numbers.plural(len(past.elsewhere), "page")
        parts.append(f"{changed} changed elsewhere since, at a time that is not known: as last saved, see its history")
    return f"{'; '.join(parts)}." if parts else "Nothing was changed since: every file is as it was backed up."


def _contents(summary: BackupSummary) -> str:
    """What is in a backup, in words."""
    days = f", {summary.first} to {summary.last}" if summary.first else ""
    return f"{numbers.plural(summary.pages, 'page')}{days}, and {numbers.plural(summary.others, 'other file')}"
