"""A table of journal.toml that the settings page shows and does not change: its values in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import msgspec

from journal.language.catalogue import _
from journal.settings import Settings
from journal.setup.field_values import ControlValue
from journal.setup.setting_fields import SettingField
from journal.setup.setting_lists import RowKind
from journal.wording import dates, numbers, trial_words


class RowFact(msgspec.Struct, frozen=True, kw_only=True):
    """A value of a table: the label of its field, and the value in words."""

    label: str
    text: str


def of(kind: RowKind, values: Mapping[str, ControlValue], settings: Settings) -> list[RowFact]:
    """The values of a table but its name, in the order of its fields. Empty ones are left out.

    A list with controls has none.

    In: the values of `settings_form.row`. A value that cannot be read is shown as the file has it.

    >>> from journal.setup.setting_lists import ROW_KINDS
    >>> values = {"question": "Does it help?", "outcome": "sleep", "lag": "1", "from": "2025-03-01", "days": ""}
    >>> for fact in of(ROW_KINDS["trials"], values, Settings(title="Small", places=())):
    ...     print(f"{fact.label}: {fact.text}")
    What is looked at: minutes of sleep
    Looked at: on the day after
    From: 1 March 2025
    """
    if not kind.made_on:
        return []
    return [
        RowFact(label=_(field.label), text=_words(field, text, settings))
        for field in kind.fields
        if field.key != kind.name_key and (text := str(values.get(field.key, "")))
    ]


def _words(field: SettingField, text: str, settings: Settings) -> str:
    if field.control in ("date", "dates"):
        return numbers.listed([_day(part.strip()) for part in text.split(",")])
    if field.key in ("habit", "outcome"):
        if text in trial_words.OF_THE_DAY:
            return _(trial_words.OF_THE_DAY[text])
        return settings.habit_name(text) if text in settings.habit_keys else text
    return next((option.name for option in field.in_words().options if option.value == text), text)


def _day(text: str) -> str:
    try:
        return dates.day(dt.date.fromisoformat(text), weekday=False, year=True)
    except ValueError:
        return text
