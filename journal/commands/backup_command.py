"""The commands `duskbook backup` and `duskbook restore`: their arguments and options. The work is in `backup_files`."""

from __future__ import annotations

from pathlib import Path

import click

from journal.commands.arguments import Folder, Source, journal_folder


@click.command("backup", short_help="Write the whole journal to one file.")
@click.argument("target", type=Source("../my-journal.tar"))
@click.argument("folder", required=False)
@click.option("--yes", is_flag=True, help="Replace a file that is there without asking.")
def backup(*, target: Path, folder: str | None, yes: bool) -> int:
    """Write every file of the journal, with the earlier states of its pages, to TARGET, and read it back.

    TARGET is a file to write, or a folder, in which the file is named by the journal and today. The same journal gives
    the same bytes. It is a plain tar file, which any program for archives opens.

    \b
    duskbook backup /media/stick my-journal
    duskbook backup /media/stick/my-journal.tar my-journal --yes
    """
    from journal.commands import backup_files

    return backup_files.backup(target, journal_folder(folder, f"backup {target}"), yes=yes)


@click.command("restore", short_help="Make a journal from a backup.")
@click.argument("source", type=Source("../my-journal.tar"))
@click.argument("folder", type=Folder())
def restore(*, source: Path, folder: Path) -> int:
    """Make a journal in FOLDER, which is new or empty, from the backup SOURCE.

    Every file is compared with its digest before anything is put in place.

    \b
    duskbook restore /media/stick/my-journal.tar restored
    """
    from journal.commands import backup_files

    return backup_files.restore(source, folder)
