"""The changes of an evening, page by page, in an order in which writing may stop at any point.

A task that moves to another page is added there before its own page marks it as carried. A task that comes back is
opened on its own page before the other page removes it. So if writing stops between two pages, a task may be on both
for a while, but never on none.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import UNSET

from journal.entry import DAY_FIELDS, Entry, Mark, Span, clock_text
from journal.evening import tomorrow
from journal.evening.entered import AppointmentEntered, Entered, TomorrowEntered
from journal.folder.identity import identities
from journal.folder.page_versions import UNDATED
from journal.folder.three_way_merge import REMOVE
from journal.saving.form_values import EnteredFields, FormStrip
from journal.saving.save_pages import ChangeSet, PageWrite

NewTable = dict[str, Any]


_RECENT = dt.timedelta(days=1)
"""An evening of today or of the day before closes its day. One of an earlier day may only correct it."""


def day_changes(
    entered: Entered, entry: Entry, raw: Mapping[str, Any], *, today: dt.date, asks_all: bool = True
) -> ChangeSet:
    """Return the changes to the page of the day, except its tasks. `raw` are its values as in the file.

    An evening asks for every habit, so it removes `asked = false`, which an import or a single mark has left. On a day
    before yesterday it does so only with a changed mark: correcting a memory does not ask for the habits.
    `asks_all` is false if broken lines of journal.toml hide habits. Then the evening writes `asked = false` itself: the
    hidden habits would be missed once the lines are mended.
    """
    changes: ChangeSet = {}
    changes |= _fields(entered.fields, entry)
    marks = entry.habits or {}
    changes |= {("habits", k): mark for k, mark in entered.habits.items() if not _is_same_mark(mark, marks.get(k))}
    marks_change = not changes.keys().isdisjoint({("habits", key) for key in entered.habits})
    if asks_all and not entry.asked and (marks_change or today - entered.day <= _RECENT):
        changes["asked",] = REMOVE
    elif not asks_all and not entry.logged and (marks_change or ("mood",) in changes):
        changes["asked",] = False
    ticks = entered.challenges.items()
    changes |= {("challenges", k): tick for k, tick in ticks if tick != entry.challenges.get(k)}
    for name in ("gratitude", "notes"):
        lines = getattr(entered, name)
        if lines is not UNSET and lines != [line.strip() for line in getattr(entry, name)]:
            changes[name,] = lines or REMOVE
    if entered.memory is not UNSET and entered.memory != (entry.memory or "").strip():
        changes["memory",] = entered.memory or REMOVE
    if entered.appointments is not UNSET:
        changes |= _appointments(entered.appointments, raw.get("appointments", []))
    return changes | _share(entered, entry) | _actual(entered, entry)


def _fields(entered: EnteredFields, entry: Entry) -> ChangeSet:
    """Return the fields whose value differs from the page. None, or an empty field, removes it."""
    page_values = {field.path: field.value(entry) for field in DAY_FIELDS}
    return {path: REMOVE if value is None else value for path, value in entered.items() if value != page_values[path]}


def _share(entered: Entered, entry: Entry) -> ChangeSet:
    """Return the change of `share`. Without a memory it is removed, or it would apply to the next memory."""
    memory = (entry.memory or "").strip() if entered.memory is UNSET else entered.memory
    share = bool(memory) and (entry.shares if entered.share is UNSET else entered.share)
    touched = memory != (entry.memory or "").strip() or share != entry.shares
    return {("share",): share or REMOVE} if touched and share != entry.share else {}


def _is_same_mark(a: Mark | None, b: Mark | None) -> bool:
    return isinstance(a, bool) == isinstance(b, bool) and a == b


def _actual(entered: Entered, entry: Entry) -> ChangeSet:
    """Return the changes of the actual hours. A form that still shows what it offered has none."""
    if entered.actual is UNSET:
        return {}
    return _strip_changes("actual", spans(entered.actual), _ordered(entry.hours.actual))


def spans(strip: FormStrip) -> dict[str, list[Span]]:
    """Return the spans of a form's strip in the order of the day, without empty categories."""
    return _ordered({key: [span for _, span in numbered] for key, numbered in strip.items()})


def _ordered(strip: Mapping[str, Sequence[Span]]) -> dict[str, list[Span]]:
    return {key: sorted(spans) for key, spans in strip.items() if spans}


