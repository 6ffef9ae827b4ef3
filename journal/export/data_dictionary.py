"""The data dictionary of the exported tables: the rows, and for each column type, unit, meaning of null and meaning.

The texts come from `column_descriptions`, the types from the frames.
"""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from journal.export.column_descriptions import FRAMES

COLUMNS = {
    "frame": pl.String,
    "column": pl.String,
    "type": pl.String,
    "unit": pl.String,
    "null": pl.String,
    "meaning": pl.String,
}

HEAD = """\
# The tables and their columns

Each table is a file of its own. Types are those of polars; Parquet files have them too. CSV has the same values as
text: dates as ISO 8601, `true` and `false`, and an empty cell for null. In CSV, text that a spreadsheet would run as a
formula has an apostrophe in front of the sign that starts it. Null means *not recorded*, never zero. "never" marks a
column without nulls.
"""


def columns(frames: Mapping[str, pl.DataFrame]) -> pl.DataFrame:
    """A row for every column of the frames, in their order.

    Out: frame, column, type (its polars name; an Enum with its values in order), unit or "none", null (its meaning, or
    "never"), meaning; all String. Raises KeyError for a column without a description.

    >>> columns({"decisions": pl.DataFrame(schema={"period": pl.String})}).row(0)[1:5]
    ('period', 'String', 'ISO 8601', 'never')
    """
    rows = [
        (name, column, _type(dtype), *FRAMES[name].columns[column])
        for name, frame in frames.items()
        for column, dtype in frame.schema.items()
    ]
    return pl.DataFrame(rows, COLUMNS, orient="row")


def as_markdown(columns: pl.DataFrame) -> str:
    """The rows of `columns` as a document, a table for each frame."""
    parts = [HEAD]
    for (name,), rows in columns.group_by("frame", maintain_order=True):
        head = "| column | type | unit | null | meaning |\n|---|---|---|---|---|"
        parts.append(f"## {name}\n\n{FRAMES[str(name)].row}\n\n{head}")
        parts.append("\n".join(f"| `{row[0]}` | {' | '.join(row[1:])} |" for row in rows.drop("frame").iter_rows()))
        parts.append("")
    return "\n".join(parts)


def _type(dtype: pl.DataType) -> str:
    if isinstance(dtype, pl.Enum):
        return f"Enum ({', '.join(dtype.categories)})"
    return str(dtype)
