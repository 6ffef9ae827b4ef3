"""The meaning of every column of the exported tables, for the data dictionary."""

from __future__ import annotations

from journal.entry import DAY_FIELDS
from journal.export.column_docs import DATE, HABIT, MARK, NEVER, TARGET, VALUE, ColumnDoc, TableDoc, key_of
from journal.export.counted_columns import COUNTED

_UNDATED = "the decision has no such day"
_POSITION = ColumnDoc("count from 0", NEVER, "The place in the list on the page.")
_MINUTE = "minute of the day"
_NOT_WRITTEN = "not written"

_RECORDED = {
    "days": TableDoc(
        "A row is a calendar day, from the first page, habit or challenge to the end of the current week and month.",
        {
            "date": DATE,
            "logged": ColumnDoc("none", NEVER, "Whether the day was closed: its page has a mood or a table of habits."),
            "asked": ColumnDoc("none", NEVER, "Whether the day was closed and its habits were asked."),
            **{
                field.name: ColumnDoc(field.unit or "none", field.missing, field.meaning or f"{field.label}.")
                for field in DAY_FIELDS
            },
            "written": ColumnDoc("none", NEVER, "Whether there is a page for the day."),
        },
    ),
    "marks": TableDoc(
        "A row is a habit on a day on which it is in force, with or without a mark.",
        {
            "habit": HABIT,
            "date": DATE,
            "logged": ColumnDoc("none", NEVER, "Whether the day was closed, as in `days`."),
            "asked": ColumnDoc("none", NEVER, "Whether its habits were asked, as in `days`."),
            "due": ColumnDoc(
                "none", "the habit has a quota instead of a rule", "Whether the habit's rule falls on the day."
            ),
            "times": ColumnDoc("days", "the habit has a rule instead of a quota", "The quota: days per `per`."),
            "per": ColumnDoc(
                "none", "the habit has a rule instead of a quota", 'The period of the quota: "week" or "month".'
            ),
            "target": TARGET,
            "aim": ColumnDoc("none", "the habit is not counted", 'The kind of target: "at least" or "at most".'),
            "off": ColumnDoc("none", NEVER, "Whether the day is time off (`[[rests]]`), or left free by a trial."),
            "mark": MARK,
            "value": VALUE,
        },
    ),
    "ticks": TableDoc(
        "A row is a challenge on a day of its span.",
        {
            "challenge": key_of("The challenge", "challenges"),
            "date": DATE,
            "ticked": ColumnDoc("none", "not recorded", "Whether it was done for the day."),
            "caught_up": ColumnDoc(
                "day", "done on the day itself, or not", "The later day on which it was done for this day."
            ),
        },
    ),
    "lines": TableDoc(
        "A row is a written line.",
        {
            "date": DATE,
            "kind": ColumnDoc("none", NEVER, '"gratitude", "memory" or "note".'),
            "position": _POSITION,
            "text": ColumnDoc("none", NEVER, "The line."),
            "shared": ColumnDoc("none", NEVER, "Whether it is a memory that a friend may read."),
        },
    ),
    "pictures": TableDoc(
        "A row is a picture of a day.",
        {
            "date": DATE,
            "position": _POSITION,
            "picture": ColumnDoc("none", NEVER, "Its name in exports: the day and its number on that day."),
            "caption": ColumnDoc("none", "without a caption", "Its caption, which is its alternative text too."),
            "shared": ColumnDoc("none", NEVER, "Whether the memory of its day is one that a friend may read."),
        },
    ),
    "hours": TableDoc(
        "A row is a span of the 24-hour strip.",
        {
            "date": DATE,
            "layer": ColumnDoc("none", NEVER, '"planned", or "actual" for hours as they went.'),
            "category": key_of("The category", "categories"),
            "start_minute": ColumnDoc(_MINUTE, NEVER, "When it began, from 0, in the time zone of the place."),
            "end_minute": ColumnDoc(_MINUTE, NEVER, "When it ended, up to 1440, exclusive."),
        },
    ),
    "appointments": TableDoc(
        "A row is an appointment.",
        {
            "date": DATE,
            "title": ColumnDoc("none", NEVER, "Its title."),
            "start_minute": ColumnDoc(_MINUTE, "for the whole day", "When it begins, in the time zone of the place."),
            "end_minute": ColumnDoc(_MINUTE, "no end is written, or for the whole day", "When it ends, up to 1440."),
        },
    ),
    "tasks": TableDoc(
        "A row is a task as one day's page has it; a carried task has a row on each of its days.",
        {
            "date": DATE,
            "position": _POSITION,
            "id": ColumnDoc("none", "it was never carried", "The same in all rows of a carried task."),
            "title": ColumnDoc("none", NEVER, "Its title."),
            "status": ColumnDoc("none", NEVER, 'How the day left it: "open", "done", "carried" or "dropped".'),
            "rank": ColumnDoc("1 is first", "not ranked", "Its rank among the tasks of the day."),
            "estimate": ColumnDoc("minutes", _NOT_WRITTEN, "The estimated time."),
            "took": ColumnDoc("minutes", _NOT_WRITTEN, "The time it took."),
            "since": ColumnDoc("day", "the day of the row", "The first day with this task."),
        },
    ),
    "reflections": TableDoc(
        "A row is an answer, or a note, on the page of a week, month or year.",
        {
            "kind": ColumnDoc("none", NEVER, '"week", "month" or "year".'),
            "period": ColumnDoc("ISO 8601", NEVER, 'The week, month or year by its name: "2025-W11".'),
            "position": _POSITION,
            "prompt": ColumnDoc("none", NEVER, "The prompt; empty for a note."),
            "answer": ColumnDoc("none", NEVER, "The answer, or the note."),
        },
    ),
    "decisions": TableDoc(
        "A row is the decision about a habit at the end of a month.",
        {
            "period": ColumnDoc("ISO 8601", NEVER, 'The month by its name: "2025-03".'),
            "habit": HABIT,
            "decision": ColumnDoc("none", NEVER, '"keep", "change", "rest" or "drop".'),
            "from": ColumnDoc("day", _UNDATED, "The first day of a change or a rest in journal.toml."),
            "until": ColumnDoc("day", _UNDATED, "The last day of a rest, or of a dropped habit."),
            "until_before": ColumnDoc("day", "no end was set", "The end that a dropped habit had before."),
        },
    ),
}

