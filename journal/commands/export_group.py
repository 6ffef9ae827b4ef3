"""The commands of `duskbook export`, one per kind of export.

Each makes all of its files in memory, then writes them and prints where they are.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

from journal.commands import command_help, shell_completion
from journal.commands.arguments import (
    ChoiceParam,
    DateRangeParam,
    DayParam,
    DaysAsked,
    Year,
    journal_argument,
    journal_folder,
)
from journal.commands.open_journal import mention_problems, open_journal
from journal.commands.path_arguments import PathParam
from journal.commands.usage_errors import say
from journal.export.formats import RETROSPECTIVE
from journal.language.catalogue import _
from journal.wording import numbers

if TYPE_CHECKING:
    from journal.commands.export_place import ExportPlace
    from journal.export.audience import Audience
    from journal.export.sheets import SheetKind
    from journal.export.typesetting import Paper
    from journal.export.write_files import Placed
    from journal.periods import Period

_WITH_PAPER = [key for key, kind in RETROSPECTIVE.items() if kind.has_paper]


@command_help.group(no_args_is_help=False, invoke_without_command=True)
@click.pass_context
def export(context: click.Context) -> None:
    """Make files from the journal: the year as a book, sheets for a paper notebook, text, tables, a calendar.

    Files go to the current folder unless you give --to. A file of the same name is replaced once the new one is
    complete. Nothing leaves this machine.
    """
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


@export.command("retrospective", short_help="A year as a page to read, a book to print, or pictures.")
@journal_argument
@click.option(
    "--year",
    type=Year(),
    metavar="YEAR",
    help="The year.  [default: the year of the newest page; in January the year before]",
)
@click.option(
    "--format",
    "form",
    type=ChoiceParam("format", tuple(RETROSPECTIVE)),
    default="html",
    help=f"{'; '.join(f'{key}, {kind.option}' for key, kind in RETROSPECTIVE.items())}.  [default: html]",
)
@click.option(
    "--for",
    "reader",
    type=ChoiceParam("reader", ("me", "friend", "anyone")),
    default="me",
    help="me, everything; friend, numbers and the memories marked with share; anyone, only numbers.  [default: me]",
)
@click.option(
    "--name", "named", multiple=True, metavar="KEY", shell_complete=shell_completion.habits,
    help="For anyone: a habit that keeps its name.",
)  # fmt: skip
@click.option(
    "--paper",
    type=ChoiceParam("paper", ("a5", "a4")),
    help=f"For {numbers.listed(_WITH_PAPER, 'or')}: a5 or a4.  [default: a5]",
)
@click.option(
    "--to",
    "place",
    type=PathParam(),
    metavar="PATH",
    help="The file or folder to write.  [default: retrospective-YEAR...]",
)
def retrospective(
    *,
    folder: str | None,
    year: Period | None,
    form: str,
    reader: Audience,
    named: tuple[str, ...],
    paper: Paper | None,
    place: ExportPlace | None,
) -> None:
    """Look back on a year: what was logged, moods, habits, nights, tasks, lines and memories, a chapter a month.

    What the reader may not see is removed before anything is counted or drawn.

    \b
    duskbook export retrospective my-journal --year 2025
    duskbook export retrospective my-journal --format pdf --paper a4
    duskbook export retrospective my-journal --for anyone --name walk --format png
    """
    from journal.commands import retrospective as retrospectives

    opened = open_journal(journal_folder(folder, "export retrospective"))
    print_files(
        retrospectives.make(
            opened,
            year=year.first.year if year else None,
            form=form,
            reader=reader,
            named=named,
            paper=paper,
            place=place,
        )
    )
    mention_problems(opened)


@export.command("pages", short_help="Sheets for a paper notebook: the next day, month and year.")
@journal_argument
@click.option(
    "--date", "day", type=DayParam(), metavar="DAY", help="The sheets that follow on this day.  [default: today]"
)
@click.option(
    "--sheet",
    "kind",
    type=ChoiceParam("sheet", ("day", "month", "year", "all")),
    default="all",
    help="The next day, the next month, the year of the next month, or all.  [default: all]",
)
@click.option(
    "--paper",
    type=ChoiceParam("paper", ("a5", "a4")),
    default="a5",
    help="a5; a4, two sheets side by side to cut, with the day after the next one too.  [default: a5]",
)
@click.option(
    "--to", "place", type=PathParam(), metavar="PATH", help="The file or folder to write.  [default: pages-DAY.pdf]"
)
def pages(*, folder: str | None, day: dt.date | None, kind: SheetKind, paper: Paper, place: ExportPlace | None) -> None:
    """Make A5 sheets for a paper notebook, as a PDF to print at its real size.

    The day has its hours, sun, appointments, tasks and habits, and lines to write on. The month has a box for each day
    on which a habit is due, and the prompts of its challenges. The year has a field for each day, to be coloured.

    The sheets are for you alone: they contain your appointments, tasks and habits by name.

    \b
    duskbook export pages my-journal
    duskbook export pages my-journal --sheet month --date 2025-03-31
    duskbook export pages my-journal --paper a4 --to ~/print
    """
    from journal.commands import sheets

    opened = open_journal(journal_folder(folder, "export pages"))
    print_files(sheets.make(opened, day=day, kind=kind, paper=paper, place=place))
    mention_problems(opened)


@export.command("text", short_help="All pages as Markdown, one file a month.")
@journal_argument
@click.option("--year", type=Year(), metavar="YEAR", help="The pages of one year.  [default: all pages]")
@click.option(
    "--days", type=DateRangeParam(), metavar="FROM..TO", help="The pages of these days, or of a month: 2025-03."
)
@click.option("--to", "place", type=PathParam(), metavar="PATH", help="The file or folder to write.  [default: text]")
def as_text(folder: str | None, year: Period | None, days: DaysAsked | None, place: ExportPlace | None) -> None:
    """Make a Markdown file of every month, with everything the pages contain.

    Without --year or --days, the undated tasks are written to undated.md.

    The files are for you alone: they contain every line, mood, appointment and task.

    \b
    duskbook export text my-journal --year 2025
    duskbook export text my-journal --days 2025-03-10..2025-03-16 --to one-week
    """
    from journal.commands import export_files

    opened = open_journal(journal_folder(folder, "export text"))
    print_files(export_files.text(opened, export_files.chosen(opened, year, days), place))
    mention_problems(opened)


@export.command("tables", short_help="Every table as CSV or Parquet, with a dictionary of the columns.")
@journal_argument
@click.option(
    "--format",
    "form",
    type=ChoiceParam("format", ("csv", "parquet")),
    default="csv",
    help="csv or parquet.  [default: csv]",
)
@click.option("--today", type=DayParam(), metavar="DAY", help="Count as of this day instead of today.")
@click.option("--to", "place", type=PathParam(), metavar="PATH", help="The file or folder to write.  [default: tables]")
def as_tables(folder: str | None, form: str, today: dt.date | None, place: ExportPlace | None) -> None:
    """Make a file of every table: what was recorded, and what is counted from it. dictionary.md describes every column.

    The files are for you alone: they contain every line, mood, appointment and task. In CSV, text that a spreadsheet
    would run as a formula gets an apostrophe in front.

    \b
    duskbook export tables my-journal
    duskbook export tables my-journal --format parquet --to analysis
    """
    from journal.commands import export_files

    opened = open_journal(journal_folder(folder, "export tables"), today)
    print_files(export_files.tables(opened, form, place))
    mention_problems(opened)


@export.command("calendar", short_help="Appointments and planned hours as a calendar file.")
@journal_argument
@click.option("--year", type=Year(), metavar="YEAR", help="The events of one year.  [default: this year]")
@click.option(
    "--days", type=DateRangeParam(), metavar="FROM..TO", help="The events of these days, or of a month: 2025-03."
)
@click.option(
    "--only", type=ChoiceParam("kind", ("appointments", "planned")), help="appointments or planned.  [default: both]"
)
@click.option(
    "--to", "place", type=PathParam(), metavar="PATH", help="The file or folder to write.  [default: calendar.ics]"
)
def as_calendar(
    folder: str | None, year: Period | None, days: DaysAsked | None, only: str | None, place: ExportPlace | None
) -> None:
    """Make a calendar file (.ics) of the appointments and the planned hours, for a phone or another calendar.

    The file is for you alone: it contains every title.

    \b
    duskbook export calendar my-journal --year 2025
    duskbook export calendar my-journal --days 2025-03 --only appointments
    """
    from journal.commands import export_files

    opened = open_journal(journal_folder(folder, "export calendar"))
    print_files(export_files.calendar(opened, export_files.chosen(opened, year, days), only, place))
    mention_problems(opened)


def print_files(placed: Iterable[Placed]) -> None:
    """Print the path and size of each file."""
    from journal.export.write_files import sized

    for file in placed:
        size = sized(file.size)
        said = _("{size}, replaced", size=size) if file.replaced else size
        say(f"{file.path}  {said}")
