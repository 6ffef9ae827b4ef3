"""Numbers, counts, shares and lists as text."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from journal.language import digits
from journal.language.catalogue import _, _n
from journal.language.spoken import spoken

number, mean, half_up = digits.number, digits.mean, digits.half_up

_SIGN = "\N{NO-BREAK SPACE}%"

NINETY_FIVE = f"95{_SIGN}"
"""The confidence level of every interval."""


def ordinal(value: int) -> str:
    """A whole number as an ordinal.

    >>> ordinal(1), ordinal(12), ordinal(23), ordinal(111)
    ('1st', '12th', '23rd', '111th')
    """
    if pattern := spoken().ordinal:
        return pattern.format(number=value)
    teens = 11 <= abs(value) % 100 <= 13
    return f"{value}{'th' if teens else {1: 'st', 2: 'nd', 3: 'rd'}.get(abs(value) % 10, 'th')}"


def plural(count: float, one: str, many: str = "") -> str:
    """A count with its noun, in English: for texts that are not in the catalogue yet. Others use `_n`.

    >>> plural(1, "day"), plural(3, "day"), plural(2, "memory", "memories")
    ('1 day', '3 days', '2 memories')
    """
    return f"{number(count)} {one if count == 1 else many or one + 's'}"


def times(count: int) -> str:
    """A count as an adverb.

    >>> times(1), times(2), times(6)
    ('once', 'twice', '6 times')
    """
    if count in (1, 2):
        return _("once") if count == 1 else _("twice")
    return _n("{count} time", "{count} times", count)


def of(done: float, counted: float, one: str | None = None) -> str:
    """A count out of a total, optionally with the noun of the counted unit.

    >>> of(19, 31), of(24, 34, "week"), of(1, 1, "day")
    ('19 of 31', '24 of 34 weeks', '1 of 1 day')
    """
    values = {"done": number(done), "count": number(counted)}
    if one is None:
        return _("{done} of {count}", **values)
    if one == "day":
        return _n("{done} of {count} day", "{done} of {count} days", counted, **values)
    if one == "week":
        return _n("{done} of {count} week", "{done} of {count} weeks", counted, **values)
    if one == "month":
        return _n("{done} of {count} month", "{done} of {count} months", counted, **values)
    if one == "time":
        return _n("{done} of {count} time", "{done} of {count} times", counted, **values)
    return f"{number(done)} of {plural(counted, one)}"


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
    return _("{low} to {high}", low=_hundredths(low), high=bound(high))


def _hundredths(share: float) -> int:
    return int(half_up(share * 100))


def plain(text: str) -> str:
    """The text for a terminal or a plain text file: with plain spaces before percent signs.

    >>> plain(f"done on {percent(0.614)} of days")
    'done on 61 % of days'
    """
    return text.replace(_SIGN, " %")


def listed(items: Iterable[str], last: Literal["and", "or"] = "and") -> str:
    """Items as an enumeration.

    >>> listed(["bread", "glue", "thread"]), listed(["glue"])
    ('bread, glue and thread', 'glue')
    """
    *most, final = items
    if not most:
        return final
    several = ", ".join(most)
    return (_("{several} and {last}") if last == "and" else _("{several} or {last}")).format(
        several=several, last=final
    )


def in_sentence(label: str) -> str:
    """A label inside of a sentence: in small letters, but in a language whose nouns have capital ones.

    >>> in_sentence("Good things")
    'good things'
    """
    return label if spoken().nouns_capital else label.lower()


def begun(text: str) -> str:
    """A text with a capital letter at its beginning.

    >>> begun("done later"), begun("")
    ('Done later', '')
    """
    return text[:1].upper() + text[1:]


def quoted(text: str) -> str:
    """A text in the language's quotation marks.

    >>> quoted("walk")
    '“walk”'
    """
    opening, closing = spoken().quotes
    return f"{opening}{text}{closing}"


def joined(parts: Iterable[str | None], between: str = " · ") -> str:
    """The non-empty parts, joined.

    >>> joined(["5 of 7 done", None, "13th in a row"])
    '5 of 7 done · 13th in a row'
    """
    return between.join(part for part in parts if part)
