"""The work of `duskbook backup` and `duskbook restore`: the questions before, and what is said afterwards."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from journal.backup import new_backup, restored_journal
from journal.backup.past_day import PastDay
from journal.backup.summary import BackupSummary
from journal.commands import backup_password, check, clock, terminal_questions
from journal.commands.import_files import is_terminal
from journal.commands.open_journal import open_journal
from journal.commands.usage_errors import FINE, PROBLEMS, say
from journal.export.write_files import sized
from journal.folder import unseen_states
from journal.folder.opened_files import OpenedFiles
from journal.language.catalogue import _, _n


def backup(target: Path, folder: Path, *, yes: bool, is_asked: bool, password_file: Path | None) -> int:
    """Write a backup of a journal. Returns the exit code, 1 if a file could not be in it."""
    if target.is_dir():
        today = clock.today(OpenedFiles(folder).basis.settings)
        target /= f"{folder.resolve().name}-{today}.tar{'.age' if is_asked or password_file is not None else ''}"
    replace = yes
    if target.is_file() and not yes and is_terminal():
        replace = terminal_questions.agreed(_('"{file}" is there already. Replace it?', file=target))
        if not replace:
            say(_("Nothing is written."))
            return FINE
    new_backup.refuse_place(folder, target, replace)
    password = backup_password.chosen(is_asked, password_file)
    unseen_states.keep_all(OpenedFiles(folder), now=clock.now())
    made = new_backup.write(folder, target, replace=replace, password=password)
    contents, size = _contents(made.summary), sized(made.size)
    say(_("Wrote {file}: {contents}, {size}.", file=target, contents=contents, size=size))
    if password is None:
        say(_("It was read back from disk: every file in it is as in the journal."))
    else:
        say(_("It was read back from disk and opened with the password: every file in it is as in the journal."))
    for problem in made.left_out:
        say(f"duskbook: {problem}", err=True)
    return PROBLEMS if made.left_out else FINE


def restore(source: Path, folder: Path, day: dt.date | None, *, password_file: Path | None) -> int:
    """Make a journal from a backup. Returns the exit code."""
    restored_journal.refuse_place(folder)
    password = backup_password.of(source, password_file)
    restored = restored_journal.restore(source, folder, now=clock.now(), password=password, as_of=day)
    if restored.past is None:
        text = _("Restored {contents} to {folder}. Every file is as it was backed up.")
        say(text.format(contents=_contents(restored.summary), folder=folder))
    else:
        text = _("Restored {contents} to {folder}, as of {day}.")
        text = text.format(contents=_contents(restored.summary), folder=folder, day=day)
        say(f"{text} {_of_past(restored.past)}")
    opened = open_journal(folder)
    problems = check.report(opened)
    where = [_('"duskbook check {folder}" tells where.', folder=folder)] if problems else []
    say(" ".join([check.verdict(opened, len(problems)), *where]))
    return FINE


def _of_past(past: PastDay) -> str:
    """What was put back for an earlier day, in words."""
    put_back, left_out, unknown, elsewhere = map(len, (past.put_back, past.left_out, past.unknown, past.elsewhere))
    parts = [
        _n("{count} page is as it was then", "{count} pages are as they were then", put_back),
        _n(
            "{count} page was not there then and is left out",
            "{count} pages were not there then and are left out",
            left_out,
        ),
        _n(
            "of {count} file no state is kept: as in the backup",
            "of {count} files no state is kept: as in the backup",
            unknown,
        ),
        _n(
            "{count} page changed elsewhere since, at a time that is not known: as last saved, see its history",
            "{count} pages changed elsewhere since, at a time that is not known: as last saved, see its history",
            elsewhere,
        ),
    ]
    told = [part for part, count in zip(parts, (put_back, left_out, unknown, elsewhere), strict=True) if count]
    return f"{'; '.join(told)}." if told else _("Nothing was changed since: every file is as it was backed up.")


def _contents(summary: BackupSummary) -> str:
    """What is in a backup, in words."""
    pages = _n("{count} page", "{count} pages", summary.pages)
    others = _n("{count} other file", "{count} other files", summary.others)
    if not summary.first:
        return _("{pages}, and {others}", pages=pages, others=others)
    text = _("{pages}, {first} to {last}, and {others}")
    return text.format(pages=pages, first=summary.first, last=summary.last, others=others)
