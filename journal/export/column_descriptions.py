"""The meaning of every column of the exported tables, for the data dictionary."""

from __future__ import annotations

from typing import NamedTuple

from journal.entry import DAY_FIELDS

NEVER = "never"


class ColumnDoc(NamedTuple):
    """The unit of a column (or "none"), the meaning of null, and the meaning of its values."""

    unit: str
    null: str
    meaning: str


class TableDoc(NamedTuple):
    """A description of a row, and of the columns by name."""

    row: str
    columns: dict[str, ColumnDoc]


def _key(of: str, name: str) -> ColumnDoc:
    return ColumnDoc("key", NEVER, f"{of}, by its key in journal.toml; `{name}` has its name.")


_DATE = ColumnDoc("day", NEVER, "The calendar day.")
_HABIT = _key("The habit", "habits")
_UNDATED = "the decision has no such day"
_POSITION = ColumnDoc("count from 0", NEVER, "The place in the list on the page.")
_MINUTE = "minute of the day"
_NOT_WRITTEN = "not written"
_COUNT = "occasions"
_FIRST = ColumnDoc("day", NEVER, "The first day of the period.")
_LAST = ColumnDoc("day", NEVER, "The last day of the period, inclusive.")

_MARK = ColumnDoc("none", "no mark on the page", 'The mark on the page: "done", "not done", "number" or "rest".')
_VALUE = ColumnDoc("unit of the habit", "no number on the page", "The number on the page for a counted habit.")
_TARGET = ColumnDoc("unit of the habit", "the habit is not counted", "The target of the number.")

