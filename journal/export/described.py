"""What the columns of the exported tables mean, in words: the one source of the data dictionary."""

from __future__ import annotations

from typing import NamedTuple

NEVER = "never"


class Column(NamedTuple):
    """The unit of a column ("none" where it has none), what its nulls mean, and what it says."""

    unit: str
    null: str
    meaning: str


class Frame(NamedTuple):
    """What a row of a table is, and its columns by name."""

    row: str
    columns: dict[str, Column]


def _key(of: str, name: str) -> Column:
    return Column("key", NEVER, f"{of}, by its key in journal.toml; `{name}` has its name.")


_DATE = Column("day", NEVER, "The calendar day.")
_HABIT = _key("The habit", "habits")
_POSITION = Column("count from 0", NEVER, "The place in the list on the page.")
_MINUTE = "minute of the day"
_ON_THE_PAGE = "not written"
_COUNT = "occasions"
_FIRST = Column("day", NEVER, "The first day of the stretch.")
_LAST = Column("day", NEVER, "The last day of the stretch, part of it.")

_MARK = Column("none", "nothing was said of the habit", 'What the page says: "done", "not done", "number" or "rest".')
_VALUE = Column("unit of the habit", "no number was written", "The number that the page has for a counted habit.")
_TARGET = Column("unit of the habit", "the habit is not counted", "What the number is held against.")

_RECORDED = {
    "days": Frame(
        "A row is a calendar day, from the first page, habit or challenge on to the end of the running week and month.",
        {
            "date": _DATE,
            "logged": Column("none", NEVER, "Whether the day was closed: its page has a mood or a table of habits."),
            "mood": Column("scale of the journal", "not rated", "How the day was."),
            "energy": Column("scale of the journal", "not rated", "How much there was of it."),
            "place": Column("key", "at home, or no page", "Where the day was spent; `places` has the name."),
            "sky": Column("none", _ON_THE_PAGE, "The weather in the writer's words."),
            "high": Column("degrees, C or F as journal.toml says", _ON_THE_PAGE, "The highest temperature."),
            "low": Column("degrees, C or F as journal.toml says", _ON_THE_PAGE, "The lowest temperature."),
            "written": Column("none", NEVER, "Whether there is a page for the day."),
        },
    ),
    "marks": Frame(
        "A row is a habit on a day on which it is in force, whether or not anything was said of it.",
        {
            "habit": _HABIT,
            "date": _DATE,
            "logged": Column("none", NEVER, "Whether the day was closed, as in `days`."),
            "due": Column(
                "none", "the habit has a quota in place of a rule", "Whether the habit's rule falls on the day."
            ),
            "times": Column("days", "the habit has a rule in place of a quota", "The quota: so many days a `per`."),
            "per": Column(
                "none", "the habit has a rule in place of a quota", 'What the quota is of: "week" or "month".'
            ),
            "target": _TARGET,
            "aim": Column("none", "the habit is not counted", 'How the target is meant: "at least" or "at most".'),
            "mark": _MARK,
            "value": _VALUE,
        },
    ),
    "ticks": Frame(
        "A row is a challenge on a day of its span.",
        {
            "challenge": _key("The challenge", "challenges"),
            "date": _DATE,
            "ticked": Column("none", "nothing was said", "Whether it was done for the day."),
            "caught_up": Column(
                "day", "done on the day itself, or not", "The later day on which it was done for this."
            ),
        },
    ),
    "lines": Frame(
        "A row is a line that was written.",
        {
            "date": _DATE,
            "kind": Column("none", NEVER, '"gratitude", "memory" or "note".'),
            "position": _POSITION,
            "text": Column("none", NEVER, "The line."),
            "shared": Column("none", NEVER, "Whether it is a memory that a friend may read."),
        },
    ),
    "hours": Frame(
        "A row is a stretch of the 24-hour strip.",
        {
            "date": _DATE,
            "layer": Column("none", NEVER, '"planned", or "actual" for hours as they went.'),
            "category": _key("What the hours went to", "categories"),
            "start_minute": Column(_MINUTE, NEVER, "When it began, from 0, by the clock of the place."),
            "end_minute": Column(_MINUTE, NEVER, "When it ended, up to 1440; that minute is not part of it."),
        },
    ),
    "appointments": Frame(
        "A row is an appointment.",
        {
            "date": _DATE,
            "title": Column("none", NEVER, "What it is."),
            "start_minute": Column(_MINUTE, "for the whole day", "When it begins, by the clock of the place."),
            "end_minute": Column(_MINUTE, "no end is written, or for the whole day", "When it ends, up to 1440."),
        },
    ),
    "tasks": Frame(
        "A row is a task as one day's page has it; a carried task has a row on each of its days.",
        {
            "date": _DATE,
            "position": _POSITION,
            "id": Column("none", "it was never carried", "What makes the rows of a carried task one."),
            "title": Column("none", NEVER, "What it is."),
            "status": Column("none", NEVER, 'How the day left it: "open", "done", "carried" or "dropped".'),
            "rank": Column("1 is first", "not ranked", "Which of the day's ranked tasks it was."),
            "estimate": Column("minutes", _ON_THE_PAGE, "How long it was thought to take."),
            "took": Column("minutes", _ON_THE_PAGE, "How long it took."),
            "since": Column("day", "the day of the row", "The day on which it first stood."),
        },
    ),
    "reflections": Frame(
        "A row is an answer, or a note, on the page of a week, month or year.",
        {
            "kind": Column("none", NEVER, '"week", "month" or "year".'),
            "period": Column("ISO 8601", NEVER, 'The week, month or year by its name: "2025-W11".'),
            "position": _POSITION,
            "prompt": Column("none", NEVER, "What was asked; empty for a note."),
            "answer": Column("none", NEVER, "What was written."),
        },
    ),
    "decisions": Frame(
        "A row is what was decided of a habit at the end of a month.",
        {
            "period": Column("ISO 8601", NEVER, 'The month by its name: "2025-03".'),
            "habit": _HABIT,
            "decision": Column("none", NEVER, '"keep", "change", "rest" or "drop".'),
        },
    ),
}

