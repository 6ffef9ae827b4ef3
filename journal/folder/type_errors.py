"""Comparison of a file's values with the types of a page, one by one, so that an invalid value affects only itself.

msgspec does the normal conversion in microseconds, but stops at the first invalid value. This walk is for files where
it stopped. It collects every invalid value, and returns all valid ones.
"""

from __future__ import annotations

import datetime as dt
from functools import cache
from typing import Any

import msgspec
from msgspec import inspect

from journal.entry import Clock, ClockError, Span
from journal.folder.faults import ABOVE, NOTHING, Fault, Key, chosen, missing_list, nearest, quoted, value_words
from journal.language.catalogue import N_
from journal.language.lazy_text import L_, L_p, Phrase, any_of

_NOTHING = object()  # stands for an invalid value


class Fitting(msgspec.Struct):
    """The valid values, the faults, and, for each list with removed items, the original positions of the others."""

    values: dict[str, Any]
    faults: list[Fault]
    stood: dict[Key, list[int]]

    def origin(self, where: Key) -> Key:
        """Return the path of a value in the file, from its path in the valid values."""
        path: Key = ()
        file_path: Key = ()
        for part in where:
            positions = self.stood.get(path)
            file_path = (*file_path, positions[part] if positions is not None and isinstance(part, int) else part)
            path = (*path, part)
        return file_path


def fitting(values: dict[str, Any], page: type[msgspec.Struct]) -> Fitting:
    """Return the values that match the type of the page, and a fault for each that does not.

    >>> from journal.entry import Entry
    >>> fit = fitting({"mood": "good", "memory": "First frost."}, Entry)
    >>> fit.values, [(fault.where, str(fault.expected)) for fault in fit.faults]
    ({'memory': 'First frost.'}, [(('mood',), 'a number')])
    """
    struct = _struct(page)
    walk = _TypeWalk({field.encode_name: field.type for field in struct.fields if field.encode_name not in values})
    return Fitting(walk.table(values, struct, (), ()), walk.faults, walk.stood)


def without(fit: Fitting, where: Key) -> bool:
    """Remove one more value from the valid ones, by its path there. Return whether it existed."""
    *path, last = where
    inner: Any = fit.values
    try:
        for part in path:
            inner = inner[part]
        inner[last]
    except (KeyError, IndexError):
        return False
    if isinstance(last, int):
        fit.stood.setdefault(tuple(path), list(range(len(inner)))).pop(last)
    inner.pop(last)
    return True


@cache  # inspecting a type takes longer than walking a page
def _struct(page: type[msgspec.Struct]) -> inspect.StructType:
    described = inspect.type_info(page)
    assert isinstance(described, inspect.StructType)
    return described


