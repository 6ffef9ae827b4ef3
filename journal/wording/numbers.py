"""Numbers, counts, shares and lists as text."""

from __future__ import annotations

import math
from collections.abc import Iterable

_SIGN = "\N{NO-BREAK SPACE}%"

NINETY_FIVE = f"95{_SIGN}"
"""The confidence level of every interval."""


def number(value: float, digits: int = 1) -> str:
    """A number without trailing zeros, rounded half up.

    >>> number(4.0), number(3.4142), number(1234), number(2.25), number(0.125, 2)
    ('4', '3.4', '1,234', '2.3', '0.13')
    """
    text = f"{half_up(value, digits):,.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def mean(value: float) -> str:
    """A mean, always with one decimal, so that it is not mistaken for a recorded value; rounded half up.

    >>> mean(3.0), mean(3.45), mean(-0.04)
    ('3.0', '3.5', '0.0')
    """
    return f"{half_up(value, 1):.1f}"


def half_up(value: float, digits: int = 0) -> float:
    """A number rounded to decimals, with halves away from zero, as people round. Never -0.

    In binary 0.145 is slightly less than written and would become 0.14. Rounding to nine more decimals first removes
    that error; it is exact for quotients of whole numbers below 10**9.

    >>> half_up(2.5), half_up(-2.5), half_up(0.145, 2), half_up(-0.04, 1)
    (3.0, -3.0, 0.15, 0.0)
    """
    scale: float = 10.0**digits
    return math.copysign(math.floor(round(abs(value) * scale, 9) + 0.5) / scale, value) or 0.0


def ordinal(value: int) -> str:
    """A whole number as an English ordinal.

    >>> ordinal(1), ordinal(12), ordinal(23), ordinal(111)
    ('1st', '12th', '23rd', '111th')
    """
    teens = 11 <= abs(value) % 100 <= 13
    return f"{value}{'th' if teens else {1: 'st', 2: 'nd', 3: 'rd'}.get(abs(value) % 10, 'th')}"


def plural(count: float, one: str, many: str = "") -> str:
    """A count with its noun.

    >>> plural(1, "day"), plural(3, "day"), plural(2, "memory", "memories")
    ('1 day', '3 days', '2 memories')
    """
    return f"{number(count)} {one if count == 1 else many or one + 's'}"


def times(count: int) -> str:
    """A count as an adverb.

    >>> times(1), times(2), times(6)
    ('once', 'twice', '6 times')
    """
    return {1: "once", 2: "twice"}.get(count) or plural(count, "time")


def of(done: float, counted: float, one: str | None = None) -> str:
    """A count out of a total, optionally with the noun of the counted unit.

    >>> of(19, 31), of(24, 34, "week"), of(1, 1, "day")
    ('19 of 31', '24 of 34 weeks', '1 of 1 day')
    """
    return f"{number(done)} of {plural(counted, one) if one else number(counted)}"


def percent(share: float) -> str:
    r"""A share in whole percent, rounded half up. Only exactly 0 and 1 become 0 % and 100 %.

    The space before the sign is a no-break space; see `plain`. A quotient of whole numbers is rounded by its exact
    fraction, not by its binary approximation.

    >>> percent(5 / 8), percent(29 / 200), percent(0.999), percent(1.0), percent(0.001)
    ('63\xa0%', '15\xa0%', '99\xa0%', '100\xa0%', '1\xa0%')
    """
    whole = _hundredths(share)
    return f"{min(max(whole, 1), 99) if 0 < share < 1 else whole}{_SIGN}"


def bound(share: float) -> str:
    r"""An end of an interval of a share in whole percent, rounded half up. It may be 0 % or 100 %.

    >>> bound(0.667), bound(0.999), bound(0.001)
    ('67\xa0%', '100\xa0%', '0\xa0%')
    """
    return f"{_hundredths(share)}{_SIGN}"


def interval(low: float, high: float) -> str:
    r"""The interval of a share in whole percent.

    >>> interval(0.667, 0.93)
    '67 to 93\xa0%'
    """
    return f"{_hundredths(low)} to {bound(high)}"


def _hundredths(share: float) -> int:
    return int(half_up(share * 100))


def plain(text: str) -> str:
    """The text for a terminal or a plain text file: with plain spaces before percent signs.

    >>> plain(f"done on {percent(0.614)} of days")
    'done on 61 % of days'
    """
    return text.replace(_SIGN, " %")


def listed(items: Iterable[str], last: str = "and") -> str:
    """Items as an enumeration.

    >>> listed(["bread", "glue", "thread"]), listed(["glue"])
    ('bread, glue and thread', 'glue')
    """
    *most, final = items
    return f"{', '.join(most)} {last} {final}" if most else final


def joined(parts: Iterable[str | None], between: str = " · ") -> str:
    """The non-empty parts, joined.

    >>> joined(["5 of 7 done", None, "13th in a row"])
    '5 of 7 done · 13th in a row'
    """
    return between.join(part for part in parts if part)