_RECORDED = {
    "days": TableDoc(
        "A row is a calendar day, from the first page, habit or challenge to the end of the current week and month.",
        {
            "date": _DATE,
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
            "habit": _HABIT,
            "date": _DATE,
            "logged": ColumnDoc("none", NEVER, "Whether the day was closed, as in `days`."),
            "asked": ColumnDoc("none", NEVER, "Whether its habits were asked, as in `days`."),
            "due": ColumnDoc(
                "none", "the habit has a quota instead of a rule", "Whether the habit's rule falls on the day."
            ),
            "times": ColumnDoc("days", "the habit has a rule instead of a quota", "The quota: days per `per`."),
            "per": ColumnDoc(
                "none", "the habit has a rule instead of a quota", 'The period of the quota: "week" or "month".'
            ),
            "target": _TARGET,
            "aim": ColumnDoc("none", "the habit is not counted", 'The kind of target: "at least" or "at most".'),
            "off": ColumnDoc("none", NEVER, "Whether the day is time off (`[[rests]]`), or left free by a trial."),
            "mark": _MARK,
            "value": _VALUE,
        },
    ),
    "ticks": TableDoc(
        "A row is a challenge on a day of its span.",
        {
            "challenge": _key("The challenge", "challenges"),
            "date": _DATE,
            "ticked": ColumnDoc("none", "not recorded", "Whether it was done for the day."),
            "caught_up": ColumnDoc(
                "day", "done on the day itself, or not", "The later day on which it was done for this day."
            ),
        },
    ),
    "lines": TableDoc(
        "A row is a written line.",
        {
            "date": _DATE,
            "kind": ColumnDoc("none", NEVER, '"gratitude", "memory" or "note".'),
            "position": _POSITION,
            "text": ColumnDoc("none", NEVER, "The line."),
            "shared": ColumnDoc("none", NEVER, "Whether it is a memory that a friend may read."),
        },
    ),
    "hours": TableDoc(
        "A row is a span of the 24-hour strip.",
        {
            "date": _DATE,
            "layer": ColumnDoc("none", NEVER, '"planned", or "actual" for hours as they went.'),
            "category": _key("The category", "categories"),
            "start_minute": ColumnDoc(_MINUTE, NEVER, "When it began, from 0, in the time zone of the place."),
            "end_minute": ColumnDoc(_MINUTE, NEVER, "When it ended, up to 1440, exclusive."),
        },
    ),
    "appointments": TableDoc(
        "A row is an appointment.",
        {
            "date": _DATE,
            "title": ColumnDoc("none", NEVER, "Its title."),
            "start_minute": ColumnDoc(_MINUTE, "for the whole day", "When it begins, in the time zone of the place."),
            "end_minute": ColumnDoc(_MINUTE, "no end is written, or for the whole day", "When it ends, up to 1440."),
        },
    ),
    "tasks": TableDoc(
        "A row is a task as one day's page has it; a carried task has a row on each of its days.",
        {
            "date": _DATE,
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
            "habit": _HABIT,
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

_COUNTED = {
    "states": TableDoc(
        "A row is a habit on a day on which it is in force, with its state on that day.",
        {
            "habit": _HABIT,
            "date": _DATE,
            "state": ColumnDoc(
                "none",
                NEVER,
                "Partial: some, below an at-least target. Missed: due and asked, not done. Blank: due, past, without "
                "a mark and not asked. Pending: due today or later.",
            ),
            "mark": _MARK,
            "value": _VALUE,
            "target": _TARGET,
        },
    ),
    "occasions": TableDoc(
        "A row is an occasion that streaks and rates count: a due day, or a whole week or month of a quota.",
        {
            "habit": _HABIT,
            "unit": ColumnDoc("none", NEVER, 'Its kind: "occasion" for a due day, or a quota\'s "week" or "month".'),
            "from": _FIRST,
            "to": _LAST,
            "date": ColumnDoc("day", NEVER, "The day that decides its month and year: the middle of its days."),
            "state": ColumnDoc("none", NEVER, "As in `states`. A quota is done if it was met."),
            "unit_to": ColumnDoc("day", "the unit does not change", "The last day before the habit changes its unit."),
        },
    ),
    "streaks": TableDoc(
        "A row is a habit, with its runs of due occasions that were done.",
        {
            "habit": _HABIT,
            "unit": ColumnDoc("none", NEVER, "What is counted, as in `occasions`."),
            "current": ColumnDoc(_COUNT, NEVER, "The length of the running streak; 0 if the last occasion broke it."),
            "current_from": ColumnDoc("day", "no streak runs", "The first day of the running streak."),
            "pending": ColumnDoc("none", NEVER, "Whether an occasion that includes today is still open."),
            "longest": ColumnDoc(_COUNT, NEVER, "The length of the longest streak."),
            "longest_from": ColumnDoc("day", "no streak", "The first day of the longest streak."),
            "longest_to": ColumnDoc("day", "no streak", "The last day of the longest streak."),
        },
    ),
    "rates_by_month": TableDoc(
        "A row is a habit in a month in which it had an occasion.",
        {
            "habit": _HABIT,
            "period": ColumnDoc("ISO 8601", NEVER, "The month by its name."),
            "from": _FIRST,
            "to": _LAST,
            "due": ColumnDoc(_COUNT, NEVER, "All occasions."),
            "done": ColumnDoc(_COUNT, NEVER, "Done occasions."),
            "missed": ColumnDoc(_COUNT, NEVER, "Missed occasions, including partial ones."),
            "partial": ColumnDoc(_COUNT, NEVER, "Partial occasions."),
            "blank": ColumnDoc(_COUNT, NEVER, "Past occasions without a mark that were not asked."),
            "rest": ColumnDoc(_COUNT, NEVER, "Excused occasions."),
            "pending": ColumnDoc(_COUNT, NEVER, "Occasions that are still open."),
            "counted": ColumnDoc(_COUNT, NEVER, "done + missed + blank, the denominator of the rate."),
            "rate": ColumnDoc("share, 0 to 1", "nothing counted was logged", "done / counted."),
            "low": ColumnDoc(
                "share, 0 to 1",
                "nothing counted was logged",
                "The lower end of its 95 % interval (Wilson 1927, over n_effective).",
            ),
            "high": ColumnDoc("share, 0 to 1", "nothing counted was logged", "The upper end of its 95 % interval."),
            "logged_rate": ColumnDoc("share, 0 to 1", "nothing was logged", "done / (done + missed)."),
            "n_effective": ColumnDoc("occasions", NEVER, "The independent occasions that counted is worth."),
        },
    ),
    "mood_by_day": TableDoc(
        "A row is a calendar day, as in `days`.",
        {
            "date": _DATE,
            "value": ColumnDoc("scale of the journal", "not rated", "The day's mood."),
            "trailing_7": ColumnDoc("scale of the journal", "under 4 rated days", "Mean of this day and the 6 before."),
            "trailing_28": ColumnDoc(
                "scale of the journal", "under 14 rated days", "Mean of this day and the 27 before."
            ),
        },
    ),
    "nights": TableDoc(
        "A row is a night with both ends known, by the day of waking.",
        {
            "date": ColumnDoc("day", NEVER, "The day of waking."),
            "bed": ColumnDoc("HH:MM", "there was no sleep", "When sleep began, in the time zone of the place."),
            "wake": ColumnDoc("HH:MM", "there was no sleep", "When it ended, in the time zone of the place."),
            "minutes": ColumnDoc("minutes", NEVER, "Time asleep: elapsed time without wakings."),
            "bed_minute": ColumnDoc(
                "minutes from midnight", "there was no sleep", "As `bed`; negative on the day before."
            ),
            "wake_minute": ColumnDoc("minutes from midnight", "there was no sleep", "As `wake`."),
            "mid_minute": ColumnDoc("minutes from midnight", "there was no sleep", "Halfway between the two."),
            "wakings": ColumnDoc("count", NEVER, "Interruptions of up to an hour each."),
            "nap_minutes": ColumnDoc("minutes", NEVER, "Sleep on that day outside the night."),
            "work": ColumnDoc("none", "today, or no category is work", "Whether the day has actual hours of work."),
        },
    ),
}

FRAMES: dict[str, TableDoc] = _RECORDED | _NAMES | _COUNTED
"""Every exported table, in the order of the dictionary."""
