"""The languages of the browser's modules: the text of `browser/language.js` with the catalogues."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from journal.language.catalogue import CATALOGUES
from journal.language.languages import ENGLISH, Language

MODULE = "language.js"


def module(languages: Iterable[Language], first: str = ENGLISH.code) -> str:
    """The module with some languages. `first` is what a page speaks that is not told.

    >>> from journal.language.languages import LANGUAGES
    >>> '"decimal": ","' in module([LANGUAGES["de"]])
    True
    """
    by_code = {language.code: facts(language) for language in languages}
    text = json.dumps(by_code, ensure_ascii=False).replace("<", "\\u003c")
    return f"export const languages = {text};\nexport const first = {json.dumps(first)};\n"


def facts(language: Language) -> dict[str, Any]:
    """What the browser knows of a language, with its texts."""
    path = CATALOGUES / f"{language.code}.json"
    return {
        "code": language.code,
        "decimal": language.decimal,
        "group": language.group,
        "dayNumber": language.day_number,
        "date": language.date,
        "monthYear": language.month_year,
        "shortWeekday": language.short_weekday,
        "nounsCapital": language.nouns_capital,
        "months": language.months,
        "weekdays": language.weekdays,
        "texts": json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {},
    }
