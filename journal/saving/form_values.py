"""Reading of form fields from JSON: each is typed, or rejected with its name and a remedy, all at once."""

from __future__ import annotations

import contextlib
import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Literal, TypeVar

import msgspec
from msgspec import UNSET, UnsetType

from journal.entry import DAY_FIELDS, Clock, Mark, Span, Tick
from journal.errors import Problem
from journal.fields import Field
from journal.folder.faults import Fault, listed, value_text
from journal.language.catalogue import N_, _
from journal.language.printable import printable
from journal.wording import typed_numbers
from journal.wording.numbers import number

FormStrip = dict[str, list[tuple[int, Span]]]
"""Category to its spans, each with its position in the form."""

EnteredFields = dict[tuple[str, ...], Any]
"""The submitted fields of a day, by path in the page; None for an emptied field."""

ChoiceT = TypeVar("ChoiceT", bound=str)

RowNoun = Literal["task", "appointment"]

UNTITLED: Mapping[RowNoun, str] = {
    "task": N_("This task has no title; write what it is, or take the row away."),
    "appointment": N_("This appointment has no title; write what it is, or take the row away."),
}
"""What is said of a row without a title, for `_`."""

LONGEST_TEXT = 20_000  # characters: far longer than any text of one day, far below the file size limit


class Trouble(msgspec.Struct, frozen=True):
    """One problem of the entered values: the field of the form, and a message with the remedy."""

    field: str
    message: str

    def __post_init__(self) -> None:
        msgspec.structs.force_setattr(self, "message", printable(self.message))


def fault_message(fault: Fault | Problem) -> str:
    """Return a fault or a problem as a sentence to show beside the field.

    >>> fault_message(Fault(where=("mood",), expected="a number from 1 to 5", got="7", remedy="write one in between"))
    'Expected a number from 1 to 5, got 7; write one in between.'
    """
    return _(
        "Expected {expected}, got {typed}; {remedy}.", expected=fault.expected, typed=fault.got, remedy=fault.remedy
    )


