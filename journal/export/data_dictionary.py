"""The data dictionary of the exported tables: what a row is, and of each column its unit, its nulls and its meaning.

The words stand in `described`; types are those of the frames themselves.
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

Each table is a file of its own. Types are those of polars, and in Parquet also of the file; CSV has the same values as
text: dates as ISO 8601, `true` and `false`, null as nothing. Text in CSV that a spreadsheet would run as a formula has
an apostrophe in front of the sign that would make it one. Null means *not recorded*, never zero; "never" says
that a column has none.
"""


def columns(frames: Mapping[str, pl.DataFrame]) -> pl.DataFrame:
    """A row for every column of some frames, in their order.

    Out: frame, column, type (as polars calls it; the values of an Enum in their order), unit ("none" where there is
    none), null (what it means, "never" where there is none), meaning. Raises KeyError for a column not described.

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
