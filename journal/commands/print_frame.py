"""A frame as text for standard output: a table, JSON or CSV.

JSON and CSV have unrounded numbers. The table rounds: shares in percent, differences of shares in points (percentage
points), "-" for null.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

import msgspec
import polars as pl

from journal.commands.print_rows import ABSENT, aligned, cell
from journal.commands.table_words import WORDS
from journal.commands.terminal import json_escaped, one_line
from journal.export.csv_text import as_csv
from journal.language import digits
from journal.language.catalogue import _
from journal.wording import numbers

EndsOf = Literal["shares", "points", "units"]
"""What `low` and `high` are the ends of: a share, a difference of shares, or a difference in units of an outcome."""

# Columns that are shares (0 to 1) in every measure. `low` and `high` depend on the measure, see `_number`.
_SHARES = {
    "rate", "logged_rate", "rate_before", "rate_after", "coverage", "kept", "low_share", "high_share", "survival",
    "superiority",
}  # fmt: skip


def as_text(frame: pl.DataFrame, form: str, keys: Sequence[str]) -> str:
    """The frame as a table of these keys only, or as JSON or CSV of all columns, these keys first."""
    if form == "table":
        return as_table(frame.select(keys))
    frame = frame.select(*keys, pl.exclude(*keys))
    return as_json(frame) if form == "json" else as_csv(frame).removesuffix("\n")


def as_json(frame: pl.DataFrame) -> str:
    """A JSON list of row objects, one per line. Dates are ISO 8601, shares 0 to 1, missing values null.

    Characters that control a terminal are escaped in the way of JSON, so the values are the same.

    >>> print(as_json(pl.DataFrame({"habit": ["walk", "read"], "rate": [0.5, None]})))
    [
    {"habit":"walk","rate":0.5},
    {"habit":"read","rate":null}
    ]
    """
    rows = ",\n".join(msgspec.json.encode(row).decode() for row in frame.iter_rows(named=True))
    return json_escaped(f"[\n{rows}\n]") if rows else "[]"


def as_table(frame: pl.DataFrame) -> str:
    """An aligned table with the keys as heads: numbers right-aligned, text left-aligned.

    >>> print(as_table(pl.DataFrame({"habit": ["walk", "read"], "done": [7, 12], "rate": [0.5, None]})))
    habit  done  rate
    walk      7  50 %
    read     12     -
    """
    ends: EndsOf = "points" if "rate_before" in frame.columns else "units" if "effect" in frame.columns else "shares"
    return aligned(
        {name: [_cell(name, value, ends) for value in frame.get_column(name)] for name in frame.columns},
        numbers={name for name, dtype in frame.schema.items() if dtype.is_numeric()},
        words=WORDS,
    )


def _cell(name: str, value: Any, ends: EndsOf) -> str:
    if isinstance(value, pl.Series):
        return one_line(_listed(value))
    return _number(name, value, ends) if isinstance(value, float) else cell(value, name, WORDS)


def _listed(values: pl.Series) -> str:
    """Up to two values in full, else the first, the last and the count."""
    if values.len() <= 2:
        return " ".join(map(str, values)) or ABSENT
    return f"{values.item(0)}..{values.item(-1)} ({values.len()})"


def _number(name: str, value: float, ends: EndsOf) -> str:
    if ends == "points" and name in ("difference", "low", "high"):
        # The decimal shows on which side of zero a bound lies.
        return _("{difference} points", difference=digits.signed(f"{100 * value:+.1f}"))
    if name in _SHARES:
        return numbers.plain(numbers.percent(value))
    if ends == "shares" and name in ("low", "high"):
        return numbers.plain(numbers.bound(value))
    if name in ("p", "q"):
        return digits.signed(f"{value:.4f}")  # with 400 shifts the smallest step is 0.0025
    has_sign = name in ("difference", "effect") or ends == "units"
    return digits.signed(f"{value:+.2f}" if has_sign else f"{value:.2f}")