class FormValues:
    """Reads fields and collects their problems.

    >>> fields = FormValues()
    >>> fields.text({"memory": 7}, "memory"), fields.strip({"actual": {"sleep": ["25:00-06:00"]}}, "actual")
    ('', {'sleep': []})
    >>> for trouble in fields.troubles: print(f"{trouble.field}: {trouble.message}")
    memory: Expected words, got 7; write them as text.
    actual.sleep.0: "25:00" is no time of day; write e.g. "06:15".
    """

    def __init__(self) -> None:
        self.troubles: list[Trouble] = []

    def report(self, field: str, message: str) -> None:
        self.troubles.append(Trouble(field, message))

    def expected(self, field: str, expected: str, got: object, remedy: str) -> None:
        there = value_text(got) if got is not None else _("nothing")
        self.report(
            field, _("Expected {expected}, got {typed}; {remedy}.", expected=expected, typed=there, remedy=remedy)
        )

    def number(self, table: Mapping[str, Any], name: str, within: str = "") -> float | UnsetType | None:
        """Return a finite number, an int if it is whole; None if the field was emptied, UNSET if it was not sent."""
        if name not in table:
            return UNSET
        value, field = table[name], _field(within, name)
        if value is None or value == "":
            return None
        if isinstance(value, str) and typed_numbers.is_ambiguous(value):
            self.report(field, f"{typed_numbers.doubt(value)}.")
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            self.expected(field, _("a number"), value, _("write e.g. 3"))
            return None
        return int(value) if float(value).is_integer() else value

    def whole(self, value: object, field: str) -> int | None:
        """Return a whole number, or None for an empty field."""
        number = self.number({"value": value}, "value") if isinstance(value, int | float) else value
        if number is None or number == "":
            return None
        if isinstance(number, str) and typed_numbers.is_ambiguous(number):
            self.report(field, f"{typed_numbers.doubt(number)}.")
            return None
        if isinstance(number, bool) or not isinstance(number, int):
            self.expected(field, _("a whole number"), value, _("write e.g. 1"))
            return None
        return number

    def day_fields(self, sent: Mapping[str, Any], side: Literal["today", "tomorrow"]) -> EnteredFields:
        """Return the submitted fields of a day's page on one side of the form, by path.

        The side of the day itself has the fields of the evening before too, so that they can be corrected.
        """
        fields: EnteredFields = {}
        for field in DAY_FIELDS:
            table: Any = sent
            for name in field.path[:-1]:
                table = table.get(name)
                table = table if isinstance(table, Mapping) else {}
            if field.asked in (side, "tomorrow") and field.name in table:
                prefix = (*(["tomorrow"] if side == "tomorrow" else []), *field.path[:-1])
                fields[field.path] = self._day_field(field, table, ".".join(prefix))
        return fields

    def _day_field(self, field: Field, table: Mapping[str, Any], within: str) -> float | str | None:
        if field.kind == "text":
            return self.text(table, field.name, within) or None
        if field.kind == "whole number":
            return self.whole(table[field.name], _field(within, field.name))
        number = self.number(table, field.name, within)
        return None if number is UNSET else number

    def flag(self, table: Mapping[str, Any], name: str) -> bool | UnsetType:
        """Return true or false, UNSET if the field was not sent."""
        value = table.get(name, UNSET)
        if value is UNSET or isinstance(value, bool):
            return value
        self.expected(name, _("true or false"), value, _("tick it or leave it"))
        return UNSET

    def text(self, table: Mapping[str, Any], name: str, within: str = "") -> str | UnsetType:
        """Return a text without surrounding blanks, empty for an empty field, UNSET if it was not sent."""
        return UNSET if name not in table else self._words(table[name], _field(within, name))

    def _words(self, value: object, field: str) -> str:
        if value is None:
            return ""
        if not isinstance(value, str):
            self.expected(field, _("words"), value, _("write them as text"))
            return ""
        if len(value) > LONGEST_TEXT:
            self.expected(
                field,
                _("at most {count} characters", count=number(LONGEST_TEXT)),
                len(value),
                _("shorten it, or divide it"),
            )
            return ""
        if any(ord(c) < 32 and c not in "\n\t\r" for c in value) or any(0xD800 <= ord(c) <= 0xDFFF for c in value):
            self.report(field, _("There is a character in it that no text file can hold; type the line anew."))
            return ""
        return value.replace("\r\n", "\n").replace("\r", "\n").strip()

    def lines(self, table: Mapping[str, Any], name: str) -> list[str] | UnsetType:
        """Return a list of lines without empty ones, UNSET if it was not sent."""
        if name not in table:
            return UNSET
        value = table[name] if table[name] is not None else []
        if not isinstance(value, Sequence) or isinstance(value, str):
            self.expected(name, _("a list of lines"), value, _("write each as a line of its own"))
            return []
        words = [self._words(line, f"{name}.{i}") for i, line in enumerate(value)]
        return [line for line in words if line]

    def title(
        self, table: Mapping[str, Any], field: str, noun: RowNoun, also: Sequence[str] = ("took", "estimate")
    ) -> str | None:
        """Return a title, or None for an empty row. A missing title in a row with other values is a problem."""
        title = self._words(table.get("title"), f"{field}.title").replace("\n", " ")
        if title:
            return title
        filled = table.get("ref") is not None or any(table.get(name) not in (None, "") for name in also)
        if filled and not any(trouble.field == f"{field}.title" for trouble in self.troubles):
            self.report(f"{field}.title", _(UNTITLED[noun]))
        return None

    def name(self, value: object, field: str) -> str | None:
        """Return the ref of a row, or None for a new one."""
        if value is None or isinstance(value, str):
            return value
        self.expected(field, _("a name"), value, _("open the page anew"))
        return None

    def word(self, value: object, field: str, words: Sequence[ChoiceT]) -> ChoiceT:
        """Return one of the given words. An unknown word is a problem, and gives the first one."""
        for word in words:
            if value == word:
                return word
        self.expected(field, listed(words), value, _("choose one of them"))
        return words[0]

    def date(self, value: object, field: str) -> dt.date | None:
        """Return a day, or None for an empty field."""
        if value is None or value == "":
            return None
        if isinstance(value, str):
            with contextlib.suppress(ValueError):
                return dt.date.fromisoformat(value)
        self.report(field, _('There is no day {typed}; write e.g. "2025-03-14".', typed=value_text(value)))
        return None

    def clock(self, value: object, field: str) -> Clock | None:
        """Return a time of day, or None for an empty field."""
        if value is None or value == "":
            return None
        try:
            return Clock.parse(value if isinstance(value, str) else value_text(value))
        except ValueError as error:
            self.report(field, f"{error}.")
            return None

    def tables(self, value: object, field: str) -> Iterator[tuple[int, Mapping[str, Any]]]:
        """Yield the rows of a list with their positions."""
        if value is None or value is UNSET:
            return
        if not isinstance(value, Sequence) or isinstance(value, str):
            self.expected(field, _("a list"), value, _("open the page anew"))
            return
        for i, row in enumerate(value):
            if isinstance(row, Mapping):
                yield i, row
            else:
                self.expected(f"{field}.{i}", _("a row"), row, _("open the page anew"))

    def strip(self, table: Mapping[str, Any], name: str, within: str = "") -> FormStrip | UnsetType:
        """Return the spans of a strip by category, without invalid ones, which become problems."""
        if name not in table:
            return UNSET
        field, value = _field(within, name), table[name] or {}
        if not isinstance(value, Mapping):
            self.expected(field, _("hours by category"), value, _("open the page anew"))
            return {}
        return {str(key): list(self._spans(texts, f"{field}.{key}")) for key, texts in value.items()}

    def _spans(self, value: object, field: str) -> Iterator[tuple[int, Span]]:
        if not isinstance(value, Sequence) or isinstance(value, str):
            self.expected(field, _("a list of stretches"), value, _('write e.g. "23:00-24:00"'))
            return
        for i, text in enumerate(value):
            try:
                yield i, Span.parse(text if isinstance(text, str) else value_text(text))
            except ValueError as error:
                self.report(f"{field}.{i}", f"{error}.")

    def marks(self, value: object, field: str) -> dict[str, Mark | None]:
        """Return marks by habit. None removes the mark from the page."""
        marks: dict[str, Mark | None] = {}
        for key, mark in self._by_name(value, field):
            if mark is None or isinstance(mark, bool) or mark == "rest":
                marks[key] = mark
            elif isinstance(mark, int | float) and math.isfinite(mark):
                marks[key] = int(mark) if float(mark).is_integer() else mark
            else:
                self.expected(f"{field}.{key}", _("done, not done, rest or a number"), mark, _("choose one of them"))
        return marks

    def ticks(self, value: object, field: str) -> dict[str, Tick | None]:
        """Return ticks by challenge: true, false, or the later day on which it was caught up on. None removes one."""
        ticks: dict[str, Tick | None] = {}
        for key, tick in self._by_name(value, field):
            if tick is None or isinstance(tick, bool):
                ticks[key] = tick
            elif tick == "":
                self.report(f"{field}.{key}", _("The day it was done on is missing; choose it."))
            elif isinstance(tick, str):
                ticks[key] = self.date(tick, f"{field}.{key}")
            else:
                self.expected(f"{field}.{key}", _("true or false"), tick, _("tick it or leave it"))
        return ticks

    def _by_name(self, value: object, field: str) -> Iterator[tuple[str, Any]]:
        if value is None or isinstance(value, Mapping):
            yield from ((str(key), item) for key, item in (value or {}).items())
        else:
            self.expected(field, _("values by name"), value, _("open the page anew"))


def _field(within: str, name: str) -> str:
    return f"{within}.{name}" if within else name
