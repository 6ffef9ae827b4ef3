"""The fields of journal.toml as the settings page shows them: labels, controls, options and hints.

Here are those outside of lists. `setting_lists` has the lists of tables, `setting_sections` the parts of the page.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from journal.language.languages import LANGUAGES
from journal.settings import WEEKDAYS

ControlKind = Literal[
    "text", "number", "whole", "choice", "tick", "lines", "words", "date", "time", "zone", "colour", "habits", "key",
    "dates",
]  # fmt: skip
"""The control of a field. "lines" is a list of texts, one on each line; "words" and "dates" have commas between.

"dates" are only shown."""


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


def choices(*pairs: tuple[str, str]) -> tuple[FieldChoice, ...]:
    """Options from pairs of value and name."""
    return tuple(FieldChoice(*pair) for pair in pairs)


SINGLE_FIELDS: dict[tuple[str, ...], SettingField] = {
    ("title",): SettingField(key="title", label="Title of the journal", required=True),
    ("language",): SettingField(
        key="language",
        label="Language of the pages",
        control="choice",
        options=tuple(FieldChoice(language.code, language.name) for language in LANGUAGES.values()),
        hint="An open page follows when it is loaded again. The keys in the files are English in every language.",
    ),
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
        options=choices(("24", "24 hours"), ("12", "12 hours, am and pm")),
    ),
    ("temperature",): SettingField(
        key="temperature",
        label="Temperature in",
        control="choice",
        options=choices(("C", "degrees Celsius"), ("F", "degrees Fahrenheit")),
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
        options=choices(("breaks", "ends a streak"), ("bridges", "is passed over by a streak")),
    ),
    ("unmarked",): SettingField(
        key="unmarked",
        label="A habit without a mark on a logged day",
        control="choice",
        options=choices(("missed", "was missed"), ("blank", "is not known")),
        hint="What an evening means that was closed without a mark for a due habit.",
    ),
    ("pictures",): SettingField(
        key="pictures",
        label="A picture that you add",
        control="choice",
        options=choices(("cleaned", "without where and when it was taken"), ("as they are", "as it is")),
        hint="Of the copy in the journal. What you export never says where and when a picture was taken.",
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
