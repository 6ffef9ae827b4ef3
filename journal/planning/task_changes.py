"""The changes of an edit to a task: its values, a new task, one that comes from elsewhere or goes elsewhere.

As in the evening, a task that goes to another page is written there first, and keeps its id, its first day and its
estimate.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

import polars as pl
from msgspec import UNSET

from journal.entry import Entry, Task
from journal.evening import carryover, triage_list
from journal.evening.page_changes import NewTable
from journal.evening.task_steps import LASTING_KEYS, edits, lost_keys
from journal.evening.triage_save import Decided, TriageAction, TriageSteps
from journal.folder.page_versions import UNDATED
from journal.folder.three_way_merge import REMOVE
from journal.language.catalogue import N_, _
from journal.planning.edit_context import EditContext
from journal.saving.save_pages import ChangeSet
from journal.wording import dates, numbers

_NO_TITLE = N_("This task has no title; write what it is.")


def change(edit: Mapping[str, Any], context: EditContext) -> str:
    """Change values of a task of the day: title, status (open or done), rank, estimate, time taken."""
    found = context.row("tasks", edit.get("ref"))
    if found is None:
        return ""
    ref, row = found
    values: NewTable = {}
    is_open = row.get("status", "open") == "open"
    if (is_open or edit.get("status") == "open") and _is_moved(row, context):
        return ""
    if "title" in edit:
        values["title"] = context.text(edit, "title", _(_NO_TITLE))
    if "status" in edit:
        values["status"] = context.fields.word(edit["status"], "status", ("open", "done"))
    values |= {name: context.fields.number(edit, name) for name in ("estimate", "took") if name in edit}
    if "rank" in edit:
        values["rank"] = context.fields.whole(edit["rank"], "rank")
    _check(values, context)
    if values.get("status") == row.get("status", "open"):
        del values["status"]
    if values.get("title", row.get("title")) != row.get("title"):
        values |= _named_elsewhere(row, context)
        _reword_continuation(row, values["title"], context)
    changes = {("tasks", ref, *path): value for path, value in edits(row, **values).items()}
    context.mark(changes | _swapped(ref, row, values, context))
    done = values.get("status")
    title = values.get("title") or row.get("title")
    return f"{title}: {done or ('reworded' if 'title' in edit else 'changed')}"


def _check(values: NewTable, context: EditContext) -> None:
    """Report the faults of a task's new values. A rank that another task has is given up by that one."""
    if not context.fields.troubles:
        numbers_only = {name: values[name] for name in ("estimate", "took", "rank") if values.get(name) is not None}
        context.check(Entry(tasks=(Task(title="", **numbers_only),)))


def _swapped(ref: str, row: NewTable, values: NewTable, context: EditContext) -> ChangeSet:
    """Return the changes of the task that has the new rank already: it gets the old one."""
    rank = values.get("rank")
    if rank is None or rank == row.get("rank"):
        return {}
    holders = (name for name, other in context.rows("tasks").items() if name != ref and other.get("rank") == rank)
    return {("tasks", name, "rank"): row.get("rank", REMOVE) for name in holders}


def _named_elsewhere(row: NewTable, context: EditContext) -> NewTable:
    """Return the first day and the id of a task that is on other pages too under its old title, and name it there.

    Without an id, the task would count as another one from here on. Its nearest earlier and later pages get the id.
    """
    first = row.get("since") or context.day
    if row.get("id"):
        return {}
    on = context.book.tables.tasks.filter(
        pl.col("title") == row.get("title"), pl.coalesce("since", "date") == first, pl.col("date") != context.day
    ).get_column("date")
    beside = [on.filter(on < context.day).max(), on.filter(on > context.day).min()]
    keys = [str(date) for date in beside if date is not None]
    if not keys:
        return {}
    naming = context.names.assign(row, context.day, beside=_ids(context))
    for key in keys:
        match = triage_list.same(context.pages, key, {"title": row.get("title")}, first=first)
        if match is not None and not match[1].get("id"):
            context.steps.add(key, {("tasks", match[0], "id"): naming["id"]})
    return naming


def _reword_continuation(row: NewTable, title: str, context: EditContext) -> None:
    """Reword a task of a day that it was carried from also where it stands by now, if it has the same title there."""
    if row.get("status") != "carried":
        return
    book, first = context.book, row.get("since") or context.day
    for key in carryover.open_places(book.tables.tasks, book.undated, row, first) - {context.key}:
        match = triage_list.same(context.pages, key, row, first=first)
        if match is not None and match[1].get("title") == row.get("title"):
            context.steps.add(key, {("tasks", match[0], "title"): title})


def _ids(context: EditContext) -> list[object]:
    return [table["id"] for table in context.rows("tasks").values() if "id" in table]


