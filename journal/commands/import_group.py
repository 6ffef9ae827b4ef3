"""The commands of `duskbook import`, one per kind of file.

Each prints what it understood and what it would write, and writes only after a yes.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from journal.commands import command_help
from journal.commands.arguments import ChoiceParam, DateRangeParam, DaysAsked, journal_argument, journal_folder
from journal.commands.path_arguments import Source
from journal.language.catalogue import N_, _

if TYPE_CHECKING:
    from journal.importing.dates import Order


@command_help.group("import", no_args_is_help=False, invoke_without_command=True)
@click.pass_context
def bring(context: click.Context) -> None:
    """Bring a table of days or a calendar into the journal.

    An import first prints what it understood and how many pages it would write. Then it asks. It only adds what a page
    does not have yet. Where the file has something else, the page keeps its value and both are shown.
    """
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


@bring.command("spreadsheet", short_help="A table of days, or a table made by export tables.")
@click.argument("file", type=Source(N_("days.csv")))
@journal_argument
@click.option(
    "--column", "columns", multiple=True, metavar="HEADING=FIELD",
    help='What a heading means: "Laune=mood", "Steps=habits.walk", "Extra=-" to leave it out.',
)  # fmt: skip
@click.option(
    "--dates", "order", type=ChoiceParam("order of dates", ("day-first", "month-first")), metavar="ORDER",
    help="How 3/4/2025 is read: day-first or month-first.  [default: inferred from the column]",
)  # fmt: skip
@click.option("--yes", is_flag=True, help="Write without asking.")
@click.option("--dry-run", is_flag=True, help="Print what would be written, and write nothing.")
def spreadsheet(
    *, file: Path, folder: str | None, columns: tuple[str, ...], order: Order | None, yes: bool, dry_run: bool
) -> int:
    """Bring in a table: CSV, or text separated by semicolons or tabs, in UTF-8 or UTF-16.

    The table has one row a day and a column called date. Other columns are called mood, energy, gratitude (also
    gratitude 2 and so on), memory, note, place, sky, high or low, or have the key or name of a habit or challenge.
    Marks are yes, no, x, ✓, ✗, done, missed, true, false, 1, 0 or rest, and a number for a counted habit. An empty cell
    means not recorded.

    Or the table is one of "duskbook export tables": days, marks, ticks, lines, hours, appointments, tasks,
    reflections, decisions.

    The exit code is 1 if something in the file was not understood. Everything else is still brought in.

    \b
    duskbook import spreadsheet days.csv my-journal
    duskbook import spreadsheet days.csv my-journal --column "Laune=mood" --dates day-first --dry-run
    """
    from journal.commands import import_files

    example = _("days.csv")
    place = journal_folder(folder, f"import spreadsheet {example}")
    return import_files.spreadsheet(file, place, columns=columns, order=order, yes=yes, dry_run=dry_run)


@bring.command("calendar", short_help="The appointments of a calendar file.")
@click.argument("file", type=Source(N_("work.ics")))
@journal_argument
@click.option(
    "--days",
    type=DateRangeParam(),
    metavar="FROM..TO",
    help="The appointments of these days, or of a month: 2025-03.  [default: days up to today with a page]",
)
@click.option("--yes", is_flag=True, help="Write without asking.")
@click.option("--dry-run", is_flag=True, help="Print what would be written, and write nothing.")
def calendar(*, file: Path, folder: str | None, days: DaysAsked | None, yes: bool, dry_run: bool) -> int:
    """Bring in the appointments of an iCalendar file (.ics, RFC 5545), each on the page of its day.

    Without --days, appointments go only to days up to today that have a page. With --days, they go to every day of the
    range, also in the future; it has at most ten years. Times are in the time zone of the place of the day. An
    appointment with the same title and start as one on the page is skipped, and so is a cancelled one. Future days need
    no import: the evening page shows the calendars that journal.toml names.

    \b
    duskbook import calendar work.ics my-journal --days 2025-03
    duskbook import calendar work.ics my-journal --dry-run
    """
    from journal.commands import import_files

    example = _("work.ics")
    place = journal_folder(folder, f"import calendar {example}")
    return import_files.calendar(file, place, days=days, yes=yes, dry_run=dry_run)