_NAMES = {
    "habits": Frame(
        "A row is a definition of a habit in journal.toml; one that changed has more than one, each from its own day.",
        {
            "habit": Column("key", NEVER, "What pages call it."),
            "name": Column("none", NEVER, "Its name."),
            "from": Column("day", NEVER, "The first day on which the definition holds."),
            "until": Column("day", "no end is set", "The last day on which it holds."),
            "every": Column("RFC 5545", "it has a quota", "The recurrence rule by which it is due."),
            "times": Column("days", "it has a rule", "The quota: so many days a `per`."),
            "per": Column("none", "it has a rule", '"week" or "month".'),
            "target": Column("unit of the habit", "it is not counted", "What numbers are held against."),
            "unit": Column("none", NEVER, "What is counted; empty where nothing is."),
            "aim": Column("none", "it is not counted", '"at least" or "at most".'),
        },
    ),
    "challenges": Frame(
        "A row is a challenge of journal.toml.",
        {
            "challenge": Column("key", NEVER, "What pages call it."),
            "name": Column("none", NEVER, "Its name."),
            "from": Column("day", NEVER, "Its first day."),
            "until": Column("day", NEVER, "Its last day."),
        },
    ),
    "categories": Frame(
        "A row is a category of hours.",
        {
            "category": Column("key", NEVER, "What pages call it."),
            "name": Column("none", NEVER, "Its name."),
            "sleep": Column("none", NEVER, "Whether it is sleep."),
            "work": Column("none", NEVER, "Whether its hours make a day a work day."),
        },
    ),
    "places": Frame(
        "A row is a place, home first.",
        {
            "place": Column("key", NEVER, "What pages call it."),
            "name": Column("none", NEVER, "Its name."),
            "timezone": Column("IANA name", NEVER, "Its time zone."),
        },
    ),
}

