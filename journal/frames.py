"""The type of a polars row as a dict, as returned by `iter_rows(named=True)`."""

from __future__ import annotations

from typing import Any

Row = dict[str, Any]
"""Maps column names to values; null is None."""
