"""The rows of a month that is filled in: mood, habits and challenges, by name on the form and path in a page.

A habit's row is named by the habit's key. The others have a slash, which no key has: "day/mood", "challenges/letters".
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

from journal.entry import Entry
from journal.evening.form_schema import HabitOffer
from journal.language.catalogue import _
from journal.saving.form_values import FormValues
from journal.settings import Settings
from journal.wording import numbers

MOOD = "day/mood"


def path(name: str) -> tuple[str, ...]:
    """Return the path of a row's value in the page of a day.

    >>> path("walk"), path("day/mood"), path("challenges/letters")
    (('habits', 'walk'), ('mood',), ('challenges', 'letters'))
    """
    table, slash, key = name.partition("/")
    return ("habits", name) if not slash else (key,) if table == "day" else (table, key)


def name(path: Iterable[str | int]) -> str:
    """Return the row of a path in a page, the inverse of `path`.

    >>> name(["habits", "walk"]), name(["mood"]), name(["challenges", "letters"])
    ('walk', 'day/mood', 'challenges/letters')
    """
    parts = [str(part) for part in path]
    return f"day/{parts[0]}" if len(parts) == 1 else parts[-1] if parts[0] == "habits" else "/".join(parts[:2])


def value(entry: Entry, name: str) -> Any:
    """Return the value of a row on a day's page, None if there is none."""
    table, *keys = path(name)
    found = getattr(entry, table)
    return found if not keys else (found or {}).get(keys[0])


def mood(settings: Settings) -> HabitOffer:
    """Return the row of the mood."""
    low, high = numbers.number(settings.mood.low, 2), numbers.number(settings.mood.high, 2)
    return _row(MOOD, _("Mood"), "scale", _("{low} to {high}", low=low, high=high))


def challenges(settings: Settings, days: Iterable[dt.date]) -> dict[str, tuple[HabitOffer, dict[str, bool | None]]]:
    """Return the rows of the challenges of some days by name, each with its days, None outside of its span."""
    dates = list(days)
    return {
        f"challenges/{c.key}": (
            _row(f"challenges/{c.key}", _("Challenge: {name}", name=c.name), "tick"),
            {day.isoformat(): True if c.start <= day <= c.until else None for day in dates},
        )
        for c in settings.challenges
        if any(c.start <= day <= c.until for day in dates)
    }


def _row(key: str, title: str, kind: Any, unit: str = "") -> HabitOffer:
    return HabitOffer(
        key=key, name=title, kind=kind, target=None, unit=unit, aim="at least", mark=None, due=True, said={}
    )


def entered(raw: object, fields: FormValues) -> dict[str, dict[str, Any]]:
    """Return the entered values by row and day. Those of a wrong type are reported."""
    rows: dict[str, dict[str, Any]] = {}
    for row, days in raw.items() if isinstance(raw, Mapping) else ():
        table, field = path(str(row))[0], f"marks.{row}"
        if table == "habits":
            rows[str(row)] = dict(fields.marks(days, field))
        elif table == "challenges":
            rows[str(row)] = dict(fields.ticks(days, field))
        elif row == MOOD and isinstance(days, Mapping):
            rows[str(row)] = {str(day): fields.number(days, day, field) for day in days}
        else:
            fields.report(field, _('The grid has no row "{row}"; open the month anew.', row=row))
    return rows
