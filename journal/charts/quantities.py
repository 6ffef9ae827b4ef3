"""The names of rated quantities in the texts of charts: mood and energy translated, any other as given."""

from __future__ import annotations

import datetime as dt

from journal.language.catalogue import N_, _
from journal.settings import Scale
from journal.wording import dates, entries

_WORDS = {"mood": (N_("mood"), N_("Mood")), "energy": (N_("energy"), N_("Energy"))}
"""Inside of a sentence, and at its beginning. A text has one field for both: in German they have the same gender."""


def word(quantity: str) -> str:
    """The name inside of a sentence.

    >>> word("mood"), word("Clear head")
    ('mood', 'Clear head')
    """
    return _(_WORDS[quantity][0]) if quantity in _WORDS else quantity


def heading(quantity: str) -> str:
    """The name at the beginning of a sentence.

    >>> heading("mood"), heading("clear head")
    ('Mood', 'Clear head')
    """
    return _(_WORDS[quantity][1]) if quantity in _WORDS else quantity.capitalize()


def rated_on(day: dt.date, quantity: str, value: float, scale: Scale) -> str:
    """The value of a day, for the hover text of its mark.

    >>> rated_on(dt.date(2025, 3, 13), "mood", 4, Scale(words=("heavy", "low", "even", "good", "bright")))
    '13 March: mood 4 good'
    """
    return _(
        "{date}: {quantity} {value}",
        date=dates.day(day, weekday=False),
        quantity=word(quantity),
        value=entries.rated(value, scale),
    )


def not_rated_on(day: dt.date, quantity: str) -> str:
    """A day without a value, for the hover text of its mark.

    >>> not_rated_on(dt.date(2025, 3, 13), "energy")
    '13 March: no energy noted'
    """
    return _("{date}: no {quantity} noted", date=dates.day(day, weekday=False), quantity=word(quantity))
