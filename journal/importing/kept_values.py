"""Sentences on values that a page keeps although the file has others. Names of keys are as on the page."""

from __future__ import annotations

from typing import Any

from journal.folder.faults import value_text
from journal.language.catalogue import N_, _

_ENTRIES = {
    "tasks": N_("task {title}"),
    "appointments": N_("appointment {title}"),
    "reflection": N_("answer to {title}"),
}


def stays(name: str, value: Any, other: Any) -> str:
    """A value of a page that the file has otherwise.

    >>> stays("mood", 4, 3)
    'mood stays 4, the file has 3'
    """
    return _("{name} stays {value}, the file has {other}", name=name, value=value_text(value), other=value_text(other))


def value_stays(key: str, title: str, name: str, value: Any, other: Any) -> str:
    """A value of an entry in the list `key` that the file has otherwise, None if the entry lacks it.

    >>> value_stays("tasks", "Glue", "took", None, 30)
    'task "Glue": took stays unsaid, the file has 30'
    """
    what = _(_ENTRIES[key], title=value_text(title))
    if value is None:
        return _("{what}: {key} stays unsaid, the file has {other}", what=what, key=name, other=value_text(other))
    return f"{what}: {stays(name, value, other)}"


def is_gone(key: str, identity: str) -> str:
    """An entry that the page does not have any more.

    >>> is_gone("tasks", "t7k2")
    'task "t7k2" is not on the page any more'
    """
    quoted = _('"{text}"', text=identity)
    return _("{what} is not on the page any more", what=_(_ENTRIES[key], title=quoted))


def has_another_form(name: str, *, key: str = "") -> str:
    """A value that the page has in a form that no import adds to. `key` is the part of it that has.

    >>> has_another_form("weather.high", key="weather")
    'weather.high stays as it is, for the page has weather in another form'
    """
    if key:
        return _("{name} stays as it is, for the page has {key} in another form", name=name, key=key)
    return _("{name} stays as it is, for the page has it in another form", name=name)


def have_another_form(name: str) -> str:
    """A list of entries that the page has in a form that no import adds to.

    >>> have_another_form("tasks")
    'tasks stay as they are, for the page has them in another form'
    """
    return _("{name} stay as they are, for the page has them in another form", name=name)
