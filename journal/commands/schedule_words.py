"""Everyday words for when a habit is due, in the languages of a journal, as the English ones that the parser knows.

    english("alle zwei wochen am freitag")      'every 2 weeks on friday' while German is spoken

English words are understood in every language, since they are in the manual and in `duskbook start` of before.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from journal.language.languages import ENGLISH, GERMAN
from journal.language.spoken import spoken

_ENGLISH_DAYS = [day.lower() for day in ENGLISH.weekdays]
_DAYS = dict(zip((day.lower() for day in GERMAN.weekdays), _ENGLISH_DAYS, strict=True)) | {
    "sonnabend": _ENGLISH_DAYS[5]
}
_ORDERS = {"erste": "first", "zweite": "second", "dritte": "third", "vierte": "fourth", "fünfte": "fifth",
           "letzte": "last"}  # fmt: skip
_NUMBERS = ("ein", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht", "neun", "zehn", "elf", "zwölf")

_GERMAN = {
    **_DAYS,
    **{f"{day}s": english for day, english in _DAYS.items()},
    "mo": "mo", "di": "tu", "mi": "we", "do": "th", "fr": "fr", "sa": "sa", "so": "su",
    **{f"{order}{ending}": english for order, english in _ORDERS.items() for ending in ("", "n", "r", "s", "m")},
    **{number: str(value) for value, number in enumerate(_NUMBERS, start=1) if value > 1},
    **{f"{number}mal": f"{value} times" for value, number in enumerate(_NUMBERS, start=1)},
    "jeden": "every", "jede": "every", "jedes": "every", "jeder": "every", "jedem": "every", "alle": "every",
    "täglich": "daily", "wöchentlich": "weekly", "monatlich": "monthly", "jährlich": "yearly",
    "tag": "day", "tage": "days", "tagen": "days", "woche": "week", "wochen": "weeks", "monat": "month",
    "monats": "month", "monate": "months", "jahr": "year", "mal": "times", "pro": "per", "je": "per",
    "im": "in a", "des": "of the", "der": "the", "am": "on", "an": "on", "und": "and", "bis": "to",
    "wochentags": "weekdays", "wochentag": "weekday", "wochenende": "weekends", "wochenenden": "weekends",
}  # fmt: skip
"""The words of German, in small letters."""


class _Everyday(NamedTuple):
    """The words of a language, phrases that are looked at before its words, and what begins an amount."""

    words: Mapping[str, str]
    phrases: Mapping[str, str]
    aims: Mapping[str, str]


_LANGUAGES = {
    "de": _Everyday(
        _GERMAN,
        {
            r"\bin der woche\b": "in a week",
            r"\bdie woche\b": "a week",
            r"\bunter der woche\b": "weekdays",
            r"\ban jedem\b": "every",
            r"\bund am\b": "and",
            r"\b(\d+)-?mal\b": r"\1 times",
            r"\b(\d+)\.(?=\s|,|$)": r"\1th",
        },
        {"mindestens": "at least", "höchstens": "at most"},
    )
}
_NONE = _Everyday({}, {}, {})


def english(text: str) -> str:
    """Return a text in small letters with the everyday words of the spoken language in English.

    >>> from journal.language.languages import GERMAN
    >>> from journal.language.spoken import speaking
    >>> with speaking(GERMAN):
    ...     english("am 1. und am letzten tag des monats"), english("dreimal die woche"), english("every day")
    ('on 1th and last day of the month', '3 times a week', 'every day')
    """
    everyday = _LANGUAGES.get(spoken().code, _NONE)
    for phrase, meaning in everyday.phrases.items():
        text = re.sub(phrase, meaning, text)
    return re.sub(r"[^\W\d_]+", lambda found: everyday.words.get(found[0], found[0]), text)


def known() -> tuple[str, ...]:
    """Return the everyday words of the spoken language, without those of English."""
    return tuple(_LANGUAGES.get(spoken().code, _NONE).words)


def aim(text: str) -> str:
    """Return an amount with its "at least" or "at most" in English: "höchstens 2 Tassen"."""
    first, space, rest = text.partition(" ")
    meaning = _LANGUAGES.get(spoken().code, _NONE).aims.get(first.lower())
    return f"{meaning}{space}{rest}" if meaning else text
