"""Texts in the spoken language. The English text stands in the code, and is looked up in a catalogue of gettext.

    _("Nothing is due.")
    _("{done} of {counted}", done="19", counted="31")
    _n("{count} day", "{count} days", 3)
    _p("of a task", "open")                          # a context, where one English word is two in another language

A text is a whole sentence, or a whole label, never a piece that a language may need elsewhere or in another case.
`python -m tests.catalogues` collects the texts and compiles the catalogues (`catalogues/*.po`).
"""

from __future__ import annotations

import gettext
from functools import cache
from pathlib import Path

from journal.language import digits
from journal.language.languages import LANGUAGES, Language
from journal.language.spoken import spoken

CATALOGUES = Path(__file__).parent / "catalogues"

_ACCENTED = str.maketrans(
    "abcdefghijklmnopqrstuvwxyzACDEGHIKLNORSTUWYZ", "àƀçðéƒĝĥîĵķļɱñöþɋŕšţûṽŵẋýžÀÇÐÉĜĤÎĶĻÑÖŔŠŢÛŴÝŽ"
)


def _(text: str, /, **values: object) -> str:
    """A text in the spoken language, with values for its fields.

    >>> _("{done} of {counted}", done=19, counted=31)
    '19 of 31'
    """
    return _filled(texts(spoken()).gettext(text), values)


def _n(one: str, many: str, count: float, /, **values: object) -> str:
    """A text that depends on a count, which the field `count` has unless it is among the values.

    >>> _n("{count} day", "{count} days", 1), _n("{count} day", "{count} days", 1.5)
    ('1 day', '1.5 days')
    """
    return _filled(texts(spoken()).ngettext(one, many, _whole(count)), {"count": digits.number(count), **values})


def _p(context: str, text: str, /, **values: object) -> str:
    """A text in a context, which tells apart equal English texts of different meaning."""
    return _filled(texts(spoken()).pgettext(context, text), values)


def _np(context: str, one: str, many: str, count: float, /, **values: object) -> str:
    """A text in a context that depends on a count."""
    chosen = texts(spoken()).npgettext(context, one, many, _whole(count))
    return _filled(chosen, {"count": digits.number(count), **values})


def N_(text: str) -> str:
    """The text itself, marked for the catalogues. Where it is shown, `_` looks it up."""
    return text


@cache
def texts(language: Language) -> gettext.NullTranslations:
    """The texts of a language. Those of English are the texts in the code."""
    if language.accents:
        return _Accents()
    if language.code not in LANGUAGES or not (path := CATALOGUES / f"{language.code}.mo").is_file():
        return gettext.NullTranslations()
    with path.open("rb") as file:
        return gettext.GNUTranslations(file)


def _whole(count: float) -> int:
    """The count that chooses a plural. A fraction has that of many, in English and German alike."""
    return int(count) if count == int(count) else 2


def _filled(text: str, values: dict[str, object]) -> str:
    return text.format_map(values) if values else text


class _Accents(gettext.NullTranslations):
    """A language for tests: each text with accents and two fifths longer, so that a test sees a word that is not from
    the catalogue, and a place that is too narrow. Fields stay as they are."""

    def gettext(self, message: str) -> str:
        return accented(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return accented(msgid1 if n == 1 else msgid2)

    def pgettext(self, context: str, message: str) -> str:
        return accented(message)

    def npgettext(self, context: str, msgid1: str, msgid2: str, n: int) -> str:
        return accented(msgid1 if n == 1 else msgid2)


def accented(text: str) -> str:
    """A text with accents, and with two fifths more letters.

    >>> accented("{count} days in a row")
    '{count} ðàýš îñ à ŕöŵ ~~~~'
    """
    parts = text.split("{")
    shown = parts[0].translate(_ACCENTED)
    for part in parts[1:]:
        field, brace, rest = part.partition("}")
        shown += "{" + field + brace + rest.translate(_ACCENTED)
    letters = sum(character.isalpha() for part in parts for character in part.rpartition("}")[2])
    return shown + (" " + "~" * (letters * 2 // 5) if letters > 3 else "")
