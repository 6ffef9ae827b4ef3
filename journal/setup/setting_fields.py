"""The fields of journal.toml as the settings page shows them: labels, controls, options and hints.

A field of a single table is in `SINGLE_FIELDS`, a field of a list of tables in the `ROW_KINDS` of its list. Together
with the strips of `[hours]` they are all keys of journal.toml.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

import msgspec

from journal.settings import WEEKDAYS

ControlKind = Literal[
    "text", "number", "whole", "choice", "tick", "lines", "words", "date", "time", "zone", "colour", "habits", "key"
]
"""The control of a field. "lines" is a list of texts, one on each line; "words" is one with commas between them."""


class FieldChoice(msgspec.Struct, frozen=True):
    """One option of a field: the value in the file as text, and what the page says."""

    value: str
    name: str


class SettingField(msgspec.Struct, frozen=True, kw_only=True):
    """A field: its key in its table, its label and its control. `required` fields cannot be empty.

    `default` is the value of a missing key in a row.
    """

    key: str
    label: str
    control: ControlKind = "text"
    options: tuple[FieldChoice, ...] = ()
    hint: str = ""
    example: str = ""
    default: str | None = None
    required: bool = False


class RowKind(msgspec.Struct, frozen=True, kw_only=True):
    """A list of tables: what one is called, the key of its name, its fields, and whether it has a schedule.

    `key_word` stands in a key that is made from a name without a Latin letter; empty if the tables have no key.
    """

    noun: str
    name_key: str
    fields: tuple[SettingField, ...]
    key_word: str = ""
    has_schedule: bool = False


def _choices(*pairs: tuple[str, str]) -> tuple[FieldChoice, ...]:
    return tuple(FieldChoice(*pair) for pair in pairs)


SINGLE_FIELDS: dict[tuple[str, ...], SettingField] = {
    ("title",): SettingField(key="title", label="Title of the journal", required=True),
    ("week_starts",): SettingField(
        key="week_starts",
        label="The week starts on",
        control="choice",
        options=tuple(FieldChoice(day, day.capitalize()) for day in WEEKDAYS),
    ),
    ("clock",): SettingField(
        key="clock",
        label="Clock",
        control="choice",
        options=_choices(("24", "24 hours"), ("12", "12 hours, am and pm")),
    ),
    ("temperature",): SettingField(
        key="temperature",
        label="Temperature in",
        control="choice",
        options=_choices(("C", "degrees Celsius"), ("F", "degrees Fahrenheit")),
    ),
    ("day", "turns"): SettingField(
        key="turns",
        label="A new day begins at",
        control="time",
        hint="Before this time it is still the evening of the day before.",
        example="04:00",
    ),
    ("day", "gratitude_lines"): SettingField(
        key="gratitude_lines", label="Lines for good things", control="whole", example="2"
    ),
    ("day", "ranked_tasks"): SettingField(
        key="ranked_tasks", label="Tasks that get a rank", control="whole", example="3"
    ),
    ("blank",): SettingField(
        key="blank",
        label="A due day that was not logged",
        control="choice",
        options=_choices(("breaks", "ends a streak"), ("bridges", "is passed over by a streak")),
    ),
    ("unmarked",): SettingField(
        key="unmarked",
        label="A habit without a mark on a logged day",
        control="choice",
        options=_choices(("missed", "was missed"), ("blank", "is not known")),
        hint="What an evening means that was closed without a mark for a due habit.",
    ),
    ("mood", "low"): SettingField(key="low", label="Lowest mood", control="number", example="1"),
    ("mood", "high"): SettingField(key="high", label="Highest mood", control="number", example="5"),
    ("mood", "words"): SettingField(
        key="words",
        label="Words for mood, from low to high",
        control="lines",
        hint="One on each line, one for each whole step. Without words the page shows numbers.",
    ),
    ("energy", "low"): SettingField(key="low", label="Lowest energy", control="number", example="1"),
    ("energy", "high"): SettingField(key="high", label="Highest energy", control="number", example="5"),
    ("energy", "words"): SettingField(
        key="words",
        label="Words for energy, from low to high",
        control="lines",
        hint="One on each line, one for each whole step. Without words the page shows numbers.",
    ),
    ("prompts", "week"): SettingField(
        key="week", label="Prompts of a week", control="lines", hint="One on each line. The review of a week asks them."
    ),
    ("prompts", "month"): SettingField(key="month", label="Prompts of a month", control="lines"),
    ("prompts", "year"): SettingField(key="year", label="Prompts of a year", control="lines"),
    ("calendars",): SettingField(
        key="calendars",
        label="Calendar files outside the journal",
        control="lines",
        hint="One path on each line, of a file or of a folder with calendar files. Calendar files inside the journal's "
        "folder are read anyway. Nothing is fetched.",
    ),
    ("lines", "stop_words"): SettingField(
        key="stop_words",
        label="Words to leave out",
        control="words",
        hint="With commas between them. They are left out where the words of a month are compared, as common English "
        "words are.",
    ),
    ("format",): SettingField(
        key="format", label="Format of the journal's files", control="whole", hint="1 is the only one; leave it."
    ),
}
"""The fields outside of lists, by path in the file, in the order of the page."""

_FROM = SettingField(key="from", label="From", control="date", required=True)
_UNTIL = SettingField(key="until", label="Until", control="date", hint="The last day. Empty: without an end.")
_LAST_DAY = SettingField(key="until", label="Until", control="date", hint="The last day.", required=True)
_KEY = SettingField(
    key="key",
    label="Key in the pages",
    control="key",
    hint="Pages name it by this key. Left empty, it is made from the name.",
)

ROW_KINDS: dict[str, RowKind] = {
    "places": RowKind(
        noun="place",
        name_key="name",
        key_word="place",
        fields=(
            SettingField(key="name", label="Name", required=True),
            SettingField(key="timezone", label="Time zone", control="zone", required=True, example="Europe/Ljubljana"),
            SettingField(
                key="latitude", label="Degrees north", control="number", required=True, hint="Below zero is south."
            ),
            SettingField(
                key="longitude", label="Degrees east", control="number", required=True, hint="Below zero is west."
            ),
            _KEY,
        ),
    ),
    "categories": RowKind(
        noun="category",
        name_key="name",
        key_word="category",
        fields=(
            SettingField(key="name", label="Name", required=True),
            SettingField(key="colour", label="Colour", control="colour"),
            SettingField(key="sleep", label="These hours are sleep", control="tick", hint="Exactly one category is."),
            SettingField(key="work", label="A day with these hours is a work day", control="tick"),
            _KEY,
        ),
    ),
    "habits": RowKind(
        noun="habit",
        name_key="name",
        key_word="habit",
        has_schedule=True,
        fields=(
            SettingField(key="name", label="Name", required=True),
            _FROM,
            _UNTIL,
            SettingField(
                key="target", label="Amount", control="number", example="20", hint="Empty for a habit of yes or no."
            ),
            SettingField(key="unit", label="Unit", example="pages"),
            SettingField(
                key="aim",
                label="The amount is",
                control="choice",
                default="at least",
                options=_choices(("at least", "at least this much"), ("at most", "at most this much")),
            ),
            _KEY,
        ),
    ),
    "challenges": RowKind(
        noun="challenge",
        name_key="name",
        key_word="challenge",
        fields=(
            SettingField(key="name", label="Name", required=True),
            _FROM,
            _LAST_DAY,
            SettingField(
                key="prompts", label="Prompts", control="lines", hint="Optional. One on each line, one for each day."
            ),
            _KEY,
        ),
    ),
    "routines": RowKind(
        noun="routine",
        name_key="title",
        has_schedule=True,
        fields=(
            SettingField(key="title", label="Task", required=True),
            _FROM,
            _UNTIL,
            SettingField(key="estimate", label="Minutes it takes", control="number", example="30"),
        ),
    ),
    "rests": RowKind(
        noun="time off",
        name_key="reason",
        fields=(
            _FROM,
            _LAST_DAY,
            SettingField(key="habits", label="Habits that rest", control="habits", hint="None chosen: all of them."),
            SettingField(key="reason", label="Reason", hint="Private. It is in no export for others."),
        ),
    ),
}
"""The lists of tables, in the order of the page."""

SCHEDULE_KEYS = ("every", "times", "per")
"""The keys of a schedule, which has fields of its own."""

STRIPS = ("usual", *WEEKDAYS)
"""The tables of `[hours]`, each a strip."""


class SettingsSection(msgspec.Struct, frozen=True, kw_only=True):
    """A part of the page: single fields by name, a list of tables, and whether it has the usual strips."""

    key: str
    title: str
    fields: tuple[str, ...] = ()
    list: str = ""
    has_strips: bool = False


SECTIONS = (
    SettingsSection(key="journal", title="Journal", fields=("title", "week_starts", "clock", "temperature")),
    SettingsSection(key="places", title="Places", list="places"),
    SettingsSection(
        key="evenings",
        title="Evenings",
        fields=("day.turns", "day.gratitude_lines", "day.ranked_tasks", "unmarked", "blank"),
    ),
    SettingsSection(
        key="feelings",
        title="Mood and energy",
        fields=("mood.low", "mood.high", "mood.words", "energy.low", "energy.high", "energy.words"),
    ),
    SettingsSection(key="hours", title="Hours of the day", list="categories", has_strips=True),
    SettingsSection(key="habits", title="Habits", list="habits"),
    SettingsSection(key="challenges", title="Challenges", list="challenges"),
    SettingsSection(key="routines", title="Routines", list="routines"),
    SettingsSection(key="rests", title="Time off", list="rests"),
    SettingsSection(
        key="prompts", title="Prompts of the reviews", fields=("prompts.week", "prompts.month", "prompts.year")
    ),
    SettingsSection(key="calendars", title="Calendars", fields=("calendars",)),
    SettingsSection(key="lines", title="Words left out", fields=("lines.stop_words",)),
    SettingsSection(key="file", title="The file", fields=("format",)),
)
"""The parts of the page, in its order."""


def field_names() -> Iterable[str]:
    """The name of every field of the form, "day.turns" or "habits.from".

    >>> {"title", "day.turns", "habits.every", "hours.sunday"} <= set(field_names())
    True
    """
    yield from (".".join(path) for path in SINGLE_FIELDS)
    for name, kind in ROW_KINDS.items():
        yield from (f"{name}.{field.key}" for field in kind.fields)
    yield from ("habits.every", "habits.times", "habits.per", "routines.every")
    yield from (f"hours.{strip}" for strip in STRIPS)