class _TypeWalk:
    def __init__(self, missing: dict[str, inspect.Type]) -> None:
        self.missing = missing  # the keys that the page lacks at its top level
        self.faults: list[Fault] = []
        self.stood: dict[Key, list[int]] = {}

    def value(  # noqa: PLR0911 (one line a type)
        self, value: Any, type_: inspect.Type, where: Key, kept: Key
    ) -> Any:
        """Return the valid part of a value, or _NOTHING.

        `where` is its path in the file, `kept` its path in the valid values.
        """
        if isinstance(type_, inspect.UnionType):
            types = [t for t in type_.types if not isinstance(t, inspect.NoneType)]
            type_ = types[0] if len(types) == 1 else inspect.UnionType(tuple(types))
        match type_:
            case inspect.StructType() | inspect.DictType() if not isinstance(value, dict):
                return self._unfit(value, where, L_("a table"), _table_remedy(where, value))
            case inspect.StructType():
                return self.table(value, type_, where, kept)
            case inspect.DictType():
                return self._named(value, type_.value_type, where, kept)
            case inspect.VarTupleType() if not isinstance(value, list):
                return self._unfit(value, where, *_list_expected(type_.item_type, where, value))
            case inspect.VarTupleType():
                return self._list(value, type_.item_type, where, kept)
            case _ if _fits(value, type_):
                return value
            case _:
                return self._unfit(value, where, *_leaf_expected(type_, value))

    def table(self, table: dict[str, Any], type_: inspect.StructType, where: Key, kept: Key) -> Any:
        fields = {field.encode_name: field for field in type_.fields}
        fits, before = {}, len(self.faults)
        for key, value in table.items():
            if key not in fields:
                self._unknown(key, value, fields, where)
                continue
            fit = self.value(value, fields[key].type, (*where, key), (*kept, key))
            if fit is not _NOTHING:
                fits[key] = fit
        is_complete = True
        misspelt = {nearest(key, fields) for key in table if key not in fields}
        for key, field in fields.items():
            is_complete = is_complete and (not field.required or key in fits)
            if field.required and key not in table and key not in misspelt:
                self.faults.append(_missing(key, field.type, where))
        if getattr(type_.cls, "is_whole", False):
            is_complete = is_complete and not misspelt - {None} and all(fault.at_key for fault in self.faults[before:])
        # The page itself is never dropped: its reader handles missing keys.
        return fits if is_complete or not where else _NOTHING

    def _named(self, table: dict[str, Any], type_: inspect.Type, where: Key, kept: Key) -> dict[str, Any]:
        """Return what fits of a table whose keys are the journal's own names, such as habits."""
        fits = {}
        for key, value in table.items():
            if self._fell_in(key, value) and not self._agrees(value, type_):
                self._unknown(key, value, {}, where)
            elif (fit := self.value(value, type_, (*where, key), (*kept, key))) is not _NOTHING:
                fits[key] = fit
        return fits

    def _fell_in(self, key: str, value: Any) -> bool:
        """Return whether a key in a table is one the page lacks at its top level: it was added at the file's end."""
        return key in self.missing and self._agrees(value, self.missing[key])

    def _agrees(self, value: Any, type_: inspect.Type) -> bool:
        """Return whether all of a value fits a type."""
        walk = _TypeWalk({})  # no missing keys, so that this does not descend into itself
        walk.value(value, type_, ("",), ("",))
        return not walk.faults

    def _list(self, values: list[Any], type_: inspect.Type, where: Key, kept: Key) -> list[Any]:
        fits: list[Any] = []
        stood = []
        for i, value in enumerate(values):
            fit = self.value(value, type_, (*where, i), (*kept, len(fits)))
            if fit is _NOTHING:
                # Positions recorded within a dropped item must not apply to the next item.
                dropped = (*kept, len(fits))
                self.stood = {
                    path: positions for path, positions in self.stood.items() if path[: len(dropped)] != dropped
                }
                continue
            fits.append(fit)
            stood.append(i)
        if len(fits) < len(values):
            self.stood[kept] = stood
        return fits

    def _unfit(self, value: Any, where: Key, expected: Phrase, remedy: Phrase) -> Any:
        # Of a value of the wrong type, 12.0 for 12 too, what stands in the file is told.
        got = repr(value) if isinstance(value, float) else value_words(value)
        self.faults.append(Fault(where=where, expected=expected, got=got, remedy=remedy))
        return _NOTHING

    def _unknown(self, key: str, value: Any, fields: dict[str, inspect.Field], where: Key) -> None:
        if where and self._fell_in(key, value):
            remedy: Phrase = ABOVE
        else:
            names = ", ".join(fields)
            has = L_("this table has {names}", names=names) if where else L_("this page has {names}", names=names)
            remedy = chosen(key, fields, has)
        expected, got = L_("a key that is known here"), quoted(key)
        self.faults.append(Fault(where=(*where, key), expected=expected, got=got, remedy=remedy, at_key=True))


def _fits(value: Any, type_: inspect.Type) -> bool:  # noqa: PLR0911 (one line a type)
    match type_:
        case inspect.UnionType():
            return any(_fits(value, each) for each in type_.types)
        case inspect.BoolType():
            return type(value) is bool
        case inspect.IntType():
            return type(value) is int
        case inspect.FloatType():
            return type(value) in (int, float)
        case inspect.StrType():
            return type(value) is str
        case inspect.DateType():
            return type(value) is dt.date
        case inspect.LiteralType():
            return type(value) in (str, int) and value in type_.values
        case inspect.CustomType():
            return _parse_error(value, type_.cls) is None
    return False


def _parse_error(value: Any, type_: type[Any]) -> ValueError | None:
    """Return the error of parsing a value as a Clock or Span, or None."""
    if not isinstance(value, str):
        return ValueError("not a text")
    try:
        type_.parse(value)
    except ValueError as error:
        return error
    return None


