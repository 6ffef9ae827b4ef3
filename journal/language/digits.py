"""Numbers in the digits of the spoken language: the decimal sign, and a sign between thousands."""

from __future__ import annotations

import math

from journal.language.spoken import spoken


def number(value: float, digits: int = 1) -> str:
    """A number without trailing zeros, rounded half up.

    >>> number(4.0), number(3.4142), number(1234), number(2.25), number(0.125, 2)
    ('4', '3.4', '1,234', '2.3', '0.13')
    """
    text = f"{half_up(value, digits):,.{digits}f}"
    return signed(text.rstrip("0").rstrip(".") if "." in text else text)


def mean(value: float) -> str:
    """A mean, always with one decimal, so that it is not mistaken for a recorded value; rounded half up.

    >>> mean(3.0), mean(3.45), mean(-0.04)
    ('3.0', '3.5', '0.0')
    """
    return signed(f"{half_up(value, 1):.1f}")


def signed(text: str) -> str:
    """A number as Python writes it ("1,234.5"), with the signs of the spoken language.

    >>> from journal.language.languages import GERMAN
    >>> from journal.language.spoken import speaking
    >>> with speaking(GERMAN):
    ...     signed("1,234.5")
    '1.234,5'
    """
    language = spoken()
    if language.decimal == ".":
        return text
    return text.translate({ord(","): language.group, ord("."): language.decimal})


def half_up(value: float, digits: int = 0) -> float:
    """A number rounded to decimals, with halves away from zero, as people round. Never -0.

    In binary 0.145 is slightly less than written and would become 0.14. Rounding to nine more decimals first removes
    that error; it is exact for quotients of whole numbers below 10**9.

    >>> half_up(2.5), half_up(-2.5), half_up(0.145, 2), half_up(-0.04, 1)
    (3.0, -3.0, 0.15, 0.0)
    """
    scale: float = 10.0**digits
    return math.copysign(math.floor(round(abs(value) * scale, 9) + 0.5) / scale, value) or 0.0
