"""What the columns of the exported tables mean, in words: the one source of the data dictionary."""

from __future__ import annotations

from typing import NamedTuple

from journal.entry import DAY_FIELDS

NEVER = "never"


class ColumnDoc(NamedTuple):
    """The unit of a column ("none" where it has none), what its nulls mean, and what it says."""

    unit: str
    null: str
    meaning: str


class TableDoc(NamedTuple):
    """What a row of a table is, and its columns by name."""

    row: str
    columns: dict[str, ColumnDoc]


def _key(of: str, name: str) -> ColumnDoc:
    return ColumnDoc("key", NEVER, f"{of}, by its key in journal.toml; `{name}` has its name.")


_DATE = ColumnDoc("day", NEVER, "The calendar day.")
_HABIT = _key("The habit", "habits")
_POSITION = ColumnDoc("count from 0", NEVER, "The place in the list on the page.")
_MINUTE = "minute of the day"
_ON_THE_PAGE = "not written"
_COUNT = "occasions"
_FIRST = ColumnDoc("day", NEVER, "The first day of the stretch.")
_LAST = ColumnDoc("day", NEVER, "The last day of the stretch, part of it.")

_MARK = ColumnDoc(
    "none", "nothing was said of the habit", 'What the page says: "done", "not done", "number" or "rest".'
)
_VALUE = ColumnDoc("unit of the habit", "no number was written", "The number that the page has for a counted habit.")
_TARGET = ColumnDoc("unit of the habit", "the habit is not counted", "What the number is held against.")

_RECORDED = {
    "days": TableDoc(
        "A row is a calendar day, from the first page, habit or challenge on to the end of the running week and month.",
        {
            "date": _DATE,
            "logged": ColumnDoc("none", NEVER, "Whether the day was closed: its page has a mood or a table of habits."),
            **{
                field.name: ColumnDoc(field.unit or "none", field.missing, field.meaning or f"{field.label}.")
                for field in DAY_FIELDS
            },
            "written": ColumnDoc("none", NEVER, "Whether there is a page for the day."),
        },
    ),
    "marks": TableDoc(
        "A row is a habit on a day on which it is in force, whether or not anything was said of it.",
        {
            "habit": _HABIT,
            "date": _DATE,
            "logged": ColumnDoc("none", NEVER, "Whether the day was closed, as in `days`."),
            "due": ColumnDoc(
                "none", "the habit has a quota in place of a rule", "Whether the habit's rule falls on the day."
            ),
            "times": ColumnDoc("days", "the habit has a rule in place of a quota", "The quota: so many days a `per`."),
            "per": ColumnDoc(
                "none", "the habit has a rule in place of a quota", 'What the quota is of: "week" or "month".'
            ),
            "target": _TARGET,
            "aim": ColumnDoc("none", "the habit is not counted", 'How the target is meant: "at least" or "at most".'),
            "mark": _MARK,
            "value": _VALUE,
        },
    ),
    "ticks": TableDoc(
        "A row is a challenge on a day of its span.",
        {
            "challenge": _key("The challenge", "challenges"),
            "date": _DATE,
            "ticked": ColumnDoc("none", "nothing was said", "Whether it was done for the day."),
            "caught_up": ColumnDoc(
                "day", "done on the day itself, or not", "The later day on which it was done for this."
            ),
        },
    ),
    "lines": TableDoc(
        "A row is a line that was written.",
        {
            "date": _DATE,
            "kind": ColumnDoc("none", NEVER, '"gratitude", "memory" or "note".'),
            "position": _POSITION,
            "text": ColumnDoc("none", NEVER, "The line."),
            "shared": ColumnDoc("none", NEVER, "Whether it is a memory that a friend may read."),
        },
    ),
    "hours": TableDoc(
        "A row is a stretch of the 24-hour strip.",
        {
            "date": _DATE,
            "layer": ColumnDoc("none", NEVER, '"planned", or "actual" for hours as they went.'),
            "category": _key("What the hours went to", "categories"),
            "start_minute": ColumnDoc(_MINUTE, NEVER, "When it began, from 0, by the clock of the place."),
            "end_minute": ColumnDoc(_MINUTE, NEVER, "When it ended, up to 1440; that minute is not part of it."),
        },
    ),
    "appointments": TableDoc(
        "A row is an appointment.",
        {
            "date": _DATE,
            "title": ColumnDoc("none", NEVER, "What it is."),
            "start_minute": ColumnDoc(_MINUTE, "for the whole day", "When it begins, by the clock of the place."),
            "end_minute": ColumnDoc(_MINUTE, "no end is written, or for the whole day", "When it ends, up to 1440."),
        },
    ),
    "tasks": TableDoc(
        "A row is a task as one day's page has it; a carried task has a row on each of its days.",
        {
            "date": _DATE,
            "position": _POSITION,
            "id": ColumnDoc("none", "it was never carried", "What makes the rows of a carried task one."),
            "title": ColumnDoc("none", NEVER, "What it is."),
            "status": ColumnDoc("none", NEVER, 'How the day left it: "open", "done", "carried" or "dropped".'),
            "rank": ColumnDoc("1 is first", "not ranked", "Which of the day's ranked tasks it was."),
            "estimate": ColumnDoc("minutes", _ON_THE_PAGE, "How long it was thought to take."),
            "took": ColumnDoc("minutes", _ON_THE_PAGE, "How long it took."),
            "since": ColumnDoc("day", "the day of the row", "The day on which it first stood."),
        },
    ),
    "reflections": TableDoc(
        "A row is an answer, or a note, on the page of a week, month or year.",
        {
            "kind": ColumnDoc("none", NEVER, '"week", "month" or "year".'),
            "period": ColumnDoc("ISO 8601", NEVER, 'The week, month or year by its name: "2025-W11".'),
            "position": _POSITION,
            "prompt": ColumnDoc("none", NEVER, "What was asked; empty for a note."),
            "answer": ColumnDoc("none", NEVER, "What was written."),
        },
    ),
    "decisions": TableDoc(
        "A row is what was decided of a habit at the end of a month.",
        {
            "period": ColumnDoc("ISO 8601", NEVER, 'The month by its name: "2025-03".'),
            "habit": _HABIT,
            "decision": ColumnDoc("none", NEVER, '"keep", "change", "rest" or "drop".'),
        },
    ),
}

