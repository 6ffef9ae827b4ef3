"""Tasks given to `duskbook log`: `--task` marks a task of the day, `--add-task` adds one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from journal.commands.habit_names import readings
from journal.commands.usage_errors import suggestion
from journal.errors import UsageError
from journal.folder.identity import identities
from journal.folder.three_way_merge import REMOVE
from journal.language.catalogue import N_, _
from journal.wording import numbers, typed_numbers

if TYPE_CHECKING:
    import datetime as dt

    from journal.folder.writing import Changes

_STATUSES = {"done": "done", "yes": "done", "open": "open", "no": "open", "dropped": "dropped"}
_SAID = {"done": N_('task "{title}" done'), "open": N_('task "{title}" open'), "dropped": N_('task "{title}" dropped')}


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
        answers.append(_answer(str(tables[place]["title"]), mark))
    titles = [str(table.get("title", "")).casefold() for table in tables]
    for title, estimate in map(_new, added):
        if title.casefold() not in titles:
            titles.append(title.casefold())
            result["tasks", title] = {"title": title} | ({"estimate": estimate} if estimate is not None else {})
        answers.append(_('task "{title}"', title=title))
    return result, answers


def _task(text: str, tables: Sequence[Mapping[str, Any]], day: dt.date) -> tuple[int, str]:
    """Return the position of a task, and the text after "="; "done" without one."""
    titles = [str(table.get("title", "")) for table in tables]
    for named, given in readings(text):
        title, mark = named.strip(), "done" if given is None else given
        places = [place for place, other in enumerate(titles) if other.casefold() == title.casefold()]
        if len(places) > 1:
            refusal = _('--task {typed}: {day} has more than one task "{title}"; mark it on the page')
            raise UsageError(refusal.format(typed=text, day=day, title=title))
        if places:
            return places[0], mark
    title = text.partition("=")[0]
    if not titles:
        refusal = _('--task {typed}: {day} has no task; add it with --add-task "{title}"')
        raise UsageError(refusal.format(typed=text, day=day, title=title))
    refusal = _('--task {typed}: {day} has no task "{title}"; {remedy}, or add it with --add-task "{title}"')
    raise UsageError(refusal.format(typed=text, day=day, title=title, remedy=suggestion(title, titles)))


def _marked(text: str, mark: str) -> dict[str, Any]:
    """Return the keys that a mark sets."""
    if mark in _STATUSES:
        return {"status": _STATUSES[mark]}
    refusal = _(
        '--task {typed}: "{value}" is not a number of minutes up to 1440; '
        "write done, open, dropped, or the minutes it took, e.g. 45"
    )
    if mark == "carried":
        refusal = _(
            '--task {typed}: "{value}" is not a number of minutes up to 1440; '
            "to carry it to another day, use the evening page"
        )
    return {"status": "done", "took": _minutes(mark, refusal.format(typed=text, value=mark))}


def _new(text: str) -> tuple[str, float | None]:
    """Return the title and the estimate of a task. A text after "=" that is not a number belongs to the title."""
    title, equals, estimate = text.rpartition("=")
    if not equals or not _is_number(estimate):
        title, estimate = text, ""
    if not title.strip():
        refusal = _('--add-task {typed}: the title is empty; write e.g. --add-task "Fold the endpapers=30"')
        raise UsageError(refusal.format(typed=text))
    refusal = _('--add-task {typed}: "{value}" is not a number of minutes up to 1440; write the minutes, e.g. 45')
    minutes = _minutes(estimate, refusal.format(typed=text, value=estimate)) if estimate else None
    return " ".join(title.split()), minutes


def _is_number(text: str) -> bool:
    try:
        typed_numbers.read(text)
    except ValueError:
        return False
    return True


def _minutes(text: str, refusal: str) -> float:
    minutes = typed_numbers.read(text) if _is_number(text) else -1.0
    if not 0 < minutes <= 24 * 60:
        raise UsageError(refusal)
    return int(minutes) if minutes.is_integer() else minutes


def _answer(title: str, mark: str) -> str:
    if mark in _STATUSES:
        return _(_SAID[_STATUSES[mark]], title=title)
    minutes = numbers.number(typed_numbers.read(mark), 2)
    return _('task "{title}" done, took {minutes} min', title=title, minutes=minutes)
