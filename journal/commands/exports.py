"""The commands of `duskbook export`: what leaves the journal, one command a kind.

Every one makes all of its bytes first, then puts them in place, and says where each file is.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from journal.export.placing import Placed


@click.group(
    short_help="Make a book, sheets, text, tables or a calendar.", no_args_is_help=False, invoke_without_command=True
)
@click.pass_context
def export(context: click.Context) -> None:
    """Make files from the journal: the year as a book, sheets for a paper notebook, text, tables, a calendar.

    Files are put in the current folder, or where --to says. A file of the same name is replaced once the new one is
    whole. Nothing leaves this machine.
    """
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


def say(placed: Iterable[Placed]) -> None:
    """Where each file is, and how large."""
    for file in placed:
        click.echo(f"{file.path}  {sized(file.size)}{', replaced' if file.replaced else ''}")


def sized(size: int) -> str:
    """A number of bytes, in the units of the International System (1 kB = 1,000 bytes).

    >>> sized(310), sized(48_200), sized(3_260_000)
    ('310 bytes', '48 kB', '3.3 MB')
    """
    if size < 1_000:
        return f"{size} bytes"
    return f"{size / 1_000:.0f} kB" if size < 999_500 else f"{size / 1_000_000:.1f} MB"
