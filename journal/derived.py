"""What is computed once, when it is first asked for: a property that objects of the same data share, and a value."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import Any, Generic, Self, TypeVar, overload

Value = TypeVar("Value")

_SOURCE = "derived_from"


class derived(cached_property[Value]):
    """A `functools.cached_property` whose value is computed and kept by the object that `share` names.

    >>> class Page:
    ...     @derived
    ...     def words(self):
    ...         print("counted")
    ...         return 3
    >>> first, second = Page(), Page()
    >>> _ = share(second, first)
    >>> second.words, first.words
    counted
    (3, 3)
    """

    @overload
    def __get__(self, instance: None, owner: type[Any] | None = None) -> Self: ...
    @overload
    def __get__(self, instance: object, owner: type[Any] | None = None) -> Value: ...
    def __get__(self, instance: object | None, owner: type[Any] | None = None) -> Self | Value:
        if instance is None:
            return self
        value: Value = super().__get__(vars(instance).get(_SOURCE, instance), owner)
        return value


def share(instance: Value, source: object) -> Value:
    """Return an object, which from now on takes all its derived values from another of the same data."""
    vars(instance)[_SOURCE] = vars(source).get(_SOURCE, source)
    return instance


class Late(Generic[Value]):
    """A value that is made when it is first asked for, and then kept. What it is made from is kept only until then.

    >>> words = Late(lambda: print("counted") or 3)
    >>> words(), words()
    counted
    (3, 3)
    """

    def __init__(self, make: Callable[[], Value]) -> None:
        self._make: Callable[[], Value] | None = make

    def __call__(self) -> Value:
        make = self._make
        if make is not None:  # two threads that ask at once may both make it
            self._value = make()
            self._make = None
        return self._value