_NAMES = {
    "habits": TableDoc(
        "A row is a definition of a habit in journal.toml; one that changed has more than one, each from its own day.",
        {
            "habit": ColumnDoc("key", NEVER, "What pages call it."),
            "name": ColumnDoc("none", NEVER, "Its name."),
            "from": ColumnDoc("day", NEVER, "The first day on which the definition holds."),
            "until": ColumnDoc("day", "no end is set", "The last day on which it holds."),
            "every": ColumnDoc("RFC 5545", "it has a quota", "The recurrence rule by which it is due."),
            "times": ColumnDoc("days", "it has a rule", "The quota: so many days a `per`."),
            "per": ColumnDoc("none", "it has a rule", '"week" or "month".'),
            "target": ColumnDoc("unit of the habit", "it is not counted", "What numbers are held against."),
            "unit": ColumnDoc("none", NEVER, "What is counted; empty where nothing is."),
            "aim": ColumnDoc("none", "it is not counted", '"at least" or "at most".'),
        },
    ),
    "challenges": TableDoc(
        "A row is a challenge of journal.toml.",
        {
            "challenge": ColumnDoc("key", NEVER, "What pages call it."),
            "name": ColumnDoc("none", NEVER, "Its name."),
            "from": ColumnDoc("day", NEVER, "Its first day."),
            "until": ColumnDoc("day", NEVER, "Its last day."),
        },
    ),
    "categories": TableDoc(
        "A row is a category of hours.",
        {
            "category": ColumnDoc("key", NEVER, "What pages call it."),
            "name": ColumnDoc("none", NEVER, "Its name."),
            "sleep": ColumnDoc("none", NEVER, "Whether it is sleep."),
            "work": ColumnDoc("none", NEVER, "Whether its hours make a day a work day."),
        },
    ),
    "places": TableDoc(
        "A row is a place, home first.",
        {
            "place": ColumnDoc("key", NEVER, "What pages call it."),
            "name": ColumnDoc("none", NEVER, "Its name."),
            "timezone": ColumnDoc("IANA name", NEVER, "Its time zone."),
        },
    ),
}

