"""What an evening changes, page by page, in the order in which it is safe to write.

A task that goes to another page is added there before its own page says that it went; one that comes back is open again
on its own page before the other lets go of it. So whatever stops between two pages, a task may stand on both for a
while, and is never on none.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

import msgspec
from msgspec import UNSET

from journal.entry import DAY_FIELDS, Entry, Mark, Span, clock_text
from journal.evening import tomorrow
from journal.evening.form_read import AppointmentEntered, Entered, TomorrowEntered
from journal.evening.form_values import EnteredFields, FormStrip
from journal.folder.identity import identities
from journal.folder.three_way_merge import REMOVE
from journal.settings import Settings

NewTable = dict[str, Any]
ChangeSet = dict[tuple[str, ...], Any]


def of_day(entered: Entered, entry: Entry, settings: Settings) -> ChangeSet:
    """What is changed on the page of the day, all but its tasks."""
    found: ChangeSet = {}
    found |= _fields(entered.fields, entry)
    marks = entry.habits or {}
    found |= {("habits", k): mark for k, mark in entered.habits.items() if not _is_same_mark(mark, marks.get(k))}
    ticks = entered.challenges.items()
    found |= {("challenges", k): tick for k, tick in ticks if tick != entry.challenges.get(k)}
    for name in ("gratitude", "notes"):
        lines = getattr(entered, name)
        if lines is not UNSET and lines != [line.strip() for line in getattr(entry, name)]:
            found[name,] = lines or REMOVE
    if entered.memory is not UNSET and entered.memory != (entry.memory or "").strip():
        found["memory",] = entered.memory or REMOVE
    return found | _share(entered, entry) | _actual(entered, entry, settings)


def _fields(entered: EnteredFields, entry: Entry) -> ChangeSet:
    """The fields whose value is another than the page has; None, or nothing entered, takes one off the page."""
    present = {field.path: field.value(entry) for field in DAY_FIELDS}
    return {path: REMOVE if value is None else value for path, value in entered.items() if value != present[path]}


def _share(entered: Entered, entry: Entry) -> ChangeSet:
    """Whether a friend may read the memory. No mark is left behind without one: it would be of the next, unasked."""
    memory = (entry.memory or "").strip() if entered.memory is UNSET else entered.memory
    share = bool(memory) and (entry.shares if entered.share is UNSET else entered.share)
    touched = memory != (entry.memory or "").strip() or share != entry.shares
    return {("share",): share or REMOVE} if touched and share != entry.share else {}


def _is_same_mark(one: Mark | None, other: Mark | None) -> bool:
    return isinstance(one, bool) == isinstance(other, bool) and one == other


def _actual(entered: Entered, entry: Entry, settings: Settings) -> ChangeSet:
    """The hours as they went. A form that still shows the plan says nothing, unless it says that all went so."""
    if entered.actual is UNSET and not entered.as_planned:
        return {}
    planned, _ = tomorrow.strip(entry, settings, entered.day)
    actual = _spans(entered.actual) if entered.actual is not UNSET else _ordered(planned)
    if not entry.hours.actual and not entered.as_planned and actual == _ordered(planned):
        return {}
    return _strip_changes("actual", actual, _ordered(entry.hours.actual))


def _spans(strip: FormStrip) -> dict[str, list[Span]]:
    return _ordered({key: [span for _, span in of] for key, of in strip.items()})


def _ordered(strip: Mapping[str, Sequence[Span]]) -> dict[str, list[Span]]:
    return {key: sorted(spans) for key, spans in strip.items() if spans}


def _strip_changes(layer: str, wanted: Mapping[str, list[Span]], present: Mapping[str, list[Span]]) -> ChangeSet:
    texts = tomorrow.as_text(wanted)
    return {
        ("hours", layer, key): texts.get(key, REMOVE)
        for key in {**present, **wanted}
        if wanted.get(key) != present.get(key)
    }


def of_next_day(
    entered: TomorrowEntered, entry: Entry, raw: Mapping[str, Any], *, not_planned: Mapping[str, Sequence[Span]] | None
) -> ChangeSet:
    """What is changed on the page of the next day, all but its tasks. `raw` are its values as the file has them.

    The strip of the form is the plan, untouched or not: whoever opens a day plans it. `not_planned` is a strip that is
    none, that of journal.toml where the day is past already and closed late.
    """
    found: ChangeSet = {}
    found |= _fields(entered.fields, entry)
    if entered.planned is not UNSET and (not_planned is None or _spans(entered.planned) != _ordered(not_planned)):
        found |= _strip_changes("planned", _spans(entered.planned), _ordered(entry.hours.planned))
    if entered.appointments is not UNSET:
        found |= _appointments(entered.appointments, raw.get("appointments", []))
    return found


def _appointments(entered: Sequence[AppointmentEntered], tables: Sequence[Mapping[str, Any]]) -> ChangeSet:
    found: ChangeSet = {}
    names = identities("appointments", tables)
    kept = {one.ref for one in entered if one.ref in names}
    for name in names:
        if name not in kept:
            found["appointments", name] = REMOVE
    for one in entered:
        times = {"start": one.start, "end": one.end}
        table: NewTable = {"title": one.title} | {k: clock_text(v) for k, v in times.items() if v is not None}
        if one.ref not in names:
            found["appointments", _free(one.title, names, found)] = table
            continue
        was = tables[names.index(one.ref)]
        for key in ("title", "start", "end"):
            if table.get(key) != was.get(key):
                found["appointments", one.ref, key] = table.get(key, REMOVE)
    return found


def _free(name: str, names: Sequence[str], found: ChangeSet) -> str:
    """A name for something new that nothing else on the page goes by."""
    taken = {*names, *(str(path[1]) for path in found if len(path) > 1)}
    number = 0
    while f"{name} new {number}" in taken:
        number += 1
    return f"{name} new {number}"


class PageWrite(msgspec.Struct, frozen=True):
    """One page to write: its key, and its changes."""

    key: str
    changes: ChangeSet


class PageWrites:
    """The pages that an evening writes, in their order: what is added, the day itself, what its tasks leave behind.

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
        """What a page takes in, before anything lets go of it."""
        self.added.setdefault(key, {}).update(changes)

    def mark(self, key: str, changes: ChangeSet) -> None:
        """What a page says of its own."""
        self.marked.setdefault(key, {}).update(changes)

    def remove(self, key: str, changes: ChangeSet) -> None:
        """What a page lets go of, once it stands elsewhere."""
        self.removed.setdefault(key, {}).update(changes)

    def in_order(self) -> list[PageWrite]:
        """The steps; a page that takes in and says something of its own is written once for both."""
        first = [key for key in self.added if key != self.day]
        first += [key for key in dict.fromkeys((self.day, *self.marked)) if key not in first]
        steps = [PageWrite(key, self.added.get(key, {}) | self.marked.get(key, {})) for key in first]
        steps += [PageWrite(key, changes) for key, changes in self.removed.items()]
        return [step for step in steps if step.changes]
