"""A field of a day's page: a number or a text, with all metadata that the rest of the code needs.

`journal.entry` declares each field once, beside its type. The declaration determines its bounds, its place in the file,
its column, its control on the evening form, its option of `duskbook log`, its heading in an import, its lines in the
text export and in the data dictionary, who may read it, and whether it is compared with mood.
"""

from __future__ import annotations

import math
import typing
from collections.abc import Iterator, Mapping
from types import UnionType
from typing import Any, Literal

import msgspec

from journal.language.catalogue import _
from journal.language.lazy_text import L_, LazyText, said

Kind = Literal["number", "whole number", "text"]

DEGREES = "degrees, C or F as journal.toml says"
ON_SCALE = "scale of the journal"


class Field(msgspec.Struct, frozen=True, kw_only=True):
    """One field. Only `label` is required. `fields_of` sets `path` and `kind` from the place of the declaration.

    - label: its name ("Steps"); question: the form's text, if not the label; example: a placeholder for the control
    - meaning, unit, missing: its row in the data dictionary; `unit` also stands on the form
    - low, high: bounds of a number, both inclusive
    - scale: the scale of journal.toml it is rated on ("mood"); keys: the block of journal.toml whose keys it holds
    - asked: the side of the evening form that has it, or None. What is asked for tomorrow can be corrected on its day
    - log: whether `duskbook log` has an option for it
    - reader: the widest audience of an export that contains it: me, friend, anyone
    - driver: its name in the comparison with mood; empty if it is not compared
    """

    label: str
    question: str = ""
    example: str = ""
    meaning: str = ""
    unit: str = ""
    missing: str = "not written"
    low: float | None = None
    high: float | None = None
    scale: str = ""
    keys: str = ""
    asked: Literal["today", "tomorrow"] | None = "today"
    log: bool = True
    reader: Literal["me", "friend", "anyone"] = "me"
    driver: str = ""
    path: tuple[str, ...] = ()
    kind: Kind = "text"

    @property
    def name(self) -> str:
        """The name of its column, option and heading: the last key of its path."""
        return self.path[-1]

    @property
    def is_number(self) -> bool:
        return self.kind != "text"

    def value(self, entry: object) -> Any:
        """The field's value in an entry, or None."""
        for name in self.path:
            entry = None if entry is None else getattr(entry, name)
        return entry

    def sample(self) -> str:
        """A valid value, as an example in messages: of a text, in the spoken language.

        >>> Field(label="Steps", low=1, kind="number").sample(), Field(label="Sky", example="grey").sample()
        ('1', 'grey')
        """
        bound = self.high if self.low is None else self.low
        return (_(self.example) if self.example else "") or ("11" if bound is None else f"{bound:g}")

    def unit_on(self, temperature: Literal["C", "F"]) -> str:
        """Its unit on the form, given the journal's unit of temperature. Empty for a field on a scale.

        >>> Field(label="High", unit=DEGREES).unit_on("C"), Field(label="Mood", scale="mood").unit_on("C")
        ('°C', '')
        """
        return "" if self.scale or not self.unit else f"°{temperature}" if self.unit == DEGREES else _(self.unit)

    def bounds(self) -> str:
        """Its bounds as text, empty without bounds.

        >>> Field(label="Steps", low=0).bounds(), Field(label="Water", low=0, high=9.5).bounds()
        ('0 or more', '0 to 9.5')
        """
        limits = self._limits()
        return "" if limits is None else said(limits)

    def expected(self) -> LazyText:
        """What a number of it has to be, not looked up yet.

        >>> print(Field(label="Steps", low=0).expected(), "-", Field(label="High").expected())
        a number, 0 or more - a number
        """
        limits = self._limits()
        return L_("a number") if limits is None else L_("a number, {limits}", limits=limits)

    def _limits(self) -> LazyText | None:
        if self.low is not None and self.high is not None:
            return L_("{low} to {high}", low=self.low, high=self.high)
        if self.low is not None:
            return L_("{low} or more", low=self.low)
        return None if self.high is None else L_("{high} or less", high=self.high)

    def holds(self, value: float) -> bool:
        """Whether a number is finite and within the bounds.

        >>> Field(label="Steps", low=0).holds(0), Field(label="Steps", low=0).holds(float("nan"))
        (True, False)
        """
        low = -math.inf if self.low is None else self.low
        high = math.inf if self.high is None else self.high
        return math.isfinite(value) and low <= value <= high


def fields_of(page: type[msgspec.Struct]) -> tuple[Field, ...]:
    """The fields that a page type declares, in order. Fields of a table stand at the place of the table.

    >>> from journal.entry import Entry
    >>> [(field.path, field.kind, field.label) for field in fields_of(Entry)][2:5]
    [(('place',), 'text', 'Place'), (('weather', 'sky'), 'text', 'Sky'), (('weather', 'high'), 'number', 'High')]

    Raises TypeError for a field that is neither a number nor a text.
    """
    return tuple(_declared(page, ()))


def _declared(page: type[msgspec.Struct], above: tuple[str, ...]) -> Iterator[Field]:
    for name, hint in typing.get_type_hints(page, include_extras=True).items():
        path = (*above, name)
        declared = [extra for extra in getattr(hint, "__metadata__", ()) if isinstance(extra, Field)]
        if declared:
            yield msgspec.structs.replace(declared[0], path=path, kind=_kind(path, hint.__origin__))
            continue
        for part in _parts(hint):
            if isinstance(part, type) and issubclass(part, msgspec.Struct):
                yield from _declared(part, path)


def _parts(hint: Any) -> tuple[Any, ...]:
    """The members of a union, or the type itself."""
    return typing.get_args(hint) if isinstance(hint, UnionType) or typing.get_origin(hint) is typing.Union else (hint,)


def _kind(path: tuple[str, ...], hint: Any) -> Kind:
    kinds: dict[Any, Kind] = {float: "number", int: "whole number", str: "text"}
    (own,) = [part for part in _parts(hint) if part is not type(None)]
    if own not in kinds:
        raise TypeError(f"{'.'.join(path)} must be a number or a text to be a field")
    return kinds[own]


def nested(values: Mapping[tuple[str, ...], Any]) -> dict[str, Any]:
    """Nested tables from values by path. None values are left out.

    >>> nested({("mood",): 4, ("weather", "high"): 11, ("weather", "low"): None})
    {'mood': 4, 'weather': {'high': 11}}
    """
    tables: dict[str, Any] = {}
    for path, value in values.items():
        if value is not None:
            inner = tables
            for name in path[:-1]:
                inner = inner.setdefault(name, {})
            inner[path[-1]] = value
    return tables


def columns(fields: tuple[Field, ...]) -> dict[str, Field]:
    """Map column names to fields.

    Raises ValueError if two fields have the same name.
    """
    by_name = {field.name: field for field in fields}
    if len(by_name) < len(fields):
        raise ValueError("two fields of a day have the same name")
    return by_name
