"""A frame as comma-separated values that no spreadsheet runs as formulas."""

from __future__ import annotations

import polars as pl

# A spreadsheet takes a cell that begins so for a formula, and a formula can send what it reads elsewhere; the wide
# forms are taken for the plain ones in some of them. Where a reader expects other separators or quotes than the file
# was written with, a cell begins behind each of these too (OWASP, "CSV Injection"), and some drop the blanks before it.
_SIGN = r"(^|[,;|\t\r\n\"'])([ \u{3000}]*[=+\-@＝＋－＠])"
_BLANK = r"^([\t\r\n])"


def as_csv(frame: pl.DataFrame, line_end: str = "\n") -> str:
    r"""Comma-separated values with a header (RFC 4180, Shafranovich 2005, which ends its lines in "\r\n").

    Null is empty, and an empty text is `""`. Lists stand in their cell one value after the other. Text that a
    spreadsheet would run as a formula gets an apostrophe in front of the sign that would make it one, at its beginning
    and behind each separator, quote and line break. Numbers and dates are as they are, below zero too.

    >>> frame = pl.DataFrame({"kind": ["note", None], "text": ["=1+1", "ink;-2"], "high": [-3.5, None]})
    >>> print(as_csv(frame), end="")
    kind,text,high
    note,'=1+1,-3.5
    ,ink;'-2,
    """
    # A cell has no lists: their values (dates, in all of them) stand in it one after the other.
    listed = [
        pl.col(name).cast(pl.List(pl.String)).list.join(" ") for name in frame.select(pl.selectors.list()).columns
    ]
    guarded = pl.selectors.string().str.replace_all(_SIGN, "${1}'${2}").str.replace(_BLANK, "'${1}")
    return frame.with_columns(*listed).with_columns(guarded).write_csv(line_terminator=line_end)
