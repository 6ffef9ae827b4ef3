"""Tasks given to `duskbook log`: `--task` marks a task of the day, `--add-task` adds one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from journal.commands.habit_names import readings
from journal.commands.usage_errors import suggestion
from journal.errors import UsageError
from journal.folder.identity import identities
from journal.folder.three_way_merge import REMOVE
from journal.wording import numbers, typed_numbers

if TYPE_CHECKING:
    import datetime as dt

    from journal.folder.writing import Changes

_STATUSES = {"done": "done", "yes": "done", "open": "open", "no": "open", "dropped": "dropped"}
_CARRIED = "to carry it to another day, use the evening page"


def changes(
    marked: Sequence[str], added: Sequence[str], values: Mapping[str, Any], day: dt.date
) -> tuple[Changes, list[str]]:
    """Return the changes of a page's tasks, and the answer to each given text.

    `marked` are texts like "Sew" (done), "Sew=45" (done, it took 45 minutes), "Sew=open" and "Sew=dropped"; the title
    is one of the page's, in any case. `added` are new tasks, "Sew" or "Sew=45" with an estimate in minutes. A task that
    the page has already is not added again.

    >>> import datetime as dt
    >>> page = {"tasks": [{"title": "Sew", "estimate": 30}]}
    >>> changes(["sew=45"], ["Fold"], page, dt.date(2025, 3, 14))[0]
    {('tasks', 'Sew', 'status'): 'done', ('tasks', 'Sew', 'took'): 45, ('tasks', 'Fold'): {'title': 'Fold'}}

    Raises UsageError for an unknown or ambiguous title and for an invalid mark.
    """
    tables = values.get("tasks", [])
    tables = tables if isinstance(tables, list) and all(isinstance(table, Mapping) for table in tables) else []
    result: dict[tuple[str, ...], Any] = {}
    answers = []
    for text in marked:
        place, mark = _task(text, tables, day)
        ref = identities("tasks", tables)[place]
        for key, value in _marked(text, mark).items():
            if value != tables[place].get(key, "open" if key == "status" else REMOVE):
                result["tasks", ref, key] = value
        answers.append(f'task "{tables[place]["title"]}" {_words(mark)}')
    titles = [str(table.get("title", "")).casefold() for table in tables]
    for title, estimate in map(_new, added):
        if title.casefold() not in titles:
            titles.append(title.casefold())
            result["tasks", title] = {"title": title} | ({"estimate": estimate} if estimate is not None else {})
        answers.append(f'task "{title}"')
    return result, answers


def _task(text: str, tables: Sequence[Mapping[str, Any]], day: dt.date) -> tuple[int, str]:
    """Return the position of a task, and the text after "="; "done" without one."""
    titles = [str(table.get("title", "")) for table in tables]
    for named, given in readings(text):
        title, mark = named.strip(), "done" if given is None else given
        places = [place for place, other in enumerate(titles) if other.casefold() == title.casefold()]
        if len(places) > 1:
            raise UsageError(f'--task {text}: {day} has more than one task "{title}"; mark it on the page')
        if places:
            return places[0], mark
    title = text.partition("=")[0]
    if not titles:
        raise UsageError(f'--task {text}: {day} has no task; add it with --add-task "{title}"')
    remedy = suggestion(title, titles)
    raise UsageError(f'--task {text}: {day} has no task "{title}"; {remedy}, or add it with --add-task "{title}"')


def _marked(text: str, mark: str) -> dict[str, Any]:
    """Return the keys that a mark sets."""
    if mark in _STATUSES:
        return {"status": _STATUSES[mark]}
    remedy = _CARRIED if mark == "carried" else "write done, open, dropped, or the minutes it took, e.g. 45"
    return {"status": "done", "took": _minutes(mark, f"--task {text}", remedy)}


def _new(text: str) -> tuple[str, float | None]:
    """Return the title and the estimate of a task. A text after "=" that is not a number belongs to the title."""
    title, equals, estimate = text.rpartition("=")
    if not equals or not _is_number(estimate):
        title, estimate = text, ""
    if not title.strip():
        raise UsageError(f'--add-task {text}: the title is empty; write e.g. --add-task "Fold the endpapers=30"')
    minutes = _minutes(estimate, f"--add-task {text}", "write the minutes, e.g. 45") if estimate else None
    return " ".join(title.split()), minutes


def _is_number(text: str) -> bool:
    try:
        typed_numbers.read(text)
    except ValueError:
        return False
    return True


def _minutes(text: str, option: str, remedy: str) -> float:
    minutes = typed_numbers.read(text) if _is_number(text) else -1.0
    if not 0 < minutes <= 24 * 60:
        raise UsageError(f'{option}: "{text}" is not a number of minutes up to 1440; {remedy}')
    return int(minutes) if minutes.is_integer() else minutes


def _words(mark: str) -> str:
    return _STATUSES.get(mark) or f"done, took {numbers.number(typed_numbers.read(mark), 2)} min"
