"""The command `duskbook upgrade`: its arguments and what it prints. The work is in `folder.format_upgrade`.

No list of commands has it as long as there is one format only (`cli.duskbook.unlisted`).
"""

from __future__ import annotations

import click

from journal.commands import command_help
from journal.commands.arguments import journal_folder
from journal.commands.usage_errors import say
from journal.language.catalogue import _


@command_help.command("upgrade")
@click.argument("folder", required=False)
def upgrade(*, folder: str | None) -> None:
    """Bring the files of a journal of an earlier format to the format of this Duskbook.

    Comments, order and blank lines stay, and every page is kept as it was: see history.

    \b
    duskbook upgrade my-journal
    """
    from journal.commands import clock
    from journal.folder import check_settings, format_upgrade

    paths = format_upgrade.upgrade(journal_folder(folder, "upgrade"), now=clock.now())
    for path in paths:
        say(_("Wrote {file}", file=path))
    if not paths:
        text = _("The journal has format {format}, which this Duskbook writes. Nothing is changed.")
        say(text.format(format=check_settings.FORMAT))