_NAMES = {
    "habits": TableDoc(
        "A row is a definition of a habit in journal.toml. A habit that changed has several, each with its first day.",
        {
            "habit": ColumnDoc("key", NEVER, "Its key on pages."),
            "name": ColumnDoc("none", NEVER, "Its name."),
            "from": ColumnDoc("day", NEVER, "The first day on which the definition holds."),
            "until": ColumnDoc("day", "no end is set", "The last day on which it holds."),
            "every": ColumnDoc("RFC 5545", "it has a quota", "The recurrence rule by which it is due."),
            "times": ColumnDoc("days", "it has a rule", "The quota: days per `per`."),
            "per": ColumnDoc("none", "it has a rule", '"week" or "month".'),
            "target": ColumnDoc("unit of the habit", "it is not counted", "The target of its numbers."),
            "unit": ColumnDoc("none", NEVER, "What is counted; empty for a habit without numbers."),
            "aim": ColumnDoc("none", "it is not counted", '"at least" or "at most".'),
        },
    ),
    "challenges": TableDoc(
        "A row is a challenge of journal.toml.",
        {
            "challenge": ColumnDoc("key", NEVER, "Its key on pages."),
            "name": ColumnDoc("none", NEVER, "Its name."),
            "from": ColumnDoc("day", NEVER, "Its first day."),
            "until": ColumnDoc("day", NEVER, "Its last day."),
        },
    ),
    "categories": TableDoc(
        "A row is a category of hours.",
        {
            "category": ColumnDoc("key", NEVER, "Its key on pages."),
            "name": ColumnDoc("none", NEVER, "Its name."),
            "sleep": ColumnDoc("none", NEVER, "Whether it is sleep."),
            "work": ColumnDoc("none", NEVER, "Whether its hours make a day a work day."),
        },
    ),
    "places": TableDoc(
        "A row is a place, home first.",
        {
            "place": ColumnDoc("key", NEVER, "Its key on pages."),
            "name": ColumnDoc("none", NEVER, "Its name."),
            "timezone": ColumnDoc("IANA name", NEVER, "Its time zone."),
        },
    ),
}

FRAMES: dict[str, TableDoc] = _RECORDED | _NAMES | COUNTED
"""Every exported table, in the order of the dictionary."""
