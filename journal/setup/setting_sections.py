"""The parts of the settings page, in its order. Together they have every key of journal.toml."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from journal.language.catalogue import N_
from journal.settings import WEEKDAYS
from journal.setup.setting_fields import SINGLE_FIELDS
from journal.setup.setting_lists import ROW_KINDS

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
    SettingsSection(
        key="journal", title=N_("Journal"), fields=("title", "language", "week_starts", "clock", "temperature")
    ),
    SettingsSection(key="places", title=N_("Places"), list="places"),
    SettingsSection(
        key="evenings",
        title=N_("Evenings"),
        fields=("day.turns", "day.gratitude_lines", "day.ranked_tasks", "unmarked", "blank", "pictures"),
    ),
    SettingsSection(
        key="feelings",
        title=N_("Mood and energy"),
        fields=("mood.low", "mood.high", "mood.words", "energy.low", "energy.high", "energy.words"),
    ),
    SettingsSection(key="hours", title=N_("Hours of the day"), list="categories", has_strips=True),
    SettingsSection(key="habits", title=N_("Habits"), list="habits"),
    SettingsSection(key="challenges", title=N_("Challenges"), list="challenges"),
    SettingsSection(key="routines", title=N_("Routines"), list="routines"),
    SettingsSection(key="rests", title=N_("Time off"), list="rests"),
    SettingsSection(key="trials", title=N_("Trials by lot"), list="trials"),
    SettingsSection(
        key="prompts", title=N_("Prompts of the reviews"), fields=("prompts.week", "prompts.month", "prompts.year")
    ),
    SettingsSection(key="calendars", title=N_("Calendars"), fields=("calendars",)),
    SettingsSection(key="lines", title=N_("Words left out"), fields=("lines.stop_words",)),
    SettingsSection(key="file", title=N_("The file"), fields=("format",)),
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