def _strip_changes(layer: str, wanted: Mapping[str, list[Span]], present: Mapping[str, list[Span]]) -> ChangeSet:
    texts = tomorrow.as_text(wanted)
    return {
        ("hours", layer, key): texts.get(key, REMOVE)
        for key in {**present, **wanted}
        if wanted.get(key) != present.get(key)
    }


def next_day_changes(
    entered: TomorrowEntered, entry: Entry, raw: Mapping[str, Any], *, is_opened: bool = True
) -> ChangeSet:
    """Return the changes to the page of the next day, except its tasks. `raw` are its values as in the file.

    The strip of the form is the plan, untouched or not: opening a day plans it. A day that the evening does not open
    (`is_opened`), because it is over or was opened already, gets only hours that were touched.
    """
    changes: ChangeSet = {}
    changes |= _fields(entered.fields, entry)
    if entered.planned is not UNSET and (is_opened or entered.is_planned_touched):
        changes |= _strip_changes("planned", spans(entered.planned), _ordered(entry.hours.planned))
    if entered.appointments is not UNSET:
        changes |= _appointments(entered.appointments, raw.get("appointments", []))
    return changes


def _appointments(entered: Sequence[AppointmentEntered], tables: Sequence[Mapping[str, Any]]) -> ChangeSet:
    changes: ChangeSet = {}
    names = identities("appointments", tables)
    kept = {appointment.ref for appointment in entered if appointment.ref in names}
    for name in names:
        if name not in kept:
            changes["appointments", name] = REMOVE
    for appointment in entered:
        times = {"start": appointment.start, "end": appointment.end}
        table: NewTable = {"title": appointment.title} | {k: clock_text(v) for k, v in times.items() if v is not None}
        if appointment.ref not in names:
            changes["appointments", _free(appointment.title, names, changes)] = table
            continue
        old_table = tables[names.index(appointment.ref)]
        for key in ("title", "start", "end"):
            if table.get(key) != old_table.get(key):
                changes["appointments", appointment.ref, key] = table.get(key, REMOVE)
    return changes


def _free(name: str, names: Sequence[str], changes: ChangeSet) -> str:
    """Return a name for a new entry that no other entry of the page has."""
    taken = {*names, *(str(path[1]) for path in changes if len(path) > 1)}
    number = 0
    while f"{name} new {number}" in taken:
        number += 1
    return f"{name} new {number}"


class PageWrites:
    """The pages that an evening writes, in order: additions, then the day itself, then removals.

    >>> steps = PageWrites(dt.date(2025, 3, 13))
    >>> steps.mark("2025-03-13", {("tasks", "t7k2", "status"): "carried"})
    >>> steps.add("2025-03-14", {("tasks", "t7k2"): {"title": "Quote", "id": "t7k2"}})
    >>> steps.remove("undated", {("tasks", "u9x2"): REMOVE})
    >>> [(step.key, *step.changes) for step in steps.in_order()]
    [('2025-03-14', ('tasks', 't7k2')), ('2025-03-13', ('tasks', 't7k2', 'status')), ('undated', ('tasks', 'u9x2'))]
    """

    def __init__(self, day: dt.date) -> None:
        self.day = day.isoformat()
        self.added: dict[str, ChangeSet] = {}
        self.marked: dict[str, ChangeSet] = {}
        self.removed: dict[str, ChangeSet] = {}

    def add(self, key: str, changes: ChangeSet) -> None:
        """Add changes that put something on a page. They are written first."""
        self.added.setdefault(key, {}).update(changes)

    def mark(self, key: str, changes: ChangeSet) -> None:
        """Add changes to what a page has already."""
        self.marked.setdefault(key, {}).update(changes)

    def remove(self, key: str, changes: ChangeSet) -> None:
        """Add changes that take something off a page, once it is on another page."""
        self.removed.setdefault(key, {}).update(changes)

    def in_order(self) -> list[PageWrite]:
        """Return the pages to write. Additions and marks of one page are written together.

        The tasks without a day come first: a task that is taken off another page may go there.
        """
        first = sorted((key for key in self.added if key != self.day), key=lambda key: key != UNDATED)
        first += [key for key in dict.fromkeys((self.day, *self.marked)) if key not in first]
        steps = [PageWrite(key, self.added.get(key, {}) | self.marked.get(key, {})) for key in first]
        steps += [PageWrite(key, changes) for key, changes in self.removed.items()]
        return [step for step in steps if step.changes]
