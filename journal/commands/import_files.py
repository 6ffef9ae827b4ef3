"""The work of `duskbook import`: print what would be written, ask, and write only after a yes."""

from __future__ import annotations

import datetime as dt
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from journal.commands import clock, terminal_questions
from journal.commands.open_journal import mention_settings
from journal.commands.terminal import one_line
from journal.commands.usage_errors import FINE, PROBLEMS, say
from journal.errors import FolderError
from journal.language.catalogue import _, _n
from journal.wording import numbers

if TYPE_CHECKING:
    from journal.commands.arguments import DaysAsked
    from journal.folder.opened_files import OpenedFiles
    from journal.importing.dates import Order
    from journal.importing.model import ImportedValues
    from journal.importing.planning import Plan

MOST_LINES = 50
"""Most printed lines of one kind. Nobody reads more of them at once; the rest is counted."""

LONGEST_HEADING = 40  # characters printed of a heading


def spreadsheet(
    file: Path, folder: Path, *, columns: Iterable[str], order: Order | None, yes: bool, dry_run: bool
) -> int:
    """Import a table. Returns the exit code."""
    from journal.folder import discover
    from journal.folder.opened_files import OpenedFiles
    from journal.importing import spreadsheet as table

    files = OpenedFiles(folder)
    today = clock.today(files.basis.settings)
    years = {int(page.key[:4]) for page in discover.find(folder).pages}
    values = table.read(file, files.basis, today=today, columns=columns, order=order, years=years)
    headline = _n("{file}: {count} row", "{file}: {count} rows", values.rows, file=values.name)
    return _import(files, values, headline, yes=yes, dry_run=dry_run)


def calendar(file: Path, folder: Path, *, days: DaysAsked | None, yes: bool, dry_run: bool) -> int:
    """Import the appointments of a calendar, without `days` those of pages up to today. Returns the exit code."""
    import journal
    from journal.importing import calendar as calendar_file

    book = journal.open(folder, today=clock.today)
    tables = book.tables
    written = tables.days.filter("written")
    places = dict(written.drop_nulls("place").select("date", "place").iter_rows())
    if days is None:
        wanted = [date for date in written.get_column("date") if date <= tables.today][-calendar_file.LONGEST :]
        span = _n("on {count} day that has a page", "on {count} days that have a page", len(wanted))
    else:
        first, last = days.days(week_starts=book.settings.week_starts)
        wanted = [first + dt.timedelta(days=i) for i in range((last - first).days + 1)]
        span = _("from {first} to {last}", first=first, last=last)
    values = calendar_file.read(file, wanted, places, book.settings)
    headline = _n(
        "{file}: {count} appointment {span}", "{file}: {count} appointments {span}", values.rows,
        file=values.name, span=span,
    )  # fmt: skip
    return _import(book.files, values, headline, yes=yes, dry_run=dry_run)


def _import(files: OpenedFiles, values: ImportedValues, headline: str, *, yes: bool, dry_run: bool) -> int:
    mention_settings(files)
    print_some([headline])
    print_some(_columns(values.columns))
    return finish(files, values, yes=yes, dry_run=dry_run)


def finish(
    files: OpenedFiles,
    values: ImportedValues,
    *,
    yes: bool,
    dry_run: bool,
    err: bool = False,
    also: Callable[[], None] = lambda: None,
) -> int:
    """Print what would be written, ask, and write. Returns the exit code.

    With `err`, standard output is for data, and everything is printed on standard error. `also` is called once the
    pages are written, or need not be.
    """
    from journal.importing import planning

    folder = files.folder
    plan = planning.plan(folder, values, files.basis.known, now=clock.now(), files=files)
    print_some(map(str, plan.problems), err=err)
    print_some(plan.kept, err=err)
    new = sum(page.is_new for page in plan.pages)
    added = len(plan.pages) - new
    counts = {"new": numbers.number(new), "added": numbers.number(added), "left": numbers.number(len(plan.left))}
    print_some([_("Pages: {new} new, {added} added to, {left} unchanged.", **counts)], err=err)
    code = PROBLEMS if plan.problems else FINE
    if not plan.pages:
        print_some([_("There is nothing to write.")], err=err)
        if not dry_run and (yes or is_terminal()):
            also()
    elif dry_run:
        print_some([_("Nothing is written (--dry-run).")], err=err)
    elif not yes and not is_terminal():
        print_some([_("Nothing is written: there is no terminal to ask on. Add --yes to write these pages.")], err=err)
    else:
        _check_writable(folder)
        if not yes and not terminal_questions.agreed(
            _n("Write {count} page?", "Write {count} pages?", len(plan.pages)), err=err
        ):
            print_some([_("Nothing is written.")], err=err)
        else:
            code = max(code, _write(files, plan, err))
            also()
    return code


def _write(files: OpenedFiles, plan: Plan, err: bool) -> int:
    from journal.importing import apply_plan

    written = apply_plan.write(files.folder, plan.pages, now=clock.now(), files=files)
    if written.finished:
        say(f"duskbook: {written.finished}", err=True)
    print_some([_n("Wrote {count} page.", "Wrote {count} pages.", len(written.paths))], err=err)
    text = _("{page} was changed elsewhere just now and stays as it is; run this again")
    print_some((text.format(page=path) for path in written.changed), err=err)
    return PROBLEMS if written.changed else FINE


def is_terminal() -> bool:
    """Whether standard input is a terminal, so that a question can be asked."""
    return sys.stdin is not None and sys.stdin.isatty()


def _check_writable(folder: Path) -> None:
    if not os.access(folder, os.W_OK):
        text = _('"{folder}" is read-only, so nothing is written; give your user write access')
        raise FolderError(text.format(folder=folder))


def _columns(columns: Sequence[tuple[str, str]]) -> list[str]:
    """A line per heading, with the field it is read as."""
    rows = [(one_line(heading)[:LONGEST_HEADING], field) for heading, field in columns]
    width, left_out = max((len(heading) for heading, _field in rows), default=0), _("left out")
    return [f"  {heading:{width}}  {left_out if field == '-' else field}" for heading, field in rows]


def print_some(lines: Iterable[str], *, err: bool = False) -> None:
    """Print lines for a person, at most `MOST_LINES` of them."""
    every = list(lines)
    for line in every[:MOST_LINES]:
        say(line, err=err)
    if len(every) > MOST_LINES:
        say(_("... and {number} more like these", number=numbers.number(len(every) - MOST_LINES)), err=err)
