"""The journal as Markdown: one file a month, and one of the undated tasks.

Days are in order, each under its own heading. The page of a week, month or year follows its last day. Everything on the
pages is written, except the ids of tasks.
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
from journal.language.catalogue import _
from journal.periods import Period
from journal.settings import Settings
from journal.wording import dates, entries, numbers

if TYPE_CHECKING:
    from journal import Journal

_ORDER = ("day", "week", "month", "year")
"""The order of pages that end on the same day."""


def text(journal: Journal, first: dt.date, last: dt.date) -> dict[str, bytes]:
    """The pages of a range of days (both ends included), by file name: "2025-03.md".

    The page of a week, month or year belongs to its last day. The pages are read again, because the frames do not keep
    their order. A month without pages has no file. Invalid values are omitted; `Journal.problems` lists them.
    """
    chosen = [
        file
        for file in discover.find(journal.folder).pages
        if first <= periods.parse(file.key, file.kind, week_starts=journal.settings.week_starts).last <= last
    ]
    pages, _problems = reading.read_pages(journal.folder, chosen, journal.files.basis.known)
    return months(pages, journal.settings)


def write(journal: Journal, year: Period, progress: Progress) -> ExportOutput:
    """The pages of a year, for the year page."""
    progress(_("Writing the months"))
    return ExportOutput(text(journal, year.first, year.last))


def months(pages: Iterable[Page], settings: Settings) -> dict[str, bytes]:
    r"""Pages as Markdown in UTF-8, by the file name of their month.

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
    ordered = sorted(
        ((periods.parse(page.key, page.kind, week_starts=settings.week_starts), page) for page in pages),
        key=lambda pair: (pair[0].last, _ORDER.index(pair[0].kind)),
    )
    files = {}
    for month, of_month in groupby(ordered, key=lambda pair: periods.month(pair[0].last)):
        title = f"# {markdown.line(f'{settings.title}: {dates.period(month)}')}"
        parts = [title, *(_page(period, page, settings) for period, page in of_month)]
        files[f"{month.key}.md"] = ("\n\n".join(parts) + "\n").encode()
    return files


def undated(tasks: Iterable[UndatedTask], settings: Settings) -> dict[str, bytes]:
    r"""The undated tasks as one file; empty without any.

    >>> files = undated([UndatedTask(title="Oil the press", estimate=30)], Settings(title="Spine", places=()))
    >>> print(files["undated.md"].decode(), end="")
    # Spine: tasks without a day
    <BLANKLINE>
    - Oil the press (estimated 30 min)
    """
    items = [_undated(task) for task in tasks]
    if not items:
        return {}
    title = markdown.line(_("{journal}: tasks without a day", journal=settings.title))
    return {"undated.md": "\n".join([f"# {title}", "", *items, ""]).encode()}


def _undated(task: UndatedTask) -> str:
    estimate = _("estimated {time}", time=dates.minutes(task.estimate)) if task.estimate is not None else ""
    since = _("since {day}", day=dates.day(task.since, year=True)) if task.since else ""
    more = numbers.joined([estimate, since])
    return f"- {markdown.block(task.title, '  ')}{f' ({more})' if more else ''}"


def _page(period: Period, page: Page, settings: Settings) -> str:
    if isinstance(page.content, Entry):
        return day_text.day(period.first, page.content, settings)
    return "\n\n".join(_review(period, page.content, settings))


def _review(period: Period, review: Review, settings: Settings) -> Iterator[str]:
    days = dates.period(period)
    title = (
        _("The week of {days}, looked back on", days=days)
        if period.kind == "week"
        else _("{period}, looked back on", period=days)
    )
    yield f"## {title}"
    for reflection in review.reflection:
        prompt = markdown.line(reflection.prompt) or _("Without a question")
        yield f"### {prompt}"
        yield markdown.block(reflection.answer) or _("No answer is written.")
    yield from day_text.section(_("Notes"), map(day_text.item, review.notes))
    decided = (
        f"- {markdown.line(settings.habit_name(habit))}: {entries.decision(decision)}"
        for habit, decision in review.decisions.items()
    )
    yield from day_text.section(_("What becomes of the habits"), decided)
