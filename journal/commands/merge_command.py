"""The command `duskbook merge`: its arguments and options. The work is in `merge_copies`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from journal.commands import command_help
from journal.commands.arguments import ChoiceParam, journal_argument, journal_folder

if TYPE_CHECKING:
    from journal.folder.copy_merge import Side


@command_help.command("merge")
@journal_argument
@click.option("--only", multiple=True, metavar="COPY", help="Merge this copy only, by its path in the journal.")
@click.option(
    "--keep",
    type=ChoiceParam("side", ("page", "copy")),
    metavar="SIDE",
    help="Where they differ, take the value of the page or that of the copy: page, copy.",
)
@click.option("--yes", is_flag=True, help="Merge without asking.")
@click.option("--dry-run", is_flag=True, help="Only print what would be written.")
def merge(*, folder: str | None, only: tuple[str, ...], keep: Side | None, yes: bool, dry_run: bool) -> int:
    """Merge the copies of pages that synchronising has left, such as "2025-03-14 (1).toml", into their pages.

    Prints what each copy brings, and asks before anything is written. Where the page and its copy say two things, both
    are shown, and --keep decides. The text of a copy goes into the history of its page before the copy is removed.

    \b
    duskbook merge my-journal
    duskbook merge my-journal --keep page
    """
    from journal.commands import merge_copies

    return merge_copies.merge(journal_folder(folder, "merge"), only, keep=keep, yes=yes, dry_run=dry_run)
