"""What a caller may pass to the public functions: days and periods also as text, and only options that exist.

    @checked
    def streaks(occasions: pl.DataFrame, *, today: dt.date, blank: Blank = "breaks") -> pl.DataFrame: ...

    streaks(occasions, today="2025-12-31")                     the day
    streaks(occasions, today=20251231)                         TypeError: what to write
    streaks(occasions, today="2025-12-31", blank="sometimes")  UsageError: the words there are

The functions that have it are those of the manual's page on Python (`tests/api_page.py`).
"""

from __future__ import annotations

import datetime as dt
import difflib
import functools
import inspect
import types
from collections.abc import Callable
from typing import Any, Literal, ParamSpec, TypeVar, get_args, get_origin

from journal import periods
from journal.errors import UsageError
from journal.periods import Period
from journal.settings import DEFAULT_WEEK_START, Weekday

P = ParamSpec("P")
R = TypeVar("R")

MARKED = "__takes_text__"
"""The attribute of a function that has `checked`."""


def day(name: str, value: object) -> dt.date:
    """Return an argument that means a day, given as a date or as its ISO 8601 text.

    >>> day("today", "2025-03-14")
    datetime.date(2025, 3, 14)
    >>> day("today", 20250314)
    Traceback (most recent call last):
    TypeError: today must be a day, got the number 20250314; write e.g. "2025-03-14" or datetime.date(2025, 3, 14)

    Raises UsageError, a ValueError, for a text that is no day, and TypeError for anything else, a moment too.
    """
    if isinstance(value, str):
        return _named(name, value, "day").inside
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return value
    remedy = f"write {name}.date()" if isinstance(value, dt.datetime) else 'write e.g. "2025-03-14"'
    remedy += "" if isinstance(value, dt.datetime) else " or datetime.date(2025, 3, 14)"
    raise TypeError(f"{name} must be a day, got {_words(value)}; {remedy}")


def period(name: str, value: object, *, week_starts: Weekday | None) -> Period:
    """Return an argument that means a period, given as one or as its ISO 8601 name.

    Weeks begin on `week_starts`. With None no week is taken by its name, since its days depend on the journal.

    >>> period("month", "2025-03", week_starts=None).days
    31

    Raises UsageError, a ValueError, for a text that names none, and TypeError for anything else.
    """
    if isinstance(value, str):
        named = _named(name, value, None)
        if week_starts is None and named.kind == "week":
            raise UsageError(
                f'{name}: the days of a week depend on the journal; write its own, journal.period("{value}")'
            )
        return named.period(week_starts=week_starts or DEFAULT_WEEK_START)
    if isinstance(value, Period):
        return value
    raise TypeError(f'{name} must be a period, got {_words(value)}; write e.g. "2025-03", "2025-W11" or "2025"')


def _named(name: str, text: str, kind: Literal["day"] | None) -> periods.PeriodName:
    try:
        return periods.parse_name(text, kind)
    except UsageError as error:
        raise UsageError(f"{name}: {error}") from None


def checked(function: Callable[P, R]) -> Callable[P, R]:
    """Return a function that converts and checks its arguments by their types, before it runs.

    A `date` may be its text, a `Period` its name (no week), a pair of dates two texts or a name. A
    `Literal` must be one of its values, a frame a polars frame. All else passes as it is.
    """
    signature = inspect.signature(function)
    converters: dict[str, Callable[[str, Any], Any]] = {}

    def converted(given: tuple[Any, ...], named: dict[str, Any]) -> inspect.BoundArguments:
        if not converters:
            converters.update(_converters(function, signature))
        bound = signature.bind(*given, **named)
        for name, value in bound.arguments.items():
            bound.arguments[name] = converters[name](name, value)
        return bound

    def call(*given: Any, **named: Any) -> Any:
        bound = converted(given, named)
        return function(*bound.args, **bound.kwargs)

    # doctest looks at functions only whose globals are those of their module.
    own = types.FunctionType(call.__code__, function.__globals__, function.__name__, None, call.__closure__)
    functools.update_wrapper(own, function)
    setattr(own, MARKED, True)
    return own


def _converters(function: Callable[..., Any], signature: inspect.Signature) -> dict[str, Callable[[str, Any], Any]]:
    import polars as pl  # noqa: PLC0415 (the stages before the tables do without)

    known = {**function.__globals__, "Period": Period, "dt": dt, "pl": pl}
    return {name: _converter(parameter, known, pl) for name, parameter in signature.parameters.items()}


def _converter(parameter: inspect.Parameter, known: dict[str, Any], polars: Any) -> Callable[[str, Any], Any]:
    try:
        hint = eval(parameter.annotation, known)  # the annotation of our own function, a text by its future import
    except NameError:  # a type that is imported for type checkers only
        return _as_it_is
    parts = get_args(hint) if isinstance(hint, types.UnionType) else (hint,)
    converters: dict[Any, Callable[[str, Any], Any]] = {
        dt.date: day,
        Period: _whole,
        polars.DataFrame: _frame,
        tuple[dt.date, dt.date]: _span,
    }
    for part in parts:
        found = _word(get_args(part)) if get_origin(part) is Literal else converters.get(part)
        if found is not None:
            return functools.partial(_unless_none, found) if type(None) in parts else found
    return _as_it_is


def _whole(name: str, value: Any) -> Period:
    return period(name, value, week_starts=None)


def _as_it_is(_name: str, value: Any) -> Any:
    return value


def _unless_none(convert: Callable[[str, Any], Any], name: str, value: Any) -> Any:
    return None if value is None else convert(name, value)


def _span(name: str, value: Any) -> tuple[dt.date, dt.date]:
    if isinstance(value, str | Period):
        whole = _whole(name, value)
        return whole.first, whole.last
    if not isinstance(value, tuple | list) or len(value) != 2:
        raise TypeError(
            f"{name} must be a first and a last day, got {_words(value)}; "
            'write e.g. ("2025-03-01", "2025-03-31") or "2025-03"'
        )
    return day(name, value[0]), day(name, value[1])


def _frame(name: str, value: Any) -> Any:
    import polars as pl  # noqa: PLC0415 (see above)

    if isinstance(value, pl.DataFrame):
        return value
    remedy = f"write {name}.collect()" if isinstance(value, pl.LazyFrame) else "write one of the journal's tables"
    raise TypeError(f"{name} must be a polars DataFrame, got {_words(value)}; {remedy}")


def _word(words: tuple[Any, ...]) -> Callable[[str, Any], Any]:
    def checked_word(name: str, value: Any) -> Any:
        if value in words and type(value) in {type(word) for word in words}:
            return value
        *most, last = (f'"{word}"' if isinstance(word, str) else str(word) for word in words)
        listed = f"{', '.join(most)} or {last}" if most else last
        near = difflib.get_close_matches(str(value), [word for word in words if isinstance(word, str)], n=1)
        remedy = f'did you mean "{near[0]}"?' if near else f"write {listed}"
        raise UsageError(f"{name}: there is no {_words(value)}; {remedy}")

    return checked_word


def _words(value: object) -> str:
    """Say what was given, in a few words."""
    if isinstance(value, str):
        return f'"{value[:40]}"'
    if isinstance(value, dt.datetime):
        return "a moment"
    if isinstance(value, dt.date):
        return f"the date {value}"
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"the number {value}"
    return "None" if value is None else f"{type(value).__name__}"
