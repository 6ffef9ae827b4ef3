"""`duskbook import KIND`: what was kept elsewhere, brought into the journal. Thin, as `journal.cli` is.

Each kind says what it understood and what would be written, and writes only after a yes.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from journal.commands.arguments import ChoiceParam, DateRangeParam, DaysAsked, Source, journal_folder

if TYPE_CHECKING:
    from journal.importing.dates import Order


@click.group(
    "import", short_help="Bring in a table of days, or a calendar.", no_args_is_help=False, invoke_without_command=True
)
@click.pass_context
def bring(context: click.Context) -> None:
    """Bring what was kept elsewhere into the journal: a table of days, or a calendar.

    First it says what it understood and how many pages it would write; then it asks. What stands on a page is never
    changed: a page gets what it has not got yet, and of all else it is told that it stays.
    """
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


@bring.command("spreadsheet", short_help="A table of days, or one that export tables made.")
@click.argument("file", type=Source("days.csv"))
@click.argument("folder", required=False)
@click.option(
    "--column", "columns", multiple=True, metavar="HEADING=FIELD",
    help='What a heading is: "Laune=mood", "Steps=habits.walk", "Extra=-" to leave it out.',
)  # fmt: skip
@click.option(
    "--dates", "order", type=ChoiceParam("order of dates", ("day-first", "month-first")), metavar="ORDER",
    help="How 3/4/2025 is read: day-first or month-first.  [default: as the column tells]",
)  # fmt: skip
@click.option("--yes", is_flag=True, help="Ask nothing and write.")
@click.option("--dry-run", is_flag=True, help="Say what would be written, and write nothing.")
def spreadsheet(
    *, file: Path, folder: str | None, columns: tuple[str, ...], order: Order | None, yes: bool, dry_run: bool
) -> int:
    """Bring in a table: CSV, or text separated by semicolons or tabs, in UTF-8 or UTF-16.

    One row a day: a column called date, and columns called mood, energy, gratitude (also gratitude 2 and so on),
    memory, note, place, sky, high, low, or by the key or name of a habit or challenge. Marks are yes, no, x, done,
    missed, true, false, 1, 0 or rest, and for a counted habit a number. An empty cell is not recorded. Or one of the
    tables of "duskbook export tables": days, marks, ticks, lines, hours, appointments, tasks, reflections, decisions.

    Exits with 1 when something in the file was not understood; all else is brought in nevertheless.

    \b
    duskbook import spreadsheet days.csv my-journal
    duskbook import spreadsheet days.csv my-journal --column "Laune=mood" --dates day-first --dry-run
    """
    from journal.commands import import_files

    place = journal_folder(folder, "import spreadsheet days.csv")
    return import_files.spreadsheet(file, place, columns=columns, order=order, yes=yes, dry_run=dry_run)


@bring.command("calendar", short_help="The appointments of a calendar file.")
@click.argument("file", type=Source("work.ics"))
@click.argument("folder", required=False)
@click.option(
    "--days",
    type=DateRangeParam(),
    metavar="FROM..TO",
    help="Those of these days, or of a month: 2025-03.  [default: the days up to today that have a page]",
)
@click.option("--yes", is_flag=True, help="Ask nothing and write.")
@click.option("--dry-run", is_flag=True, help="Say what would be written, and write nothing.")
def calendar(*, file: Path, folder: str | None, days: DaysAsked | None, yes: bool, dry_run: bool) -> int:
    """Bring in the appointments of an iCalendar file (.ics, RFC 5545), each on the page of its day.

    Without --days, the days up to today that have a page get theirs, and no page is made. With --days every day among
    them that has an appointment gets it, days to come too; ten years at most at once. Times are by the clock of the
    place of the day. One that stands there already, with the same title and start, is left; cancelled ones are not
    taken. What is ahead needs no import: the evening page shows the calendars that journal.toml names.

    \b
    duskbook import calendar work.ics my-journal --days 2025-03
    duskbook import calendar work.ics my-journal --dry-run
    """
    from journal.commands import import_files

    place = journal_folder(folder, "import calendar work.ics")
    return import_files.calendar(file, place, days=days, yes=yes, dry_run=dry_run)
