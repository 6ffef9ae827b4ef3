"""Typed values of a parsed file: all valid ones, and a problem with position and remedy for each that is not.

A valid file takes the fast path: values, types, checks. An invalid file takes the slow path. It finds every invalid
value, locates it in the text, and keeps all others.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import TYPE_CHECKING, Any, TypeVar

import msgspec

from journal.entry import Clock, Span
from journal.errors import Problem
from journal.folder.faults import Fault, Key, place_text
from journal.folder.page_names import follows_from
from journal.language.lazy_text import L_

if TYPE_CHECKING:
    from journal.folder.broken_places import Recovery

T = TypeVar("T", bound=msgspec.Struct)
Check = Callable[[T], list[Fault]]

MAX_PROBLEMS = 50
"""Problems of one file. A file with more has one cause for most of them, and a longer list would hide it."""

# Dates come from the parser as dates, so a date in quotes is reported rather than converted.
_DATES = (dt.date, dt.datetime, dt.time)


class TomlSource(msgspec.Struct, frozen=True):
    """A syntactically valid file: its path, its text and its values."""

    path: str
    text: str
    values: dict[str, Any]


def read_source(
    source: TomlSource,
    page: type[T],
    check: Check[T],
    convert: Callable[[dict[str, Any]], T] | None = None,
    recovery: Recovery | None = None,
) -> tuple[T, tuple[Problem, ...]]:
    """Return the valid part of a file, and a problem for each invalid value.

    `check` finds the faults that types cannot. `convert` makes the page from its valid values, by default `typed`.
    `recovery` is that of a broken file: what only follows from its broken lines is not reported again.

    >>> from journal.entry import Entry
    >>> values = {"mood": "good", "memory": "First frost."}
    >>> source = TomlSource("2025.toml", 'memory = "First frost."\\nmood = "good"', values)
    >>> entry, problems = read_source(source, Entry, lambda entry: [])
    >>> entry.memory, [str(problem) for problem in problems]
    ('First frost.', ['2025.toml:2:8: mood: expected a number, got "good"; write one without quotes, e.g. 4'])
    """
    return _read_valid(source, page, check) or _read_invalid(
        source, page, check, convert or (lambda values: typed(values, page)), recovery
    )


def _read_valid(source: TomlSource, page: type[T], check: Check[T]) -> tuple[T, tuple[Problem, ...]] | None:
    """The fast path: return the whole content of a valid file, or None for an invalid one."""
    try:
        content = typed(source.values, page)
    except (msgspec.ValidationError, ValueError):
        return None
    return None if check(content) else (content, ())


def _read_invalid(
    source: TomlSource,
    page: type[T],
    check: Check[T],
    convert: Callable[[dict[str, Any]], T],
    recovery: Recovery | None,
) -> tuple[T, tuple[Problem, ...]]:
    """The slow path: return the valid part of a file, and a problem for each invalid value.

    `recovery` is that of a broken file. What only follows from its broken lines is not reported again.
    """
    from journal.folder import type_errors  # noqa: PLC0415 (most journals never need it)

    fit = type_errors.fitting(source.values, page)
    around = _around(place.where for place in recovery.places) if recovery else set()

    def follows(fault: Fault) -> bool:
        return fault.where in around or (recovery is not None and follows_from(fault, recovery.hides))

    faults = [fault for fault in fit.faults if not follows(fault)]
    while True:
        content = convert(fit.values)
        new_faults = check(content)
        # A fault that only follows from one inside it, such as a list that became empty, is not reported.
        reported = _around(fault.where for fault in faults)
        faults += [f for f in _at_origin(new_faults, fit) if f.where not in reported and not follows(f)]
        # Dropping a value can cause or remove other faults, so check again.
        if not [path for path in _outermost({fault.dropped for fault in new_faults}) if type_errors.without(fit, path)]:
            return content, _with_positions(source, faults)


def _around(paths: Iterable[Key]) -> set[Key]:
    """Return the paths and all that they are inside of."""
    return {path[:n] for path in paths for n in range(1, len(path) + 1)}


def _at_origin(faults: Iterable[Fault], fit: Any) -> list[Fault]:
    return [msgspec.structs.replace(fault, where=fit.origin(fault.where)) for fault in faults]


def _outermost(paths: Iterable[Key]) -> list[Key]:
    """Return the paths that are not below another, later list positions first, so each stays valid until it is used."""
    paths = {path for path in paths if path}
    outer = [path for path in paths if not any(path[:n] in paths for n in range(1, len(path)))]
    return sorted(outer, key=lambda path: [part if isinstance(part, int) else -1 for part in path], reverse=True)


def _with_positions(source: TomlSource, faults: Iterable[Fault]) -> tuple[Problem, ...]:
    from journal.folder.source_position import places  # noqa: PLC0415 (the syntax tree is for problems only)

    positions = places(source.text)
    problems = set()
    for fault in faults:
        line, column = positions.key(fault.where) if fault.at_key else positions.value(fault.where)
        problems.add(
            Problem(
                path=source.path,
                line=line,
                column=column,
                where=place_text(fault.where),
                expected=fault.expected,
                got=fault.got,
                remedy=fault.remedy,
            )
        )
    shown = sorted(problems)
    if len(shown) > MAX_PROBLEMS:
        number = len(shown)
        shown = shown[:MAX_PROBLEMS]
        expected = L_("at most {count} problems", count=MAX_PROBLEMS)
        shown.append(shown[-1].but(where="", expected=expected, got=number, remedy=L_("mend these first")))
    return tuple(shown)


def typed(values: dict[str, Any], page: type[T]) -> T:
    """Convert plain values to a type. Raises ValueError (or msgspec's) for the first invalid value."""
    return msgspec.convert(values, page, builtin_types=_DATES, dec_hook=_from_text)


def _from_text(type_: type[Any], value: Any) -> Any:
    if type(value) is not str:
        raise ValueError("not a text")
    return _span(value) if type_ is Span else _clock(value)


# A journal has a few hundred different times and spans, each thousands of times.
_span = lru_cache(maxsize=4096)(Span.parse)
_clock = lru_cache(maxsize=1441)(Clock.parse)
