"""The languages of a journal, with what CLDR says of their dates and numbers.

The facts are copied from CLDR, the Unicode Common Locale Data Repository, so that no library of all languages has to be
installed or read to write a date. `tests/language/test_languages.py` compares them with CLDR. The texts are in
`catalogues/`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple


class Language(NamedTuple):
    """A language: its BCP 47 code, its own name, and how it writes numbers and dates.

    `day` and its kin are patterns with the fields `weekday`, `day`, `month` and `year`; `day_number` is the number of a
    day as part of a date, `ordinal` a number of an order, or empty where a rule is needed (`numbers.ordinal`). `months`
    begin with January, `weekdays` with Monday. `short_weekday` is the most letters of a weekday in a narrow place.
    `nouns_capital` says that a noun keeps its capital letter inside of a sentence.
    `accents` turns on the accents of the tests' own language (`catalogue`).
    """

    code: str
    name: str
    decimal: str
    group: str
    day: str
    day_year: str
    date: str
    date_year: str
    weekday_day: str
    month_year: str
    day_number: str
    ordinal: str
    months: tuple[str, ...]
    weekdays: tuple[str, ...]
    short_weekday: int
    quotes: tuple[str, str]
    nouns_capital: bool
    accents: bool = False


ENGLISH = Language(
    code="en",
    name="English",
    decimal=".",
    group=",",
    day="{weekday} {day} {month}",
    day_year="{weekday} {day} {month} {year}",  # CLDR has a comma after the weekday; a choice, see DECISIONS.md
    date="{day} {month}",
    date_year="{day} {month} {year}",
    weekday_day="{weekday} {day}",
    month_year="{month} {year}",
    day_number="{day}",
    ordinal="",
    months=(
        "January", "February", "March", "April", "May", "June",
        "July", "August", "September", "October", "November", "December",
    ),
    weekdays=("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"),
    short_weekday=3,
    quotes=("“", "”"),
    nouns_capital=False,
)  # fmt: skip
"""British English, CLDR's en-GB."""

GERMAN = Language(
    code="de",
    name="Deutsch",
    decimal=",",
    group=".",
    day="{weekday}, {day}. {month}",
    day_year="{weekday}, {day}. {month} {year}",
    date="{day}. {month}",
    date_year="{day}. {month} {year}",
    weekday_day="{weekday}, {day}.",
    month_year="{month} {year}",
    day_number="{day}.",
    ordinal="{number}.",
    months=(
        "Januar", "Februar", "März", "April", "Mai", "Juni",
        "Juli", "August", "September", "Oktober", "November", "Dezember",
    ),
    weekdays=("Montag", "Dienstag", "Mittwoch", "Donnerstag", "Freitag", "Samstag", "Sonntag"),
    short_weekday=2,
    quotes=("„", "“"),
    nouns_capital=True,
)  # fmt: skip

LANGUAGES: Mapping[str, Language] = {language.code: language for language in (ENGLISH, GERMAN)}
"""The languages by code."""


def of_locale(name: str) -> Language:
    """The language of a locale of the system, as in `LANG`. English for one that is not there.

    >>> of_locale("de_AT.UTF-8").name, of_locale("C.UTF-8").name, of_locale("").name
    ('Deutsch', 'English', 'English')
    """
    code = name.partition(".")[0].partition("@")[0].replace("-", "_").partition("_")[0].lower()
    return LANGUAGES.get(code, ENGLISH)
