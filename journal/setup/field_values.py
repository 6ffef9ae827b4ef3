"""A value of journal.toml as a control shows it, and back.

A control holds a text, a tick, or a list of keys. A value of another type than its field is shown as the file writes
it, and is written again only if the control is changed.
"""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

from journal.folder import toml_format
from journal.folder.writing import REMOVE
from journal.language.catalogue import _
from journal.language.spoken import spoken
from journal.saving.form_values import FormValues
from journal.setup.setting_fields import SettingField
from journal.wording import typed_numbers

ControlValue = str | bool | list[str]
"""The value of a control: a text, a tick, or a list of keys."""

_BETWEEN = {"lines": "\n", "words": ", "}
_DATES_BETWEEN = ", "


def shown(field: SettingField, value: Any) -> ControlValue:
    """The value of a control. None is a missing key.

    >>> count = SettingField(key="a", label="A", control="number")
    >>> words = SettingField(key="b", label="B", control="lines")
    >>> shown(count, 46.05), shown(count, "7ish"), shown(words, ["One.", "Two,\\n or three."]), shown(count, None)
    ('46.05', '"7ish"', 'One.\\nTwo, or three.', '')
    """
    if field.control == "tick":
        return value is True
    if field.control == "habits":
        return [key for key in value if isinstance(key, str)] if isinstance(value, list) else []
    return "" if value is None else _text(field, value)


def _text(field: SettingField, value: Any) -> str:
    if field.control in _BETWEEN and isinstance(value, list) and all(isinstance(part, str) for part in value):
        return _BETWEEN[field.control].join(map(_one_line, value))
    if field.control == "date":
        return value.isoformat() if type(value) is dt.date else _as_written(value)
    if field.control == "dates" and isinstance(value, list) and all(type(day) is dt.date for day in value):
        return _DATES_BETWEEN.join(map(str, value))
    if field.control in ("number", "whole"):
        is_number = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
        return repr(value).removesuffix(".0").replace(".", spoken().decimal) if is_number else _as_written(value)
    if field.control == "choice" and isinstance(value, int) and not isinstance(value, bool):
        return str(value)
    return _one_line(value) if isinstance(value, str) else _as_written(value)


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _as_written(value: Any) -> str:
    try:
        return toml_format.value(value)
    except TypeError:  # a table
        return _("a table")


def read(form: FormValues, field: SettingField, value: object, at: str, *, before: Any = None) -> Any:
    """The value for the file, or REMOVE for an empty control. Problems are reported at the field `at`.

    `before` is the value in the file. Texts of a list that stay keep its characters.

    >>> form = FormValues()
    >>> read(form, SettingField(key="a", label="A", control="number"), "46,05", "a")
    46.05

    A number that could be meant as thousands is refused.

    >>> read(form, SettingField(key="title", label="Title", required=True), " ", "title")
    >>> form.troubles[0].message
    'Title is empty; fill it in.'
    """
    if field.control == "tick":
        return True if form.flag({at: value}, at) is True else REMOVE
    if field.control == "habits":
        return [key for key in value if isinstance(key, str)] or REMOVE if isinstance(value, list) else REMOVE
    text = form.text({at: value}, at) or ""
    if any(trouble.field == at for trouble in form.troubles):
        return REMOVE
    if not text:
        if field.required:
            form.report(at, _("{label} is empty; fill it in.", label=_(field.label)))
        return [] if field.control in _BETWEEN else REMOVE
    return _typed(form, field, text, at, before)


def _typed(form: FormValues, field: SettingField, text: str, at: str, before: Any) -> Any:
    match field.control:
        case "lines" | "words":
            exact = {_one_line(part): part for part in before or () if isinstance(part, str)}
            parts = text.split("\n") if field.control == "lines" else text.replace("\n", ",").split(",")
            lines = [line for line in map(_one_line, parts) if line]
            return [exact.get(line, line) for line in lines]
        case "number" | "whole":
            return _number(form, field, text, at)
        case "date":
            return form.date(text, at) or REMOVE
        case "time":
            return text if form.clock(text, at) is not None else REMOVE
        case "choice":
            value = form.word(text, at, [option.value for option in field.options])
            return int(value) if value.isdecimal() else value
        case _:
            return _one_line(text)


def _number(form: FormValues, field: SettingField, text: str, at: str) -> Any:
    if typed_numbers.is_ambiguous(text):
        form.report(at, f"{typed_numbers.doubt(text)}.")
        return REMOVE
    try:
        number = typed_numbers.read(text)
    except ValueError:
        number = math.nan
    if number.is_integer():
        return int(number)
    if field.control == "whole" or not math.isfinite(number):
        expected = _("a whole number") if field.control == "whole" else _("a number")
        form.expected(at, expected, text, _("write e.g. {example}", example=field.example or 3))
        return REMOVE
    return number
