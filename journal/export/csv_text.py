"""A frame as CSV, protected against formula injection in spreadsheets."""

from __future__ import annotations

import polars as pl

# A spreadsheet runs a cell that begins with one of these signs as a formula, and a formula can send data elsewhere.
# Some treat the full-width forms like the plain ones. A program that expects other separators or quotes begins a cell
# after each of those too (OWASP, "CSV Injection"), and some skip the blanks in front.
_SIGN = r"(^|[,;|\t\r\n\"'])([ \u{3000}]*[=+\-@＝＋－＠])"
_BLANK = r"^([\t\r\n])"


def as_csv(frame: pl.DataFrame, line_end: str = "\n") -> str:
    r"""The frame as CSV with a header (RFC 4180, Shafranovich 2005, which ends lines in "\r\n").

    Null is empty, an empty text is `""`. The values of a list are separated by blanks. In text, an apostrophe goes in
    front of each sign that could start a formula: at the beginning and after each separator, quote and line break.
    Numbers, also negative ones, and dates are unchanged.

    >>> frame = pl.DataFrame({"kind": ["note", None], "text": ["=1+1", "ink;-2"], "high": [-3.5, None]})
    >>> print(as_csv(frame), end="")
    kind,text,high
    note,'=1+1,-3.5
    ,ink;'-2,
    """
    # CSV has no lists. All lists are of dates: write them one after the other.
    listed = [
        pl.col(name).cast(pl.List(pl.String)).list.join(" ") for name in frame.select(pl.selectors.list()).columns
    ]
    guarded = pl.selectors.string().str.replace_all(_SIGN, "${1}'${2}").str.replace(_BLANK, "'${1}")
    return frame.with_columns(*listed).with_columns(guarded).write_csv(line_terminator=line_end)
