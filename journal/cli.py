"""The command line: the arguments and options of each command. The work is done in `journal.commands`.

A command imports what it needs when it runs, so that `duskbook --help` answers at once.
"""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from journal import __version__
from journal.commands import shell_completion, terminal, usage_errors
from journal.commands.arguments import (
    ChoiceParam,
    DateRangeParam,
    DayParam,
    DaysAsked,
    PeriodParam,
    frame_format,
    journal_argument,
    journal_folder,
)
from journal.commands.field_options import field_options
from journal.commands.later_commands import LATER, UNLISTED
from journal.commands.number_arguments import Port
from journal.commands.open_journal import mention_problems, open_journal
from journal.commands.path_arguments import Folder
from journal.commands.show_catalogue import MEASURES
from journal.language.catalogue import _
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
    epilog="The manual opens from the link on every page. It is also here:",
)
@click.option("--version", is_flag=True, help="Show the version and exit.")
@click.pass_context
def duskbook(context: click.Context, version: bool) -> None:
    """A private journal of plain dated files.

    FOLDER is the journal. If you leave it out, $DUSKBOOK_FOLDER is used, or the current folder if it holds a
    journal.toml. Nothing leaves this machine.

    \b
    duskbook try                             look around in an invented year
    duskbook start my-journal                create a journal
    duskbook evening my-journal              close today and plan tomorrow, in the browser
    duskbook log my-journal --habit walk     mark a habit from the terminal
    duskbook show streaks my-journal         print the streaks
    """
    if version:
        from journal.folder.check_settings import FORMAT

        click.echo(_("duskbook {version}, journals of format {format}", version=__version__, format=FORMAT))
        context.exit()
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


@duskbook.command(short_help="Create a journal.")
@click.argument("folder", type=Folder())
@click.option("--yes", is_flag=True, help="Ask nothing, take every proposal, and open no page.")
@click.option("--no-browser", is_flag=True, help="Do not open the settings page afterwards.")
def start(folder: Path, yes: bool, no_browser: bool) -> None:
    """Create a journal in FOLDER, with a few questions, and open its settings page.

    Writes journal.toml and undated.toml, both with comments. An existing file is never overwritten. Without a terminal,
    and with --yes, no page is opened.

    \b
    duskbook start my-journal
    duskbook start my-journal --yes
    """
    from journal.commands import start as start_journal

    start_journal.start(folder, yes)
    if not (yes or no_browser) and start_journal.is_asked_in_person():
        from journal.commands import page as pages

        pages.open_page(folder, "settings", None, None)


def _page_command(page: str, contents: str) -> None:
    """Add the command that opens a page. `contents` says what the page shows."""

    @duskbook.command(
        page,
        short_help=f"Open the {page} page.",
        help=f"Open the {page} page: {contents}\n\n\b\nduskbook {page} my-journal",
    )
    @journal_argument
    @click.option("--date", "day", type=PeriodParam(), metavar="DAY", help="Open at this day.  [default: today]")
    @click.option("--port", type=Port(), metavar="PORT", help="Listen here, or on the next free port.")
    @click.option("--no-browser", is_flag=True, help="Only print the address.")
    @click.option("--until-closed", is_flag=True, help="End ten minutes after the last page was closed.")
    def command(folder: str | None, day: PeriodName | None, port: int | None, **how: bool) -> None:
        from journal.commands import page as pages

        pages.open_page(journal_folder(folder, page), page, day, port, **how)


_page_command("day", "today as planned, with all you tick and note on the way, or any coming day to plan.")
_page_command("evening", "close today, plan tomorrow, see whether it fits.")
_page_command("week", "where the hours went, what was good, what was carried.")
_page_command("month", "which habits hold, which changed, and the streaks.")
_page_command("year", "the year with a field a day, the months side by side, the memories.")
_page_command("settings", "everything in journal.toml as a form: places, habits, challenges, routines, words.")