_LEAVES: dict[type[inspect.Type], tuple[Phrase, Phrase]] = {
    inspect.BoolType: (L_p("in a file", "true or false"), L_("write true or false, without quotes")),
    inspect.IntType: (L_("a whole number"), L_("write one without quotes, e.g. 2")),
    inspect.FloatType: (L_("a number"), L_("write one without quotes, e.g. 4")),
    inspect.StrType: (L_p("in a file", "text"), L_('put it in quotes, e.g. "paper"')),
    inspect.DateType: (L_("a date"), L_("write it without quotes or time, e.g. 2025-03-14")),
}


def _leaf_expected(type_: inspect.Type, value: Any) -> tuple[Phrase, Phrase]:  # noqa: PLR0911 (one line a type)
    """Return the expectation and the remedy for a single value."""
    if isinstance(type_, inspect.LiteralType):
        values = [v for v in type_.values if isinstance(v, str)]
        if not values:
            numbers = [str(v) for v in type_.values]
            return any_of(numbers), L_("write {name}", name=value if value in numbers else numbers[0])
        near = nearest(value, values) if isinstance(value, str) else None
        remedy = L_("write {name}", name=quoted(near)) if near else L_("write one of them")
        return any_of(map(quoted, values)), remedy
    if isinstance(type_, inspect.CustomType) and type_.cls is Clock:
        # A time without quotes is valid TOML, of a kind of its own.
        if type(value) is dt.time:
            return '"HH:MM"', L_("put it in quotes: {example}", example=f'"{value:%H:%M}"')
        return '"HH:MM"', L_("write e.g. {example}", example='"06:15"')
    if isinstance(type_, inspect.CustomType) and type_.cls is Span:
        error = _parse_error(value, Span)
        if isinstance(error, ClockError) and error.is_order:
            return L_("a stretch that ends after it starts"), error.remedy
        return '"HH:MM-HH:MM"', L_("write e.g. {example}", example='"23:00-24:00"')
    if isinstance(type_, inspect.UnionType) and any(isinstance(each, inspect.DateType) for each in type_.types):
        remedy = L_("write one of them, a date only for what was caught up on later")
        return L_("true, false or a date"), remedy
    if isinstance(type_, inspect.UnionType):  # a mark
        remedy = L_("write one of them, a number only for a habit with a target")
        return L_('true, false, a number or "rest"'), remedy
    return _LEAVES[type(type_)]


def _list_expected(item: inspect.Type, where: Key, value: Any) -> tuple[Phrase, Phrase]:
    name = str(where[-1])
    if isinstance(item, inspect.StructType):
        remedy = L_("write each as [[{name}]]", name=name)
        if isinstance(value, dict):
            remedy = L_("write [[{name}]], with double brackets", name=name)
        return L_("a list of tables"), remedy
    example = '["23:00-24:00"]' if isinstance(item, inspect.CustomType) else '["..."]'
    inside = f"[{quoted(value)}]" if isinstance(value, str) and len(value) <= 40 else example
    text = N_("put it in square brackets: {example}") if isinstance(value, str) else N_("write e.g. {example}")
    return L_("a list"), L_(text, example=inside)


def _table_remedy(where: Key, value: Any) -> Phrase:
    name = str(where[-1]) if where else ""
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return L_("write [{name}] once, with single brackets", name=name)
    return L_("write [{name}] on a line of its own, and its keys below", name=name)


def _missing(key: str, type_: inspect.Type, where: Key) -> Fault:
    if isinstance(type_, inspect.VarTupleType) and isinstance(type_.item_type, inspect.StructType):
        return missing_list(key, [field.encode_name for field in type_.item_type.fields if field.required])
    if isinstance(type_, inspect.DateType):
        example = f"{key} = 2025-03-14"
    elif isinstance(type_, inspect.FloatType):
        example = f"{key} = 46.05"
    else:
        example = f'{key} = "{"Europe/Ljubljana" if key == "timezone" else "..."}"'
    expected, remedy = L_('the key "{key}"', key=key), L_("add e.g. {example}", example=example)
    return Fault(where=where or (key,), expected=expected, got=NOTHING, remedy=remedy)
