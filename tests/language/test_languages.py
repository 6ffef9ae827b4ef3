"""The facts on languages against CLDR, as Babel has it."""

from __future__ import annotations

import re
import typing
from decimal import Decimal

import pytest
from babel import Locale
from babel.numbers import format_decimal

from journal.language.languages import ENGLISH, LANGUAGES, Language
from journal.settings import LanguageCode

CLDR_NAMES = {"en": "en_GB"}
FIELDS = {"EEEE": "{weekday}", "MMMM": "{month}", "d": "{day}", "y": "{year}"}


def locale(language: Language) -> Locale:
    return Locale.parse(CLDR_NAMES.get(language.code, language.code))


def our_pattern(cldr: str) -> str:
    """A pattern of CLDR with our fields."""
    return re.sub("EEEE|MMMM|d|y", lambda match: FIELDS[match[0]], cldr)


def test_the_settings_offer_each_language() -> None:
    assert set(typing.get_args(LanguageCode)) == set(LANGUAGES)


@pytest.mark.parametrize("language", LANGUAGES.values(), ids=lambda language: language.code)
def test_names_and_signs_are_those_of_cldr(language: Language) -> None:
    cldr = locale(language)
    assert [cldr.months["format"]["wide"][number] for number in range(1, 13)] == list(language.months)
    assert [cldr.days["format"]["wide"][place] for place in range(7)] == list(language.weekdays)
    assert format_decimal(Decimal("1234.5"), locale=cldr) == f"1{language.group}234{language.decimal}5"
    assert (cldr.get_display_name(cldr) or "").partition(" ")[0] == language.name
    opening, closing = language.quotes
    # Babel has no quotation marks; these are CLDR 48's, copied.
    assert {"en": "“”", "de": "„“"}[language.code] == opening + closing


@pytest.mark.parametrize("language", LANGUAGES.values(), ids=lambda language: language.code)
def test_patterns_are_those_of_cldr(language: Language) -> None:
    cldr = locale(language)
    skeletons = cldr.datetime_skeletons
    full = our_pattern(cldr.date_formats["full"].pattern)
    # CLDR's British English has a comma after the weekday since 2022, where a year follows; DECISIONS.md says why not.
    assert (full.replace(",", "") if language is ENGLISH else full) == language.day_year
    assert language.day == language.day_year.removesuffix(" {year}")
    assert our_pattern(cldr.date_formats["long"].pattern) == language.date_year
    assert our_pattern(skeletons["MMMMd"].pattern) == language.date
    assert our_pattern(skeletons["yMMMM"].pattern) == language.month_year
    assert our_pattern(skeletons["Ed"].pattern.replace("E", "EEEE")) == language.weekday_day
    assert our_pattern(skeletons["d"].pattern) in (language.day_number, "{day}")
