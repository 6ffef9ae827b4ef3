"""Tasks that a save moved or reworded, and that were moved on since: taking that save back would leave them in two
places."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from journal.errors import WriteError
from journal.folder.identity import matched
from journal.folder.page_versions import Base
from journal.saving.stale_moves import TaskRow

TaskTables = list[TaskRow]


def titles(
    pairs: Sequence[tuple[Base, Base]], current: Callable[[str], Base], pages_of: Callable[[TaskRow], set[str]]
) -> list[str]:
    """Return the titles of tasks that were moved on from where the save put them.

    `pairs` are the versions that the save replaced, each with the one it wrote, in order. A task moves if it was open
    on one of these pages before, and is open on another one after. `current` returns the version on disk by now, and
    `pages_of` the keys of all pages that have a task by now: by its id, or those where its title is open.

    >>> here, there = '[[tasks]]\\ntitle = "Quote"\\n', '[[tasks]]\\ntitle = "Quote"\\nstatus = "carried"\\n'
    >>> def page(day, text=""): return Base(day, f"{day}.toml", text.encode())
    >>> def nowhere(task): return set()
    >>> moved = [(page("2025-03-14"), page("2025-03-14", here)), (page("2025-03-13", here), page("2025-03-13", there))]
    >>> titles(moved, lambda key: page(key, here), nowhere), titles(moved, page, nowhere)
    ([], ['Quote'])
    """
    first: dict[str, Base] = {}
    for before, _ in pairs:
        first.setdefault(before.key, before)
    last = {after.key: after for _, after in pairs}
    moved = []
    for key, after in last.items():
        arrived = [task for task in _open(after) if not _holds(_open(first[key]), task)]
        left = [task for other in last if other != key for task in _left(first[other], last[other])]
        by_now = [task for task in _tasks(current(key)) if task.get("status") != "carried"]
        moved += [str(task.get("title")) for task in arrived if _holds(left, task) and not _holds(by_now, task)]
        moved += _gone(_tasks(first[key]), _tasks(after), _tasks(current(key)), pages_of)
    return list(dict.fromkeys([*moved, *_named(first, last, pages_of)]))


def _gone(before: TaskTables, after: TaskTables, now: TaskTables, pages_of: Callable[[TaskRow], set[str]]) -> list[str]:
    """Return the tasks without an id that the save reworded on a page or added to it, and that are elsewhere by now.

    The way back would add the reworded one there under the old title, and take nothing away of the added one.
    """
    same, there = matched("tasks", before, after), matched("tasks", after, now).values()
    reworded = matched("tasks", before, after, by_position=True)
    return [
        str(task.get("title"))
        for j, task in enumerate(after)
        if j not in same and j not in there and (j in reworded or pages_of(task))
    ]


def _named(first: Mapping[str, Base], last: Mapping[str, Base], pages_of: Callable[[TaskRow], set[str]]) -> list[str]:
    """Return the tasks that got their id from the save and are on a further page with it: it would be taken from them
    on these pages alone."""
    known = {task.get("id") for base in first.values() for task in _tasks(base)}
    named = {
        task["id"]: task for base in last.values() for task in _tasks(base) if task.get("id") not in (None, *known)
    }
    return [str(task.get("title")) for task in named.values() if pages_of(task) - last.keys()]


def _left(before: Base, after: Base) -> TaskTables:
    """Return the tasks that are open on a page before a save and not after it."""
    still = _open(after)
    return [task for task in _open(before) if not _holds(still, task)]


def _open(base: Base) -> TaskTables:
    return [row for row in _tasks(base) if row.get("status", "open") == "open"]


def _tasks(base: Base) -> TaskTables:
    """Return the tasks of a page, none of one that cannot be read: no undo is written to that."""
    try:
        rows = base.values.get("tasks", [])
    except WriteError:
        return []
    return [row for row in rows if isinstance(row, Mapping)] if isinstance(rows, list) else []


def _holds(rows: TaskTables, task: Mapping[str, Any]) -> bool:
    """Return whether a task is among rows: by id, or by title where one of them has none yet."""
    return any(
        row["id"] == task["id"] if row.get("id") and task.get("id") else row.get("title") == task.get("title")
        for row in rows
    )
