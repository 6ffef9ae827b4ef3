"""Parsing of a cell: a number, a rating, a mark, a tick or text. Callers skip empty cells."""

from __future__ import annotations

import re
from typing import Any

from journal.entry import MINUTES_A_DAY, Mark, clock_text
from journal.folder.faults import listed
from journal.importing import written_words
from journal.importing.model import Unfit
from journal.language import digits
from journal.language.catalogue import _
from journal.settings import Scale

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)", re.ASCII)
_SIGN = r"[ \u3000]*[=+\-@＝＋－＠]"
# The places where our own CSV (`export.csv_text`) inserts an apostrophe.
_GUARDED = re.compile(rf"(^|[,;|\t\r\n\"'])'({_SIGN})")
_GUARDED_BLANK = re.compile(r"\A'(?=[\t\r\n])")
_GUARDED_CELL = re.compile(rf"\A'(?={_SIGN})")


def number(text: str, comma: bool = False) -> float:
    """Return a number, an int if it is whole. With `comma` it may have a decimal comma.

    >>> number("24"), number("3,5", comma=True), number("−2.0")
    (24, 3.5, -2)

    Raises Unfit for any other text.
    """
    plain = text.strip().replace("−", "-")
    if comma and plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    if not _NUMBER.fullmatch(plain) or len(plain) > 20:
        raise Unfit(_("a number"), _("write e.g. 4"))
    value = float(plain)
    return int(value) if value.is_integer() else value


def rating(text: str, scale: Scale, comma: bool = False) -> float:
    """Return a number, or the step of one of the scale's words. The caller checks the bounds of the scale.

    >>> rating("Good", Scale(words=("heavy", "low", "even", "good", "bright")))
    4

    Raises Unfit.
    """
    word = text.strip().casefold()
    for step, step_word in enumerate(scale.words):
        if step_word.casefold() == word:
            return number(str(scale.low + step))
    try:
        return number(text, comma)
    except Unfit:
        low, high = (digits.number(bound, 6) for bound in (scale.low, scale.high))
        expected = (
            _("a number from {low} to {high}, or {words}", low=low, high=high, words=listed(scale.words))
            if scale.words
            else _("a number from {low} to {high}", low=low, high=high)
        )
        raise Unfit(expected, _("write one of them")) from None


def mark(text: str, counted: bool, comma: bool = False) -> Mark:
    """Return the mark of a habit. Its words are those of `written_words`; for a counted habit, 1 and 0 are numbers.

    >>> mark("X", False), mark("missed", False), mark("Rest", True), mark("24", True), mark("1", True)
    (True, False, 'rest', 24, 1)

    Raises Unfit.
    """
    word = _word(text)
    if word in written_words.rest():
        return "rest"
    if not (counted and word in ("0", "1")):
        for words, is_done in ((written_words.done(), True), (written_words.not_done(), False)):
            if word in words:
                return is_done
    try:
        value = number(text, comma)
    except Unfit:
        raise _no_mark(counted) from None
    if not counted and value in (0, 1):  # some tables write 1.0
        return bool(value)
    if not counted:
        raise _no_mark(counted)
    return value


def _word(text: str) -> str:
    """Return a cell's words in small letters, without the variation selector that some check marks carry."""
    return " ".join(text.replace("\ufe0f", "").split()).casefold()


def _no_mark(counted: bool) -> Unfit:
    expected = _("a number, yes, no or rest") if counted else _("yes, no or rest")
    return Unfit(expected, _("write one of them, or nothing where nothing was recorded"))


def yes_or_no(text: str) -> bool:
    """Return whether a text means yes.

    >>> yes_or_no("true"), yes_or_no("No")
    (True, False)

    Raises Unfit.
    """
    word = _word(text)
    if word not in written_words.done() | written_words.not_done():
        raise Unfit(_("yes or no"), _("write one of them"))
    return word in written_words.done()


def clock_of(text: str) -> str:
    """Return a minute of the day as a time of day.

    >>> clock_of("510"), clock_of("1440")
    ('08:30', '24:00')

    Raises Unfit.
    """
    minute = number(text)
    if not isinstance(minute, int) or not 0 <= minute <= MINUTES_A_DAY:
        raise Unfit(_("a minute of the day, 0 to 1440"), _("write e.g. 510 for half past eight"))
    return clock_text(minute)


def lines(text: str) -> list[str]:
    r"""Return the lines of a cell, stripped, without empty ones.

    >>> lines("Bread, still warm.\r\n\r\n  Rain. ")
    ['Bread, still warm.', 'Rain.']
    """
    return [line.strip() for line in words(text).split("\n") if line.strip()]


def words(text: str) -> str:
    """Return a cell's text, stripped, with the line ends of a page.

    An apostrophe that protects a cell from being read as a formula is removed.

    >>> words("'-2 degrees "), words("'tis")
    ('-2 degrees', "'tis")
    """
    plain = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    return _GUARDED_CELL.sub("", plain)


def unguarded(text: str) -> str:
    r"""Return a text of our own CSV without the inserted apostrophes, including blanks and line ends.

    This restores every text except one that begins with an apostrophe and a line break or tab.

    >>> unguarded("'=1+1"), unguarded("ink;'-2"), unguarded("''=1"), unguarded("it's")
    ('=1+1', 'ink;-2', "'=1", "it's")
    """
    return _GUARDED.sub(r"\1\2", _GUARDED_BLANK.sub("", text))


def plain_table(**values: Any) -> dict[str, Any]:
    """Return a table without values that are None."""
    return {name: value for name, value in values.items() if value is not None}
