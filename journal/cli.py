"""The commands. Thin: each says what it takes, then calls what stands behind it in `journal.commands`.

What a command needs is imported when it runs, so that `duskbook --help` answers at once.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from journal import __version__
from journal.commands import usage_errors
from journal.commands.arguments import (
    ChoiceParam,
    DateRangeParam,
    DayParam,
    DaysAsked,
    Folder,
    PeriodParam,
    Port,
    journal_folder,
)
from journal.commands.export_group import export
from journal.commands.field_options import field_options
from journal.commands.import_group import bring
from journal.commands.open_journal import mention_problems, open_journal
from journal.commands.show_catalogue import FORMATS, MEASURES
from journal.wording import numbers

if TYPE_CHECKING:
    from journal.periods import PeriodName

MANUAL = Path(__file__).parent / "manual" / "index.md"
HELP = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


@click.group(
    cls=usage_errors.DuskbookCommands,
    context_settings=HELP,
    no_args_is_help=False,
    invoke_without_command=True,
    epilog=f"\b\nThe manual opens from the link on every page. It is also here:\n{MANUAL}",
)
@click.option("--version", is_flag=True, help="Show the version and exit.")
@click.pass_context
def duskbook(context: click.Context, version: bool) -> None:
    """A private journal of plain dated files, read on pages that count honestly.

    FOLDER is the journal: left out, it is $DUSKBOOK_FOLDER, else the current folder when it holds a journal.toml.
    Nothing leaves this machine.

    \b
    duskbook start my-journal                a new journal
    duskbook evening my-journal              close today and open tomorrow, in the browser
    duskbook log my-journal --habit walk     a mark from here
    duskbook show streaks my-journal         how the habits run, here
    """
    if version:
        click.echo(f"duskbook {__version__}")
        context.exit()
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


@duskbook.command(short_help="Make a new journal.")
@click.argument("folder", type=Folder())
@click.option("--yes", is_flag=True, help="Ask nothing and take what would be proposed.")
def start(folder: Path, yes: bool) -> None:
    """Make a new journal in FOLDER, with a few questions.

    Writes journal.toml and undated.toml, both explained inside, and never over a file that is there.

    \b
    duskbook start my-journal
    duskbook start my-journal --yes
    """
    from journal.commands import start as beginning

    beginning.start(folder, yes)


def _page_command(page: str, answers: str) -> None:
    """One of the commands that open a page; they differ in the page alone."""

    @duskbook.command(
        page,
        short_help=f"Open the {page} page.",
        help=f"Open the {page} page: {answers}\n\n\b\nduskbook {page} my-journal",
    )
    @click.argument("folder", required=False)
    @click.option("--date", "day", type=PeriodParam(), metavar="DAY", help="Open at this day.  [default: today]")
    @click.option("--port", type=Port(), metavar="PORT", help="Listen here, or on the next free port.")
    @click.option("--no-browser", is_flag=True, help="Only print the address.")
    def command(folder: str | None, day: PeriodName | None, port: int | None, no_browser: bool) -> None:
        from journal.commands import page as opening

        opening.open_page(journal_folder(folder, page), page, day, port, not no_browser)


_page_command("evening", "what today leaves, what tomorrow holds, and whether it fits.")
_page_command("week", "where the week went, what was good, what was carried.")
_page_command("month", "which habits hold, which changed, and the streaks.")
_page_command("year", "the year in pixels, the months side by side, the memories.")


@duskbook.command(short_help="Log a day's marks and lines from here.")
@click.argument("folder", required=False)
@click.option("--date", "day", type=DayParam(), metavar="DAY", help="The day it is of.  [default: today]")
@field_options
@click.option("--habit", "habits", multiple=True, metavar="KEY[=MARK]", help="walk, read=24, stretch=rest or walk=no.")
@click.option(
    "--challenge", "challenges", multiple=True, metavar="KEY[=TICK]", help="letters, letters=no, letters=DAY."
)
@click.option("--gratitude", multiple=True, metavar="TEXT", help="A line to add to the good things.")
@click.option("--memory", metavar="TEXT", help="The one to remember.")
@click.option("--share/--no-share", default=None, help="A friend may read the memory, in a year exported for one.")
@click.option("--note", "notes", multiple=True, metavar="TEXT", help="A note to add.")
def log(
    *,
    folder: str | None,
    day: dt.date | None,
    habits: tuple[str, ...],
    challenges: tuple[str, ...],
    gratitude: tuple[str, ...],
    memory: str | None,
    share: bool | None,
    notes: tuple[str, ...],
    **fields: float | str | None,
) -> None:
    """Log a day's marks and lines, and see how the streaks stand.

    --habit, --challenge, --gratitude and --note may be given more than once. What is not given stays as it is; lines
    are added to those that are there.

    \b
    duskbook log my-journal --mood 4 --habit walk --habit read=24 --habit stretch=rest
    duskbook log my-journal --gratitude "Bread from next door, still warm." --date 2025-03-13
    """
    from journal.commands import clock
    from journal.commands import log as logging

    given = logging.Given(
        fields={name: value for name, value in fields.items() if value is not None},
        habits=habits,
        challenges=challenges,
        gratitude=gratitude,
        memory=memory,
        share=share,
        notes=notes,
    )
    click.echo(logging.log(journal_folder(folder, "log"), given, day, now=clock.now()))


@duskbook.command(short_help="List every problem in the journal.")
@click.argument("folder", required=False)
def check(folder: str | None) -> int:
    """List every problem in the journal, with its place and how to mend it.

    Exits with 1 when there is one.

    \b
    duskbook check my-journal
    """
    from journal.commands import check as checking

    opened = open_journal(journal_folder(folder))
    problems = checking.report(opened)
    for line in problems:
        click.echo(line)
    click.echo(checking.verdict(opened), err=bool(problems))
    return usage_errors.PROBLEMS if problems else usage_errors.FINE


@duskbook.command(
    short_help="Show a measure: streaks, rates, mood, tasks and more.",
    help=f"""Show MEASURE: {numbers.listed(MEASURES, "or")}.

    JSON and CSV have the numbers in full. CSV puts an apostrophe before text that a spreadsheet would run as a formula.

    \b
    duskbook show streaks my-journal
    duskbook show rates my-journal --by month --format csv
    duskbook show changes my-journal --from 2025-03-01 --to 2025-03-31 --against 2025-02
    duskbook show lines my-journal --search glue
    """,
)
@click.argument("measure", type=ChoiceParam("measure", tuple(MEASURES), example="streaks"))
@click.argument("folder", required=False)
@click.option("--from", "start", type=DayParam(), metavar="DAY", help="First day.  [default: the journal's first]")
@click.option("--to", "end", type=DayParam(), metavar="DAY", help="Last day.  [default: today]")
@click.option("--today", type=DayParam(), metavar="DAY", help="Count as of this day instead of today.")
@click.option(
    "--by",
    type=ChoiceParam("period", (), example="month"),
    help="One row for each: all, day, week, month, year or weekday.",
)
@click.option("--against", type=DateRangeParam(), metavar="FROM..TO", help="For changes: the days to compare with.")
@click.option("--search", metavar="TEXT", help="For lines: those that have it; capitals and accents aside.")
@click.option(
    "--format",
    "form",
    type=ChoiceParam("format", FORMATS),
    default="table",
    help="table, json or csv.  [default: table]",
)
def show(
    *,
    measure: str,
    folder: str | None,
    start: dt.date | None,
    end: dt.date | None,
    today: dt.date | None,
    by: str | None,
    against: DaysAsked | None,
    search: str | None,
    form: str,
) -> None:
    """Show a measure of `show_catalogue.MEASURES`."""
    from journal.commands import print_frame
    from journal.commands import show as showing

    by = showing.check_options(measure, by, against, search)
    opened = open_journal(journal_folder(folder, f"show {measure}"), today)
    beside = against.days(week_starts=opened.settings.week_starts) if against else None
    days = showing.stretch(opened, measure, start, end, beside)
    frame = showing.rows(opened, measure, days, by, against=beside, search=search)
    click.echo(print_frame.as_text(frame, form, MEASURES[measure].keys_by(by)))
    mention_problems(opened)


duskbook.add_command(export)
duskbook.add_command(bring)


def main() -> None:
    """The command `duskbook`."""
    duskbook(prog_name="duskbook")
