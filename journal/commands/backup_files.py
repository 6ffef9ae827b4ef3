"""The work of `duskbook backup` and `duskbook restore`: the questions before, and what is said afterwards."""

from __future__ import annotations

from pathlib import Path

import click

from journal.backup import new_backup, restored_journal
from journal.backup.summary import BackupSummary
from journal.commands import check, clock
from journal.commands.import_files import is_terminal
from journal.commands.open_journal import open_journal
from journal.commands.usage_errors import FINE, PROBLEMS, say
from journal.export.write_files import sized
from journal.folder.opened_files import OpenedFiles
from journal.wording import numbers


def backup(target: Path, folder: Path, *, yes: bool) -> int:
    """Write a backup of a journal. Returns the exit code, 1 if a file could not be in it."""
    if target.is_dir():
        today = clock.today(OpenedFiles(folder).basis.settings)
        target /= f"{folder.resolve().name}-{today}.tar"
    replace = yes
    if target.is_file() and not yes and is_terminal():
        replace = click.confirm(f'"{target}" is there already. Replace it?')
        if not replace:
            say("Nothing is written.")
            return FINE
    made = new_backup.write(folder, target, replace=replace)
    say(f"Wrote {target}: {_contents(made.summary)}, {sized(made.size)}.")
    say("It was read back from disk: every file in it is as in the journal.")
    for problem in made.left_out:
        say(f"duskbook: {problem}", err=True)
    return PROBLEMS if made.left_out else FINE


def restore(source: Path, folder: Path) -> int:
    """Make a journal from a backup. Returns the exit code."""
    restored_journal.refuse_place(folder)
    summary = restored_journal.restore(source, folder)
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