@duskbook.command(short_help="Log a day from the terminal.")
@journal_argument
@click.option("--date", "day", type=DayParam(), metavar="DAY", help="The day to log.  [default: today]")
@field_options
@click.option(
    "--habit", "habits", multiple=True, metavar="HABIT[=MARK]", shell_complete=shell_completion.habits,
    help="By key or name: walk, read=24, stretch=rest.",
)  # fmt: skip
@click.option(
    "--challenge", "challenges", multiple=True, metavar="KEY[=TICK]", shell_complete=shell_completion.challenges,
    help="letters, letters=no, letters=DAY.",
)  # fmt: skip
@click.option("--gratitude", multiple=True, metavar="TEXT", help="Add a line to the gratitude of the day.")
@click.option("--memory", metavar="TEXT", help="Set the memory of the day.")
@click.option("--share/--no-share", default=None, help="Show the memory in a year exported for a friend.")
@click.option("--note", "notes", multiple=True, metavar="TEXT", help="Add a note.")
@click.option(
    "--task",
    "tasks",
    multiple=True,
    metavar="TITLE[=MARK]",
    help="A task of the day: done, =45 minutes, =open, =dropped.",
)
@click.option("--add-task", "added_tasks", multiple=True, metavar="TITLE[=MINUTES]", help="Add a task to the day.")
@click.option(
    "--hours", multiple=True, metavar="CATEGORY=SPANS", shell_complete=shell_completion.categories,
    help="Add hours as they went: work=09:00-12:30.",
)  # fmt: skip
@click.option(
    "--picture", "pictures", multiple=True, metavar="FILE[=CAPTION]", shell_complete=shell_completion.files,
    help="Add a picture, copied beside the page.",
)  # fmt: skip
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
    tasks: tuple[str, ...],
    added_tasks: tuple[str, ...],
    hours: tuple[str, ...],
    pictures: tuple[str, ...],
    **fields: float | str | None,
) -> None:
    """Log a day from the terminal, and print the streaks.

    Only what you give is changed. New lines are added to those of the day. --habit, --challenge, --gratitude, --note,
    --task, --add-task, --hours and --picture can be repeated.

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
        tasks=tasks,
        added_tasks=added_tasks,
        hours=hours,
        pictures=pictures,
    )
    click.echo(logging.log(journal_folder(folder, "log"), given, day, now=clock.now()))


@duskbook.command(short_help="List every problem in the journal.")
@journal_argument
def check(folder: str | None) -> int:
    """List every problem in the journal and its calendars, with its place and remedy.

    The exit code is 1 if there is one. If other users of this machine can read the journal, a note says so.

    \b
    duskbook check my-journal
    """
    from journal.commands import check as checking

    opened = checking.opened(journal_folder(folder))
    problems = checking.report(opened)
    for line in problems:
        click.echo(line)
    click.echo(checking.verdict(opened, len(problems)), err=bool(problems))
    if note := checking.note_on_access(opened):
        click.echo(note, err=True)
    return usage_errors.PROBLEMS if problems else usage_errors.FINE


@duskbook.command(
    short_help="Print a measure: streaks, rates, mood, tasks and more.",
    help=f"""Print MEASURE: {numbers.listed(MEASURES, "or")}.

    JSON and CSV have unrounded numbers. In CSV, text that a spreadsheet would run as a formula gets an apostrophe in
    front. In a file or a pipe CSV has each text as the page has it; a terminal shows control characters as escapes.

    \b
    duskbook show streaks my-journal
    duskbook show rates my-journal --by month --format csv
    duskbook show changes my-journal --from 2025-03-01 --to 2025-03-31 --against 2025-02
    duskbook show lines my-journal --search glue
    """,
)
@click.argument("measure", type=ChoiceParam("measure", tuple(MEASURES), example="streaks"))
@journal_argument
@click.option("--from", "start", type=DayParam(), metavar="DAY", help="First day.  [default: the journal's first]")
@click.option("--to", "end", type=DayParam(), metavar="DAY", help="Last day.  [default: today]")
@click.option("--today", type=DayParam(), metavar="DAY", help="Count as of this day instead of today.")
@click.option(
    "--by",
    type=ChoiceParam("period", (), example="month"),
    shell_complete=shell_completion.measure_periods,
    help="Period of a row: all, day, week, month, year or weekday.",
)
@click.option("--against", type=DateRangeParam(), metavar="FROM..TO", help="For changes: the days to compare with.")
@click.option("--search", metavar="TEXT", help="For lines: only those with this text. Case and accents are ignored.")
@frame_format
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
) -> int:
    """Show a measure of `show_catalogue.MEASURES`."""
    from journal.commands import print_frame
    from journal.commands import show as showing

    by = showing.check_options(measure, by, against, search)
    opened = open_journal(journal_folder(folder, f"show {measure}"), today)
    beside = against.days(week_starts=opened.settings.week_starts) if against else None
    days = showing.day_range(opened, measure, start, end, beside)
    frame = showing.rows(opened, measure, days, by, against=beside, search=search)
    terminal.print_data(print_frame.as_text(frame, form, MEASURES[measure].keys_by(by)))
    if said := showing.left_out(opened, measure, days):
        usage_errors.say(f"duskbook: {said}", err=True)
    mention_problems(opened)
    if measure == "streaks":
        from journal.commands import kept_streaks

        kept_streaks.keep(opened)
    return usage_errors.PROBLEMS if opened.files.basis.is_partial else usage_errors.FINE


duskbook.later, duskbook.unlisted, duskbook.manual = LATER, UNLISTED, MANUAL


def main() -> None:
    """The command `duskbook`."""
    # Before NumPy is imported. Its matrices are small here: threads would spend their time waiting for each other.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    duskbook(prog_name="duskbook")
