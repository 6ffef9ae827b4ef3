"""The command `menu`: an entry in the desktop's menu that opens tonight's page without a terminal."""

from __future__ import annotations

import click

from journal.commands import command_help
from journal.commands.arguments import journal_argument, journal_folder
from journal.commands.usage_errors import say
from journal.language.catalogue import _


@command_help.command()
@journal_argument
@click.option("--remove", is_flag=True, help="Take the entry out again.")
def menu(folder: str | None, remove: bool) -> None:
    """Put an entry for the journal into the desktop's menu. It opens the evening page, without a terminal.

    If the journal is open already, its page comes up in the browser. The program ends ten minutes after its last page
    was closed. Write the entry anew when the folder or the program has moved.

    \b
    duskbook menu my-journal
    duskbook menu my-journal --remove
    """
    from journal.commands import menu_files
    from journal.folder import reading

    place = journal_folder(folder, "menu")
    entry = menu_files.entry_of(place, reading.read_settings(place).settings.title)
    if remove:
        for path in menu_files.remove(entry):
            say(_("Removed {file}", file=path))
    else:
        for path in menu_files.add(entry):
            say(_("Wrote {file}", file=path))
