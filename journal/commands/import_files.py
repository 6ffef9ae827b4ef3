"""What `duskbook import` says, asks and writes: first all that would be, then nothing without a yes."""

from __future__ import annotations

import datetime as dt
import os
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from journal.commands import clock
from journal.commands.usage_errors import FINE, PROBLEMS, one_line
from journal.errors import FolderError
from journal.wording import numbers

if TYPE_CHECKING:
    from journal.commands.arguments import DaysAsked
    from journal.folder.opened_files import OpenedFiles
    from journal.importing.dates import Order
    from journal.importing.model import ImportedValues
    from journal.importing.planning import Plan

MOST_TOLD = 50
"""Lines of one kind; who has more of them would not read them all, and mends these first."""

LONGEST_HEADING = 40  # characters that are shown of one


def spreadsheet(
    file: Path, folder: Path, *, columns: Iterable[str], order: Order | None, yes: bool, dry_run: bool
) -> int:
    """Bring a table in; returns the exit code."""
    from journal.folder.opened_files import OpenedFiles
    from journal.importing import spreadsheet as table

    files = OpenedFiles(folder)
    today = clock.today(files.basis.settings)
    found = table.read(file, files.basis, today=today, columns=columns, order=order)
    return _settled(files, found, [f"{found.name}: {numbers.plural(found.rows, 'row')}"], yes=yes, dry_run=dry_run)


def calendar(file: Path, folder: Path, *, days: DaysAsked | None, yes: bool, dry_run: bool) -> int:
    """Bring a calendar's appointments in; returns the exit code. Without days, for the pages up to today."""
    import journal
    from journal.importing import calendar as calendar_file

    book = journal.open(folder, today=clock.today)
    tables = book.tables
    written = tables.days.filter("written")
    places = dict(written.drop_nulls("place").select("date", "place").iter_rows())
    if days is None:
        wanted = [date for date in written.get_column("date") if date <= tables.today][-calendar_file.LONGEST :]
        said = f"on {numbers.plural(len(wanted), 'day that has a page', 'days that have a page')}"
    else:
        first, last = days.days(week_starts=book.settings.week_starts)
        wanted = [first + dt.timedelta(days=i) for i in range((last - first).days + 1)]
        said = f"from {first} to {last}"
    found = calendar_file.read(file, wanted, places, book.settings)
    line = f"{found.name}: {numbers.plural(found.rows, 'appointment')} {said}"
    return _settled(book.files, found, [line], yes=yes, dry_run=dry_run)


def _settled(files: OpenedFiles, found: ImportedValues, said: Sequence[str], *, yes: bool, dry_run: bool) -> int:
    """Say what would be, ask, and write."""
    from journal.importing import planning

    folder = files.folder
    plan = planning.plan(folder, found, files.basis.known, now=clock.now(), files=files)
    _say(said)
    _say_some(_columns(found.columns))
    _say_some(map(str, plan.problems))
    _say_some(plan.kept)
    new = sum(page.is_new for page in plan.pages)
    _say([f"Pages: {new:,} new, {len(plan.pages) - new:,} added to, {len(plan.left):,} unchanged."])
    code = PROBLEMS if plan.problems else FINE
    if not plan.pages:
        _say(["There is nothing to write."])
    elif dry_run:
        _say(["Nothing is written (--dry-run)."])
    elif not yes and not is_terminal():
        _say(["Nothing is written: nobody can be asked here. Write --yes to write these pages."])
    else:
        _refuse_to_write(folder)
        if not yes and not click.confirm(f"Write {numbers.plural(len(plan.pages), 'page')}?"):
            _say(["Nothing is written."])
        else:
            code = max(code, _written(files, plan))
    return code


def _written(files: OpenedFiles, plan: Plan) -> int:
    from journal.importing import apply_plan

    written = apply_plan.write(files.folder, plan.pages, now=clock.now(), files=files)
    _say([f"Wrote {numbers.plural(len(written.paths), 'page')}."])
    _say_some(
        f"{path} was changed elsewhere just now and stays as it is; do the same again" for path in written.changed
    )
    return PROBLEMS if written.changed else FINE


def is_terminal() -> bool:
    """Whether there is somebody to ask."""
    return sys.stdin is not None and sys.stdin.isatty()


def _refuse_to_write(folder: Path) -> None:
    if not os.access(folder, os.W_OK):
        raise FolderError(f'"{folder}" may only be read, so nothing is written; let your user write it')


def _columns(columns: Sequence[tuple[str, str]]) -> list[str]:
    """The headings with what each was taken for, one below the other."""
    shown = [(one_line(heading)[:LONGEST_HEADING], field) for heading, field in columns]
    width = max((len(heading) for heading, _ in shown), default=0)
    return [f"  {heading:{width}}  {'left out' if field == '-' else field}" for heading, field in shown]


def _say_some(lines: Iterable[str]) -> None:
    told = list(lines)
    _say(told[:MOST_TOLD])
    if len(told) > MOST_TOLD:
        _say([f"... and {len(told) - MOST_TOLD:,} more like these"])


def _say(lines: Iterable[str]) -> None:
    for line in lines:
        click.echo(one_line(line))
