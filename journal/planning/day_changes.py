"""The changes of an edit to the page of a day: marks, ticks, lines, appointments, hours, weather and place.

Each function reads one edit, adds its changes to the context, and returns what was done, for the list of edits.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from msgspec import UNSET

from journal.entry import Appointment, Entry, Hours, Mark, Weather, clock_text
from journal.evening import page_changes, task_steps
from journal.evening.entered import TomorrowEntered
from journal.evening.page_changes import NewTable
from journal.folder.three_way_merge import REMOVE
from journal.language.catalogue import _
from journal.planning.edit_context import EditContext
from journal.saving.save_pages import ChangeSet
from journal.wording import dates, numbers

_LINES = ("notes", "gratitude")
_OPENING = "\"'“„«‘‚‹"  # a text that starts with one of these is quoted already


def habit(edit: Mapping[str, Any], context: EditContext) -> str:
    """Mark a habit: done, not done, a number, rest, or no mark."""
    key = str(edit.get("key"))
    marks = context.fields.marks({key: edit.get("mark")}, "mark")
    mark = marks.get(key)
    if mark is not None:
        context.check(Entry(habits={key: mark}), "mark")
    changes = habit_changes(context.entry, key, mark)
    if changes.get(("asked",)) is False and context.is_logged_by_now:  # by an evening, since the window was opened
        del changes["asked",]
    context.mark(changes)
    settings = context.book.settings
    known = settings.habit_on(key, context.day)
    return f"{settings.habit_name(key)}: {_mark_words(mark, known.unit if known else '')}"


def habit_changes(entry: Entry, key: str, mark: Mark | None) -> ChangeSet:
    """Return the changes that mark one habit. None takes the mark away.

    A mark makes its day a logged one, but asks for no other habit: `asked = false` keeps those blank until an evening
    closes the day. It goes with the last mark, since an empty table would leave the day logged.

    >>> habit_changes(Entry(), "read", 24)
    {('habits', 'read'): 24, ('asked',): False}
    >>> habit_changes(Entry(habits={"read": 24}, asked=False), "read", None)
    {('habits',): None, ('asked',): None}
    >>> habit_changes(Entry(mood=4), "read", 24)
    {('habits', 'read'): 24}
    """
    others = {name for name in entry.habits or {} if name != key}
    changes: ChangeSet = {("habits", key): mark}
    if mark is None and not others and entry.habits:
        changes = {("habits",): REMOVE}
        if not entry.asked and entry.mood is None:
            changes["asked",] = REMOVE
    elif mark is not None and not entry.logged:
        changes["asked",] = False
    return changes


def _mark_words(mark: Mark | None, unit: str) -> str:
    if mark is None:
        return _("no mark")
    if isinstance(mark, bool):
        return _("done") if mark else _("not done")
    return _("rest") if isinstance(mark, str) else f"{numbers.number(mark)} {unit}".strip()


def challenge(edit: Mapping[str, Any], context: EditContext) -> str:
    """Tick a challenge: done, not done, the later day of catching up, or nothing."""
    key = str(edit.get("key"))
    tick = context.fields.ticks({key: edit.get("tick")}, "tick").get(key)
    if tick is not None:
        context.check(Entry(challenges={key: tick}), "tick")
    if isinstance(tick, dt.date) and tick > context.book.today:
        context.fields.report("tick", _("{day} is still to come; choose the day it was done on.", day=tick))
    context.mark({("challenges", key): tick})
    name = next((one.name for one in context.book.settings.challenges if one.key == key), key)
    words = _("no tick") if tick is None else _("done") if tick else _("not done")
    return f"{name}: {words}"


def line(edit: Mapping[str, Any], context: EditContext) -> str:
    """Add a note or a good thing, reword one, or take one out: `at` is its place, an empty text takes it out."""
    name = context.fields.word(edit.get("list"), "list", _LINES)
    at, present = edit.get("at"), list(getattr(context.entry, name))
    text = context.fields.text(edit, "text") or ""
    if at is None:
        text = text or context.text(edit, "text", _("There is nothing written yet; write it, then add it."))
        context.mark({(name,): [*present, text]})
        return _("Note: {text}", text=text) if name == "notes" else _("Good thing: {text}", text=text)
    if not isinstance(at, int) or not 0 <= at < len(present):
        context.fields.report("", _("This line is not on the page any more; look at the page, then do it again."))
        return ""
    lines = [*present[:at], *([text] if text else []), *present[at + 1 :]]
    context.mark({(name,): lines or REMOVE})
    if name == "notes":
        return _("Note reworded: {text}", text=text) if text else _("Note taken out: {text}", text=present[at])
    return _("Good thing reworded: {text}", text=text) if text else _("Good thing taken out: {text}", text=present[at])


def quote(edit: Mapping[str, Any], context: EditContext) -> str:
    """Add a quotation to the notes."""
    text = context.fields.text(edit, "text") or ""
    text = text or context.text(edit, "text", _("There is nothing written yet; write the words, then add them."))
    quoted = quotation(text, context.fields.text(edit, "by") or "")
    context.mark({("notes",): [*context.entry.notes, quoted]})
    return _("Quote: {text}", text=quoted)


def quotation(text: str, by: str) -> str:
    """Return a quotation as one line of the notes.

    >>> quotation("Make haste slowly.", "Aldus"), quotation("«Bon.»", "")
    ('“Make haste slowly.” (Aldus)', '«Bon.»')
    """
    quoted = text if text.startswith(tuple(_OPENING)) else f"“{text}”"
    return f"{quoted} ({by})" if by else quoted


def appointment(edit: Mapping[str, Any], context: EditContext) -> str:
    """Add an appointment, correct one, or take one out."""
    fields = context.fields
    found = None if edit.get("ref") is None else context.row("appointments", edit["ref"])
    if edit.get("remove") is True and found is not None:
        context.mark({("appointments", found[0]): REMOVE})
        return _("{title}: taken out", title=found[1].get("title"))
    title = context.text(edit, "title", _("This appointment has no title; write what it is."))
    start, end = (fields.clock(edit.get(name), name) for name in ("start", "end"))
    if not fields.troubles:
        context.check(Entry(appointments=(Appointment(title=title, start=start, end=end),)))
    times = {"start": start, "end": end}
    table: NewTable = {"title": title} | {k: None if v is None else clock_text(v) for k, v in times.items()}
    if found is None:
        added = {name: value for name, value in table.items() if value is not None}
        context.mark({("appointments", context.new_name("appointments")): added})
        return _("{title}: added", title=title)
    changes = task_steps.edits(found[1], **table)
    context.mark({("appointments", found[0], *path): value for path, value in changes.items()})
    return _("{title}: corrected", title=title)


def fields(edit: Mapping[str, Any], context: EditContext) -> str:
    """Correct the weather and the other fields that a day is opened with."""
    entered = context.fields.day_fields(edit, "tomorrow")
    context.fields.troubles = [
        type(trouble)(trouble.field.removeprefix("tomorrow."), trouble.message) for trouble in context.fields.troubles
    ]
    weather = {path[1]: value for path, value in entered.items() if path[0] == "weather"}
    others = {path[0]: value for path, value in entered.items() if len(path) == 1}
    if not context.fields.troubles:
        context.check(Entry(weather=Weather(**weather), **others))
    whole = TomorrowEntered(fields=entered, appointments=UNSET, planned=UNSET, tasks=UNSET)
    context.mark(page_changes.next_day_changes(whole, context.entry, {}))
    return _("Weather: corrected") if weather else _("Corrected")


def place(edit: Mapping[str, Any], context: EditContext) -> str:
    """Say where the day is spent. Home needs no word on the page."""
    key, places = str(edit.get("key")), context.book.settings.places
    context.check(Entry(place=key), "place")
    is_home = bool(places) and key == places[0].key
    context.mark({("place",): REMOVE if is_home else key})
    return _("Place: {place}", place=next((one.name for one in places if one.key == key), key))


def hours(edit: Mapping[str, Any], context: EditContext) -> str:
    """Plan the hours of the day."""
    strip = context.fields.strip(edit, "planned")
    planned = {} if strip is UNSET else {key: tuple(span for _position, span in spans) for key, spans in strip.items()}
    if not context.fields.troubles:
        context.check(Entry(hours=Hours(planned=planned)), "planned")
    whole = TomorrowEntered(fields={}, appointments=UNSET, planned=strip, tasks=UNSET)
    context.mark(page_changes.next_day_changes(whole, context.entry, {}))
    return _("Hours of {day}: planned", day=dates.day(context.day))
