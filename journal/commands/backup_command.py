"""The commands `duskbook backup` and `duskbook restore`: their arguments and options. The work is in `backup_files`."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from journal.commands import command_help
from journal.commands.arguments import DayParam, journal_argument, journal_folder
from journal.commands.path_arguments import Folder, Source
from journal.language.catalogue import N_


@command_help.command("backup")
@click.argument("target", type=Source(N_("../my-journal.tar")))
@journal_argument
@click.option("--yes", is_flag=True, help="Replace a file that is there without asking.")
@click.option("--password", "is_asked", is_flag=True, help="Encrypt it with a password, which is asked for twice.")
@click.option(
    "--password-file",
    type=Source(N_("password.txt")),
    metavar="FILE",
    help="Encrypt it with the password on the first line of this file.",
)
def backup(*, target: Path, folder: str | None, yes: bool, is_asked: bool, password_file: Path | None) -> int:
    """Write every file of the journal, with the earlier states of its pages, to TARGET, and read it back.

    TARGET is a file to write, or a folder, in which the file is named by the journal and today. The same journal gives
    the same bytes. It is a plain tar file, which any program for archives opens.

    With a password the file is encrypted, as the program age does it. Without the password nobody can read it: there is
    no other way in.

    \b
    duskbook backup /media/stick my-journal
    duskbook backup /media/stick/my-journal.tar my-journal --yes
    duskbook backup /media/stick my-journal --password
    """
    from journal.commands import backup_files

    place = journal_folder(folder, f"backup {target}")
    return backup_files.backup(target, place, yes=yes, is_asked=is_asked, password_file=password_file)


@command_help.command("restore")
@click.argument("source", type=Source(N_("../my-journal.tar")))
@click.argument("folder", type=Folder())
@click.option(
    "--as-of", "day", type=DayParam(), metavar="DAY", help="Restore pages as in their last kept state of this day."
)
@click.option(
    "--password-file",
    type=Source(N_("password.txt")),
    metavar="FILE",
    help="Take the password from the first line of this file.  [default: ask]",
)
def restore(*, source: Path, folder: Path, day: dt.date | None, password_file: Path | None) -> int:
    """Make a journal in FOLDER, which is new or empty, from the backup SOURCE.

    Every file is compared with its digest before anything is put in place. If the backup is encrypted, its password is
    asked for.

    With --as-of, a page is as in its last state of that day or before. A save has its moment. What an editor wrote has
    that of its file, if Duskbook saw it: while a page of the journal was open, at the next save, or at the backup. A
    page of which no state is kept is as in the backup.

    \b
    duskbook restore /media/stick/my-journal.tar restored
    duskbook restore /media/stick/my-journal.tar restored --as-of 2025-03-14
    """
    from journal.commands import backup_files

    return backup_files.restore(source, folder, day, password_file=password_file)
