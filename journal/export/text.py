"""The journal as plain text to read anywhere and to keep: Markdown, one file a month, and one of what has no day yet.

Days stand in their order, each under its own heading; what was written about a week, month or year stands behind its
last day. Everything that the pages hold is there but what only files need: the ids of tasks.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from journal import periods
from journal.entry import Entry, Page, Review, UndatedTask
from journal.export import day_text, markdown
from journal.export.formats import ExportOutput, Progress
from journal.folder import discover, reading
from journal.periods import Period
from journal.settings import Settings
from journal.wording import dates, numbers

if TYPE_CHECKING:
    from journal import Journal

_ORDER = ("day", "week", "month", "year")
"""What comes first of pages that end on the same day."""


def text(journal: Journal, first: dt.date, last: dt.date) -> dict[str, bytes]:
    """The journal's pages from one day to another, both included, by file name: "2025-03.md".

    What was written about a week, month or year is there where its last day is. The pages are read again, since the
    frames lay what they say on a calendar. A month of which nothing is written has no file. Raises nothing; a value
    that is wrong is left out, as everywhere, and is one of `Journal.problems`.
    """
    chosen = [
        file
        for file in discover.find(journal.folder).pages
        if first <= periods.parse(file.key, file.kind, week_starts=journal.settings.week_starts).last <= last
    ]
    pages, _ = reading.read_pages(journal.folder, chosen, journal.files.basis.known)
    return months(pages, journal.settings)


def write(journal: Journal, year: Period, progress: Progress) -> ExportOutput:
    """The pages of a year, as the year page offers them."""
    progress("Writing the months")
    return ExportOutput(text(journal, year.first, year.last))


def months(pages: Iterable[Page], settings: Settings) -> dict[str, bytes]:
    r"""Pages as Markdown in UTF-8, by the name of their month's file.

    >>> page = Page(path="2025-03-14.toml", kind="day", key="2025-03-14", content=Entry(memory="Sewn: *all* of it."))
    >>> files = months([page], Settings(title="Spine", places=()))
    >>> print(files["2025-03.md"].decode(), end="")
    # Spine: March 2025
    <BLANKLINE>
    ## Friday 14 March
    <BLANKLINE>
    ### To remember
    <BLANKLINE>
    Sewn: \*all\* of it.
    """
    placed = sorted(
        ((periods.parse(page.key, page.kind, week_starts=settings.week_starts), page) for page in pages),
        key=lambda both: (both[0].last, _ORDER.index(both[0].kind)),
    )
    found = {}
    for month, of_month in groupby(placed, key=lambda both: periods.month(both[0].last)):
        title = f"# {markdown.line(f'{settings.title}: {dates.period(month)}')}"
        parts = [title, *(_page(period, page, settings) for period, page in of_month)]
        found[f"{month.key}.md"] = ("\n\n".join(parts) + "\n").encode()
    return found


def undated(tasks: Iterable[UndatedTask], settings: Settings) -> dict[str, bytes]:
    r"""The tasks that have no day yet, as one file; none where there are none.

    >>> files = undated([UndatedTask(title="Oil the press", estimate=30)], Settings(title="Spine", places=()))
    >>> print(files["undated.md"].decode(), end="")
    # Spine: tasks without a day
    <BLANKLINE>
    - Oil the press (estimated 30 min)
    """
    items = [_undated(task) for task in tasks]
    if not items:
        return {}
    title = f"# {markdown.line(f'{settings.title}: tasks without a day')}"
    return {"undated.md": "\n".join([title, "", *items, ""]).encode()}


def _undated(task: UndatedTask) -> str:
    estimate = f"estimated {dates.minutes(task.estimate)}" if task.estimate is not None else ""
    since = f"since {dates.day(task.since, year=True)}" if task.since else ""
    more = numbers.joined([estimate, since])
    return f"- {markdown.block(task.title, '  ')}{f' ({more})' if more else ''}"


def _page(period: Period, page: Page, settings: Settings) -> str:
    if isinstance(page.content, Entry):
        return day_text.day(period.first, page.content, settings)
    return "\n\n".join(_review(period, page.content, settings))


def _review(period: Period, review: Review, settings: Settings) -> Iterator[str]:
    yield f"## {'The week of ' if period.kind == 'week' else ''}{dates.period(period)}, looked back on"
    for reflection in review.reflection:
        yield f"### {markdown.line(reflection.prompt) or 'Without a question'}"
        yield markdown.block(reflection.answer) or "No answer is written."
    yield from day_text.section("Notes", map(day_text.item, review.notes))
    yield from day_text.section(
        "What becomes of the habits",
        (f"- {markdown.line(settings.habit_name(habit))}: {decision}" for habit, decision in review.decisions.items()),
    )
