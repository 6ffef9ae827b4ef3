"""Tasks that a save would move from where they no longer are: it would leave them open in two places.

A window that is out of date does not know that another one has moved a task. Both write "carried" on the page that had
it, which is no clash, and each adds it to a page of its own. A task that moves must leave a row that still has it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from journal.errors import WriteError
from journal.folder.identity import matched
from journal.folder.page_versions import Base

TaskRow = Mapping[str, Any]


class TaskPage(NamedTuple):
    """The tasks of one page: as its window saw them, as found on disk, as written, and with its changes alone."""

    seen: Sequence[TaskRow]
    found: Sequence[TaskRow]
    written: Sequence[TaskRow]
    mine: Sequence[TaskRow]


class _Departure(NamedTuple):
    """A row that a task leaves: as it was seen, as the save leaves it, and whether it still has the task on disk."""

    seen: TaskRow
    left: TaskRow
    is_there: bool


def titles(pages: Sequence[TaskPage]) -> list[str]:
    """Return the titles of tasks that a save adds to a page, though the row that they leave has let them go already.

    Two tasks of one title are two rows: the one that still has it may go.

    >>> here, gone = {"title": "Quote"}, {"title": "Quote", "status": "carried", "id": "t7k2"}
    >>> new = [{"title": "Quote", "id": "t7k2"}]
    >>> titles([TaskPage([], [], new, new), TaskPage([here], [here], [gone], [gone])])
    []
    >>> titles([TaskPage([], [], new, new), TaskPage([here], [gone], [gone], [gone])])
    ['Quote']
    """
    leaving = [row for page in pages for row in _leaving(page)]
    moved = []
    for row in (row for page in pages for row in _arrived(page)):
        sources = [source for source in leaving if _is_same(row, source.left if source.left.get("id") else source.seen)]
        if there := next((source for source in sources if source.is_there), None):
            leaving.remove(there)  # of two tasks of one title, each has its own
        elif sources:
            moved.append(str(row.get("title")))
    return moved


def _arrived(page: TaskPage) -> list[TaskRow]:
    """Return the rows that are open after a save and were not before. What was typed now has no id."""
    before = matched("tasks", page.found, page.written)
    return [
        row
        for i, row in enumerate(page.written)
        if row.get("id") and _is_open(row) and (i not in before or not _is_open(page.found[before[i]]))
    ]


def _leaving(page: TaskPage) -> list[_Departure]:
    """Return the rows that a save lets go."""
    mine = {i: j for j, i in matched("tasks", page.seen, page.mine).items()}
    found = {i: j for j, i in matched("tasks", page.seen, page.found).items()}
    return [
        _Departure(row, left, i in found and _has(page.found[found[i]]))
        for i, row in enumerate(page.seen)
        if _has(row) and not _has(left := page.mine[mine[i]] if i in mine else {"status": "carried"})
    ]


def _has(row: TaskRow) -> bool:
    """Return whether a row has its task: it did not go on to another page."""
    return bool(row.get("status", "open") != "carried")


def _is_open(row: TaskRow) -> bool:
    return bool(row.get("status", "open") == "open")


def _is_same(row: TaskRow, other: TaskRow) -> bool:
    if row.get("id") and other.get("id"):
        return bool(row["id"] == other["id"])
    return bool(row.get("title") == other.get("title"))


def tasks(base: Base) -> list[TaskRow]:
    """Return the tasks of a version of a page, none of one that cannot be read."""
    try:
        rows = base.values.get("tasks", [])
    except WriteError:
        return []
    return [row for row in rows if isinstance(row, Mapping)] if isinstance(rows, list) else []
