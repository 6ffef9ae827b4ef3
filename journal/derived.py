"""A property that is computed once, on first access, and shared by all objects that stand for the same data."""

from __future__ import annotations

from functools import cached_property
from typing import Any, Self, TypeVar, overload

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
