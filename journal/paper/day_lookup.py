"""Which boxes a day's sheet in a picture has, with its tasks as they were printed.

The tasks are looked for on the page of the day: as it stands, then with those that were carried or dropped since, then
in its earlier states. If none fits, the sheet is read without knowing its tasks.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from journal import Journal
from journal.entry import Entry
from journal.folder import history
from journal.folder.page_versions import Base
from journal.paper import day_layout, day_plan
from journal.paper.corner_search import FoundSheet
from journal.paper.day_plan import PaperTask
from journal.paper.layout import SheetLayout
from journal.saving import base_pages

MOST_STATES = 20
"""Most earlier states of a page that are tried. Each more is one more that may have the digest by chance."""


def layout(book: Journal, sheet: FoundSheet) -> SheetLayout | None:
    """The layout of a day's sheet, None if it is of other definitions than those of the journal."""
    _, date, part = sheet.key
    plan = day_plan.of(book, date)
    unknown = day_layout.of(plan, day_layout.parts(plan, None)[part])
    if not sheet.has_digest(unknown.digest, day_layout.DEFINITION_MASK):
        return None
    for tasks in _tasks(book, date):
        parts = day_layout.parts(plan, day_plan.lines(tasks, plan.ranks))
        if part < len(parts):
            known = day_layout.of(plan, parts[part])
            if sheet.has_digest(known.digest):
                return known
    return unknown


def _tasks(book: Journal, date: dt.date) -> Iterator[tuple[PaperTask, ...]]:
    """The tasks that the sheet may have been printed with, none twice."""
    tried = set[tuple[PaperTask, ...]]()
    base = book.files.pages.look(date.isoformat())
    entries = [_entry(book, base)]
    for state in reversed(history.states(book.folder, base.key, base.data)[-MOST_STATES:]):
        entries.append(_entry(book, Base(base.key, base.path, state.data)))
    for entry in entries:
        for every in (False, True):
            tasks = day_plan.tasks(entry, book.settings, date, every=every)
            if tasks not in tried:
                tried.add(tasks)
                yield tasks


def _entry(book: Journal, base: Base) -> Entry:
    return base_pages.entry(base, book.files.basis.known)[0]