_COUNTED = {
    "states": TableDoc(
        "A row is a habit on a day on which it is in force, with what the day means for it.",
        {
            "habit": _HABIT,
            "date": _DATE,
            "state": ColumnDoc(
                "none",
                NEVER,
                "Partial: some, under an at-least target. Missed: due and logged, not done. Blank: due, past, not "
                "logged. Pending: due today or later.",
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
            "unit": ColumnDoc("none", NEVER, 'What it is: "occasion" for a due day, or a quota\'s "week" or "month".'),
            "from": _FIRST,
            "to": _LAST,
            "date": ColumnDoc(
                "day", NEVER, "The day that says to which month or year it belongs: the middle of its days."
            ),
            "state": ColumnDoc("none", NEVER, "As in `states`; a quota is done when it was met."),
        },
    ),
    "streaks": TableDoc(
        "A row is a habit, with its runs of due occasions that were done.",
        {
            "habit": _HABIT,
            "unit": ColumnDoc("none", NEVER, "What is counted, as in `occasions`."),
            "current": ColumnDoc(_COUNT, NEVER, "How long the running streak is; 0 where the last occasion broke it."),
            "current_from": ColumnDoc("day", "no streak runs", "The first day of the running streak."),
            "pending": ColumnDoc("none", NEVER, "Whether an occasion that holds today is still open."),
            "longest": ColumnDoc(_COUNT, NEVER, "How long the longest streak is."),
            "longest_from": ColumnDoc("day", "there was none", "The first day of the longest streak."),
            "longest_to": ColumnDoc("day", "there was none", "The last day of the longest streak."),
        },
    ),
    "rates_by_month": TableDoc(
        "A row is a habit in a month in which it had an occasion.",
        {
            "habit": _HABIT,
            "period": ColumnDoc("ISO 8601", NEVER, "The month by its name."),
            "from": _FIRST,
            "to": _LAST,
            "due": ColumnDoc(_COUNT, NEVER, "All of them."),
            "done": ColumnDoc(_COUNT, NEVER, "Those that were done."),
            "missed": ColumnDoc(_COUNT, NEVER, "Those that were not, the partial ones among them."),
            "partial": ColumnDoc(_COUNT, NEVER, "Those that were done in part."),
            "blank": ColumnDoc(_COUNT, NEVER, "Those past and not logged."),
            "rest": ColumnDoc(_COUNT, NEVER, "Those excused."),
            "pending": ColumnDoc(_COUNT, NEVER, "Those still to come."),
            "counted": ColumnDoc(_COUNT, NEVER, "done + missed + blank: what the rate is out of."),
            "rate": ColumnDoc("share, 0 to 1", "nothing is counted", "done / counted."),
            "low": ColumnDoc(
                "share, 0 to 1", "nothing is counted", "The lower end of its 95 % interval (Wilson 1927)."
            ),
            "high": ColumnDoc("share, 0 to 1", "nothing is counted", "The upper end of its 95 % interval."),
            "logged_rate": ColumnDoc("share, 0 to 1", "nothing was logged", "done / (done + missed)."),
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
        "A row is a night of which both ends are known, by the day of waking.",
        {
            "date": ColumnDoc("day", NEVER, "The day of waking."),
            "bed": ColumnDoc("HH:MM", "there was no sleep", "When sleep began, by the clock of the place."),
            "wake": ColumnDoc("HH:MM", "there was no sleep", "When it ended, by the clock of the place."),
            "minutes": ColumnDoc("minutes", NEVER, "How long was slept: time that passed, without wakings."),
            "bed_minute": ColumnDoc(
                "minutes from midnight", "there was no sleep", "As `bed`; below 0 on the day before."
            ),
            "wake_minute": ColumnDoc("minutes from midnight", "there was no sleep", "As `wake`."),
            "mid_minute": ColumnDoc("minutes from midnight", "there was no sleep", "Halfway between the two."),
            "wakings": ColumnDoc("count", NEVER, "How often it was broken, by up to an hour each."),
            "nap_minutes": ColumnDoc("minutes", NEVER, "What was slept on the day beside the night."),
            "work": ColumnDoc(
                "none", "today, or no category is work", "Whether the day has hours of work, as they went."
            ),
        },
    ),
}

FRAMES: dict[str, TableDoc] = _RECORDED | _NAMES | _COUNTED
"""Every exported table, in the order in which they are told of."""
