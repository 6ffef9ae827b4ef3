"""The fields of journal.toml as the settings page shows them: labels, controls, options and hints.

Here are those outside of lists. `setting_lists` has the lists of tables, `setting_sections` the parts of the page.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from journal.language.catalogue import N_, _
from journal.language.languages import LANGUAGES
from journal.settings import WEEKDAYS
from journal.wording import dates

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

    `default` is the value of a missing key in a row. Its words are those of the catalogue, to be shown by `in_words`.
    """

    key: str
    label: str
    control: ControlKind = "text"
    options: tuple[FieldChoice, ...] = ()
    hint: str = ""
    example: str = ""
    default: str | None = None
    required: bool = False

    def in_words(self) -> SettingField:
        """The field with its label, options and hint in the spoken language.

        >>> SINGLE_FIELDS["week_starts",].in_words().options[0].name
        'Monday'
        """
        return msgspec.structs.replace(
            self,
            label=_(self.label),
            hint=self.hint and _(self.hint),
            example=_(self.example) if self.example.isalpha() else self.example,
            options=tuple(FieldChoice(option.value, self._option_name(option)) for option in self.options),
        )

    def _option_name(self, option: FieldChoice) -> str:
        if self.key == "language":
            return option.name  # each language by its own name
        return dates.weekday(WEEKDAYS.index(option.value)) if option.value in WEEKDAYS else _(option.name)


def choices(*pairs: tuple[str, str]) -> tuple[FieldChoice, ...]:
    """Options from pairs of value and name."""
    return tuple(FieldChoice(*pair) for pair in pairs)


SINGLE_FIELDS: dict[tuple[str, ...], SettingField] = {
    ("title",): SettingField(key="title", label=N_("Title of the journal"), required=True),
    ("language",): SettingField(
        key="language",
        label=N_("Language of the pages"),
        control="choice",
        options=tuple(FieldChoice(language.code, language.name) for language in LANGUAGES.values()),
        hint=N_("An open page follows when it is loaded again. The keys in the files are English in every language."),
    ),
    ("week_starts",): SettingField(
        key="week_starts",
        label=N_("The week starts on"),
        control="choice",
        options=tuple(FieldChoice(day, day.capitalize()) for day in WEEKDAYS),
    ),
    ("clock",): SettingField(
        key="clock",
        label=N_("Clock"),
        control="choice",
        options=choices(("24", N_("24 hours")), ("12", N_("12 hours, am and pm"))),
    ),
    ("temperature",): SettingField(
        key="temperature",
        label=N_("Temperature in"),
        control="choice",
        options=choices(("C", N_("degrees Celsius")), ("F", N_("degrees Fahrenheit"))),
    ),
    ("day", "turns"): SettingField(
        key="turns",
        label=N_("A new day begins at"),
        control="time",
        hint=N_("Before this time it is still the evening of the day before."),
        example="04:00",
    ),
    ("day", "gratitude_lines"): SettingField(
        key="gratitude_lines", label=N_("Lines for good things"), control="whole", example="2"
    ),
    ("day", "ranked_tasks"): SettingField(
        key="ranked_tasks", label=N_("Tasks that get a rank"), control="whole", example="3"
    ),
    ("blank",): SettingField(
        key="blank",
        label=N_("A due day that was not logged"),
        control="choice",
        options=choices(("breaks", N_("ends a streak")), ("bridges", N_("is passed over by a streak"))),
    ),
    ("unmarked",): SettingField(
        key="unmarked",
        label=N_("A habit without a mark on a logged day"),
        control="choice",
        options=choices(("missed", N_("was missed")), ("blank", N_("is not known"))),
        hint=N_("What an evening means that was closed without a mark for a due habit."),
    ),
    ("pictures",): SettingField(
        key="pictures",
        label=N_("A picture that you add"),
        control="choice",
        options=choices(("cleaned", N_("without where and when it was taken")), ("as they are", N_("as it is"))),
        hint=N_("Of the copy in the journal. What you export never says where and when a picture was taken."),
    ),
    ("mood", "low"): SettingField(key="low", label=N_("Lowest mood"), control="number", example="1"),
    ("mood", "high"): SettingField(key="high", label=N_("Highest mood"), control="number", example="5"),
    ("mood", "words"): SettingField(
        key="words",
        label=N_("Words for mood, from low to high"),
        control="lines",
        hint=N_("One on each line, one for each whole step. Without words the page shows numbers."),
    ),
    ("energy", "low"): SettingField(key="low", label=N_("Lowest energy"), control="number", example="1"),
    ("energy", "high"): SettingField(key="high", label=N_("Highest energy"), control="number", example="5"),
    ("energy", "words"): SettingField(
        key="words",
        label=N_("Words for energy, from low to high"),
        control="lines",
        hint=N_("One on each line, one for each whole step. Without words the page shows numbers."),
    ),
    ("prompts", "week"): SettingField(
        key="week",
        label=N_("Prompts of a week"),
        control="lines",
        hint=N_("One on each line. The review of a week asks them."),
    ),
    ("prompts", "month"): SettingField(key="month", label=N_("Prompts of a month"), control="lines"),
    ("prompts", "year"): SettingField(key="year", label=N_("Prompts of a year"), control="lines"),
    ("calendars",): SettingField(
        key="calendars",
        label=N_("Calendar files outside the journal"),
        control="lines",
        hint=N_(
            "One path on each line, of a file or of a folder with calendar files. Calendar files inside the journal's "
            "folder are read anyway. Nothing is fetched."
        ),
    ),
    ("lines", "stop_words"): SettingField(
        key="stop_words",
        label=N_("Words to leave out"),
        control="words",
        hint=N_(
            "With commas between them. They are left out where the words of a month are compared, as common English "
            "and German words are."
        ),
    ),
    ("format",): SettingField(
        key="format",
        label=N_("Format of the journal's files"),
        control="whole",
        hint=N_("1 is the only one; leave it."),
    ),
}
"""The fields outside of lists, by path in the file, in the order of the page."""