_COUNTED = {
    "states": Frame(
        "A row is a habit on a day on which it is in force, with what the day means for it.",
        {
            "habit": _HABIT,
            "date": _DATE,
            "state": Column(
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
    "occasions": Frame(
        "A row is an occasion that streaks and rates count: a due day, or a whole week or month of a quota.",
        {
            "habit": _HABIT,
            "unit": Column("none", NEVER, 'What it is: "occasion" for a due day, or a quota\'s "week" or "month".'),
            "from": _FIRST,
            "to": _LAST,
            "date": Column(
                "day", NEVER, "The day that says to which month or year it belongs: the middle of its days."
            ),
            "state": Column("none", NEVER, "As in `states`; a quota is done when it was met."),
        },
    ),
    "streaks": Frame(
        "A row is a habit, with its runs of due occasions that were done.",
        {
            "habit": _HABIT,
            "unit": Column("none", NEVER, "What is counted, as in `occasions`."),
            "current": Column(_COUNT, NEVER, "How long the running streak is; 0 where the last occasion broke it."),
            "current_from": Column("day", "no streak runs", "The first day of the running streak."),
            "pending": Column("none", NEVER, "Whether an occasion that holds today is still open."),
            "longest": Column(_COUNT, NEVER, "How long the longest streak is."),
            "longest_from": Column("day", "there was none", "The first day of the longest streak."),
            "longest_to": Column("day", "there was none", "The last day of the longest streak."),
        },
    ),
    "rates_by_month": Frame(
        "A row is a habit in a month in which it had an occasion.",
        {
            "habit": _HABIT,
            "period": Column("ISO 8601", NEVER, "The month by its name."),
            "from": _FIRST,
            "to": _LAST,
            "due": Column(_COUNT, NEVER, "All of them."),
            "done": Column(_COUNT, NEVER, "Those that were done."),
            "missed": Column(_COUNT, NEVER, "Those that were not, the partial ones among them."),
            "partial": Column(_COUNT, NEVER, "Those that were done in part."),
            "blank": Column(_COUNT, NEVER, "Those past and not logged."),
            "rest": Column(_COUNT, NEVER, "Those excused."),
            "pending": Column(_COUNT, NEVER, "Those still to come."),
            "counted": Column(_COUNT, NEVER, "done + missed + blank: what the rate is out of."),
            "rate": Column("share, 0 to 1", "nothing is counted", "done / counted."),
            "low": Column("share, 0 to 1", "nothing is counted", "The lower end of its 95 % interval (Wilson 1927)."),
            "high": Column("share, 0 to 1", "nothing is counted", "The upper end of its 95 % interval."),
            "logged_rate": Column("share, 0 to 1", "nothing was logged", "done / (done + missed)."),
        },
    ),
    "mood_by_day": Frame(
        "A row is a calendar day, as in `days`.",
        {
            "date": _DATE,
            "value": Column("scale of the journal", "not rated", "The day's mood."),
            "trailing_7": Column("scale of the journal", "under 4 rated days", "Mean of this day and the 6 before."),
            "trailing_28": Column("scale of the journal", "under 14 rated days", "Mean of this day and the 27 before."),
        },
    ),
    "nights": Frame(
        "A row is a night of which both ends are known, by the day of waking.",
        {
            "date": Column("day", NEVER, "The day of waking."),
            "bed": Column("HH:MM", "there was no sleep", "When sleep began, by the clock of the place."),
            "wake": Column("HH:MM", "there was no sleep", "When it ended, by the clock of the place."),
            "minutes": Column("minutes", NEVER, "How long was slept: time that passed, without wakings."),
            "bed_minute": Column("minutes from midnight", "there was no sleep", "As `bed`; below 0 on the day before."),
            "wake_minute": Column("minutes from midnight", "there was no sleep", "As `wake`."),
            "mid_minute": Column("minutes from midnight", "there was no sleep", "Halfway between the two."),
            "wakings": Column("count", NEVER, "How often it was broken, by up to an hour each."),
            "nap_minutes": Column("minutes", NEVER, "What was slept on the day beside the night."),
            "work": Column("none", "today, or no category is work", "Whether the day has hours of work, as they went."),
        },
    ),
}

FRAMES: dict[str, Frame] = _RECORDED | _NAMES | _COUNTED
"""Every exported table, in the order in which they are told of."""
