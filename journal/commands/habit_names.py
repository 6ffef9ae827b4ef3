"""Habits on a command line, by key or by their name in journal.toml."""

from __future__ import annotations

from collections.abc import Iterator

from journal.commands.usage_errors import did_you_mean, nearest, suggestion
from journal.errors import UsageError
from journal.language.catalogue import _
from journal.settings import Settings
from journal.wording import numbers


def key_and_value(text: str, settings: Settings) -> tuple[str, str | None]:
    """Return a habit's key and the text after "=", None without one, from e.g. "read=24" or "Walk by the river=no".

    Names match whole and in any case. A name may contain "=", so the longest known name wins. Raises UsageError for an
    unknown name, with the closest match, and for a name that two habits have.

    >>> import datetime as dt
    >>> from journal.settings import Habit
    >>> walk = Habit(key="walk", name="Walk by the river", start=dt.date(2025, 3, 1), every="FREQ=DAILY")
    >>> settings = Settings(title="Small", places=(), habits=(walk,))
    >>> key_and_value("walk", settings), key_and_value("walk by the river=no", settings)
    (('walk', None), ('walk', 'no'))
    """
    for name, value in readings(text):
        if name in settings.habit_keys:
            return name, value
        named = dict.fromkeys(h.key for h in settings.habits if h.name.casefold() == name.casefold())
        if len(named) > 1:
            text = _('more than one habit is called "{name}"; write the key: {keys}')
            raise UsageError(text.format(name=name, keys=numbers.listed(named, "or")))
        if named:
            return next(iter(named)), value
    raise UsageError(_no_such(text.partition("=")[0], settings))


def readings(text: str) -> Iterator[tuple[str, str | None]]:
    """Yield the text as a name alone, then split at each "=", the longest name first."""
    yield text, None
    parts = text.split("=")
    for place in range(len(parts) - 1, 0, -1):
        yield "=".join(parts[:place]).strip(), "=".join(parts[place:]).strip()


def _no_such(name: str, settings: Settings) -> str:
    keys = settings.habit_keys
    if not keys:
        return _('there is no habit "{name}"; add it to journal.toml as one of the [[habits]]', name=name)
    close = nearest(name, keys)
    if not close:
        names = list(dict.fromkeys(habit.name for habit in settings.habits))
        begun = [other for other in names if name and other.casefold().startswith(name.casefold())]
        close = begun[0] if len(begun) == 1 else nearest(name, names)
    remedy = did_you_mean(close) if close else suggestion(name, keys)
    return _('there is no habit "{name}"; {remedy}', name=name, remedy=remedy)
