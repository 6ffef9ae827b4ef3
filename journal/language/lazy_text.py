"""Texts that are kept before anybody reads them, and get their words when they are shown.

A problem of a file is found before the language of the journal is known, since that stands in a file too. It is kept
in memory and in `.cache`, and shown by a page in one language and by a program in another. So it has its English text
with the values of its fields, not the words:

    expected = L_("a number from {low} to {high}", low=1.0, high=4.5)
    said(expected)                                      # "a number from 1 to 4.5", "eine Zahl von 1 bis 4,5"

Everything else is looked up at once (`catalogue`).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Union

import msgspec

from journal.language import digits
from journal.language.catalogue import _, _n, _p


class LazyText(msgspec.Struct, frozen=True, array_like=True):
    """A text of the catalogue that is not looked up yet, with the values of its fields. `str()` looks it up.

    `many` is the text for other counts than one, and `count` the count; `context` is as in `catalogue._p`. A value may
    be such a text too. Of numbers, whole ones get a sign between thousands and others the decimal sign of the language.
    """

    text: str
    values: tuple[tuple[str, Phrase], ...] = ()
    many: str = ""
    count: int = 0
    context: str = ""

    def __str__(self) -> str:
        values = {name: said(value) for name, value in self.values}
        if self.many:
            return _n(self.text, self.many, self.count, **values)
        return _p(self.context, self.text, **values) if self.context else _(self.text, **values)


# Not `|`: msgspec resolves the types at run time, and a name in quotes has no `|`.
Phrase = Union[str, int, float, LazyText]  # noqa: UP007
"""What is said of something: a text that is looked up already, one that is not, or a number."""


def L_(text: str, /, **values: Phrase) -> LazyText:
    """A text with values for its fields. A module may have one as a constant.

    >>> print(L_("{known} of {count} bytes", known=L_("none"), count=250_000))
    none of 250,000 bytes
    """
    return LazyText(text, tuple(values.items()))


def L_n(one: str, many: str, count: int, /, **values: Phrase) -> LazyText:
    """A text that depends on a count, which the field `count` has.

    >>> print(L_n("{count} page", "{count} pages", 3))
    3 pages
    """
    return LazyText(one, tuple(values.items()), many, count)


def L_p(context: str, text: str, /, **values: Phrase) -> LazyText:
    """A text in a context, which tells apart equal English texts of different meaning."""
    return LazyText(text, tuple(values.items()), context=context)


def said(words: Phrase) -> str:
    """A phrase in the spoken language.

    >>> from journal.language.languages import GERMAN
    >>> from journal.language.spoken import speaking
    >>> with speaking(GERMAN):
    ...     said(L_("a number")), said(L_("{number} days", number=2.5)), said("as it is")
    ('eine Zahl', '2,5 days', 'as it is')
    """
    if isinstance(words, (int, float)):
        return digits.signed(f"{words:,}" if isinstance(words, int) else f"{words:g}")
    return str(words)


def any_of(names: Iterable[str]) -> Phrase:
    """Names as a list with "or" before the last one.

    >>> print(any_of(["a"]), "-", any_of(["a", "b", "c"]))
    a - a, b or c
    """
    *most, last = names
    return L_("{several} or {last}", several=", ".join(most), last=last) if most else last


def all_of(names: Iterable[str]) -> Phrase:
    """Names as a list with "and" before the last one.

    >>> print(all_of(["a", "b", "c"]))
    a, b and c
    """
    *most, last = names
    return L_("{several} and {last}", several=", ".join(most), last=last) if most else last


def each_of(names: Iterable[str]) -> Phrase:
    """A few names with "and" between all of them.

    >>> print(each_of(["a", "b", "c"]))
    a and b and c
    """
    first, *others = names
    joined: Phrase = first
    for name in others:
        joined = L_("{several} and {last}", several=joined, last=name)
    return joined
