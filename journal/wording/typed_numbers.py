"""Numbers that a person typed: with a decimal point or a decimal comma, in every language."""

from __future__ import annotations

import re

from journal.language.catalogue import _
from journal.language.spoken import spoken


def read(text: str) -> float:
    """The number that a text is.

    What could be thousands is refused: "1,234" in English, "1.234" in German. "0,125" and "12,5" are clear.

    >>> read("7,5"), read(" 7.5 "), read("0,125")
    (7.5, 7.5, 0.125)
    >>> read("1,234")
    Traceback (most recent call last):
    ValueError: 1,234 may be 1234 or 1.234; write one of them

    Raises ValueError for any other text.
    """
    plain = text.strip()
    if is_ambiguous(plain):
        raise ValueError(doubt(plain))
    return float(plain.replace(",", ".", 1) if "." not in plain else plain)


def doubt(text: str) -> str:
    """What is asked of a number that could be meant as thousands, in a sentence without its full stop.

    >>> doubt("1,234")
    '1,234 may be 1234 or 1.234; write one of them'
    """
    plain = text.strip()
    whole, fraction = re.sub("[.,]", "", plain), re.sub("[.,]", spoken().decimal, plain)
    return _("{typed} may be {whole} or {fraction}; write one of them", typed=plain, whole=whole, fraction=fraction)


def is_ambiguous(text: str) -> bool:
    """Whether a number could be meant as thousands in the spoken language.

    >>> is_ambiguous("1,234"), is_ambiguous("1.234"), is_ambiguous("12,5")
    (True, False, False)
    """
    return re.fullmatch(rf"[-+]?[1-9]\d{{0,2}}{re.escape(spoken().group)}\d{{3}}", text.strip()) is not None
