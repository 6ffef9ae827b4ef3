"""The command `duskbook try`: its arguments and options. The work is in `example_copy`."""

from __future__ import annotations

from pathlib import Path

import click

from journal.commands import command_help
from journal.commands.number_arguments import Port
from journal.commands.path_arguments import Folder


@command_help.command("try")
@click.argument("folder", type=Folder(), required=False)
@click.option("--port", type=Port(), metavar="PORT", help="Listen here, or on the next free port.")
@click.option("--no-browser", is_flag=True, help="Only print the address.")
def try_out(*, folder: Path | None, port: int | None, no_browser: bool) -> None:
    """Open a copy of the example year, the 2025 of an invented bookbinder, on its last evening.

    Change what you like. Without FOLDER the copy is removed when you end the command. In FOLDER, a new folder, it
    stays.

    \b
    duskbook try
    duskbook try example
    """
    from journal.commands import example_copy

    example_copy.open_copy(folder, port, not no_browser)
