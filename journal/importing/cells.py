"""What stands in a cell: a number, a rating, a mark, a tick, words. An empty one is never read here."""

from __future__ import annotations

import re
from typing import Any

from journal.entry import MINUTES_A_DAY, Mark, clock_text
from journal.folder.faults import listed
from journal.importing.model import Unfit
from journal.settings import Scale

DONE = ("yes", "y", "true", "done", "x", "1")
NOT_DONE = ("no", "n", "false", "missed", "not done", "0")
REST = ("rest",)
"""The words of a mark, in any case. A counted habit has its number in place of 1 and 0."""

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)", re.ASCII)
_SIGN = r"[ \u3000]*[=+\-@＝＋－＠]"
# What our own CSV (`export.spreadsheet`) puts an apostrophe in front of, with that apostrophe in it.
_GUARDED = re.compile(rf"(^|[,;|\t\r\n\"'])'({_SIGN})")
_GUARDED_BLANK = re.compile(r"\A'(?=[\t\r\n])")
_GUARDED_CELL = re.compile(rf"\A'(?={_SIGN})")


def number(text: str, comma: bool = False) -> float:
    """A number, whole where it is; with `comma` it may have a decimal comma.

    >>> number("24"), number("3,5", comma=True), number("−2.0")
    (24, 3.5, -2)

    Raises Unfit for anything else.
    """
    plain = text.strip().replace("−", "-")
    if comma and plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    if not _NUMBER.fullmatch(plain) or len(plain) > 20:
        raise Unfit("a number", "write e.g. 4")
    found = float(plain)
    return int(found) if found.is_integer() else found


def rating(text: str, scale: Scale, comma: bool = False) -> float:
    """A number, or one of the scale's words. Whether the number is on the scale is seen later.

    >>> rating("Good", Scale(words=("heavy", "low", "even", "good", "bright")))
    4

    Raises Unfit.
    """
    word = text.strip().casefold()
    for step, own in enumerate(scale.words):
        if own.casefold() == word:
            return number(str(scale.low + step))
    try:
        return number(text, comma)
    except Unfit:
        words = f", or {listed(scale.words)}" if scale.words else ""
        raise Unfit(f"a number from {scale.low:g} to {scale.high:g}{words}", "write one of them") from None


def mark(text: str, counted: bool, comma: bool = False) -> Mark:
    """The mark of a habit.

    >>> mark("X", False), mark("missed", False), mark("Rest", True), mark("24", True), mark("1", True)
    (True, False, 'rest', 24, 1)

    Raises Unfit.
    """
    word = " ".join(text.split()).casefold()
    if word in REST:
        return "rest"
    if not (counted and word in ("0", "1")):
        for words, value in ((DONE, True), (NOT_DONE, False)):
            if word in words:
                return value
    try:
        found = number(text, comma)
    except Unfit:
        raise _no_mark(counted) from None
    if not counted and found in (0, 1):  # 1.0, as some tables have it
        return bool(found)
    if not counted:
        raise _no_mark(counted)
    return found


def _no_mark(counted: bool) -> Unfit:
    how_many = "a number, " if counted else ""
    return Unfit(f"{how_many}yes, no or rest", "write one of them, or nothing where nothing was recorded")


def yes_or_no(text: str) -> bool:
    """
    >>> yes_or_no("true"), yes_or_no("No")
    (True, False)

    Raises Unfit.
    """
    word = " ".join(text.split()).casefold()
    if word not in (*DONE, *NOT_DONE):
        raise Unfit("yes or no", "write one of them")
    return word in DONE


def clock_of(text: str) -> str:
    """A minute of the day as the time that a page has.

    >>> clock_of("510"), clock_of("1440")
    ('08:30', '24:00')

    Raises Unfit.
    """
    minute = number(text)
    if not isinstance(minute, int) or not 0 <= minute <= MINUTES_A_DAY:
        raise Unfit("a minute of the day, 0 to 1440", "write e.g. 510 for half past eight")
    return clock_text(minute)


def lines(text: str) -> list[str]:
    r"""The lines of a cell, without blanks around them and without empty ones.

    >>> lines("Bread, still warm.\r\n\r\n  Rain. ")
    ['Bread, still warm.', 'Rain.']
    """
    return [line.strip() for line in words(text).split("\n") if line.strip()]


def words(text: str) -> str:
    """A cell's text without blanks around it, its lines ended as in a page.

    An apostrophe that keeps a spreadsheet from taking the cell for a formula is taken off.

    >>> words("'-2 degrees "), words("'tis")
    ('-2 degrees', "'tis")
    """
    plain = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    return _GUARDED_CELL.sub("", plain)


def unguarded(text: str) -> str:
    r"""A text of our own CSV as it was before apostrophes were put in it, blanks and line ends included.

    It is that text for every text but one that begins with an apostrophe and a line break or tab.

    >>> unguarded("'=1+1"), unguarded("ink;'-2"), unguarded("''=1"), unguarded("it's")
    ('=1+1', 'ink;-2', "'=1", "it's")
    """
    return _GUARDED.sub(r"\1\2", _GUARDED_BLANK.sub("", text))


def plain_table(**values: Any) -> dict[str, Any]:
    """A table without what is None."""
    return {name: value for name, value in values.items() if value is not None}