def add(edit: Mapping[str, Any], context: EditContext) -> str:
    """Add a task to the day."""
    title = context.text(edit, "title", _(_NO_TITLE))
    rank, estimate = context.fields.whole(edit.get("rank"), "rank"), context.fields.number(edit, "estimate")
    table: NewTable = {"title": title, "status": "open"}
    table |= {k: v for k, v in (("rank", rank), ("estimate", estimate)) if v not in (None, UNSET)}
    if not context.fields.troubles:
        tasks = (*context.entry.tasks, Task(title=title, rank=rank, estimate=table.get("estimate")))
        context.check(Entry(tasks=tasks), only=len(tasks) - 1)
    context.mark({("tasks", context.new_name("tasks")): table})
    return _("{title}: added", title=title)


def add_undated(edit: Mapping[str, Any], context: EditContext) -> str:
    """Add a task without a day."""
    title = context.text(edit, "title", _(_NO_TITLE))
    estimate = context.fields.number(edit, "estimate")
    table: NewTable = {"title": title, "since": context.book.today}
    if estimate not in (None, UNSET):
        table["estimate"] = estimate
        _check({"estimate": estimate}, context)
    context.steps.add(UNDATED, {("tasks", context.new_name("tasks", UNDATED)): table})
    return _("{title}: added without a day", title=title)


def take_in(edit: Mapping[str, Any], context: EditContext) -> str:
    """Take a task in from an earlier day or from the undated tasks: `ref` is "2025-03-10/t7k2" or "undated/u2p5"."""
    return _("{title}: taken in", title=_decided(context, str(edit.get("ref")), "day", context.day))


def move(edit: Mapping[str, Any], context: EditContext) -> str:
    """Move a task of the day to another day, `to`, or drop it."""
    ref = f"{context.key}/{edit.get('ref')}"
    if edit.get("drop") is True:
        return _("{title}: dropped", title=_decided(context, ref, "drop", None))
    to = context.fields.date(edit.get("to"), "to")
    if to is None or to <= context.book.today or to == context.day:
        if not context.fields.troubles:
            context.fields.report("to", _("Expected another day that is still to come; choose one from the calendar."))
        return ""
    return _("{title}: moved to {day}", title=_decided(context, ref, "day", to), day=dates.day(to))


def _decided(context: EditContext, ref: str, what: TriageAction, to: dt.date | None) -> str:
    """Move a task as a decision of the week's list does. Return its title."""
    page, _slash, name = ref.partition("/")
    row = context.rows("tasks", page).get(name)
    book = context.book
    triage = TriageSteps(context.pages, book.today, book.tables.tasks, book.undated, context.names)
    triage.take(Decided(position=0, ref=ref, what=what, to=to, title=UNSET, estimate=UNSET))
    for trouble in triage.troubles:
        context.fields.report("", trouble.message)
    context.steps = triage.steps
    return str(row.get("title")) if row else name


def _is_moved(row: NewTable, context: EditContext) -> bool:
    """Report a task that another window has moved since: it is open elsewhere, and not on the day.

    A task without a first day of its own got another one than that of its page, if it was put away before that day.
    """
    book, first = context.book, row.get("since") or context.day
    places = carryover.open_places(book.tables.tasks, book.undated, row, first)
    if not places and not any(other.get("title") == row.get("title") for other in context.pages.now(context.key)):
        places = {UNDATED for task in book.undated.tasks if task.title == row.get("title")}
    if not places or context.key in places:
        return False
    names = numbers.listed(sorted(places))
    context.fields.report("", _("It stands on {names} by now; look at the page, then do it again.", names=names))
    return True


def put_away(edit: Mapping[str, Any], context: EditContext) -> str:
    """Put a task of the day to the undated ones. A coming day loses it, any other marks it as carried."""
    found = context.row("tasks", edit.get("ref"))
    if found is None:
        return ""
    ref, row = found
    if _is_moved(row, context):
        return ""
    open_ids = carryover.open_ids(context.book.tables.tasks, context.book.undated)
    others = [task_id for task_id, keys in open_ids.items() if keys - {UNDATED}]
    others += carryover.arrived_ids(context.book.tables.tasks, context.book.undated, to=UNDATED, source=context.key)
    others += [
        table["id"] for table in context.rows("tasks", UNDATED).values() if "id" in table
    ]  # seen there as others
    naming = context.names.assign(row, min(context.day, context.book.today), beside=[*_ids(context), *others])
    task = row | naming
    if context.pages.same(UNDATED, task) is None:
        table = {name: task[name] for name in LASTING_KEYS if name in task}
        context.steps.add(UNDATED, {("tasks", str(naming["id"])): table})
    lost = lost_keys(row)
    if context.day <= context.book.today:
        changes = edits(row, status="carried", **naming)
        context.steps.remove(context.key, {("tasks", ref, *path): value for path, value in changes.items()})
    elif lost:
        names = numbers.listed(_('"{text}"', text=name) for name in lost)
        context.fields.report("", _("It has {names}, which would be lost; move it by hand.", names=names))
    else:
        context.steps.remove(context.key, {("tasks", ref): REMOVE})
    return _("{title}: without a day", title=row.get("title"))
