"""A row of a polars frame once it has left the frame, as `iter_rows(named=True)` gives it."""

from __future__ import annotations

from typing import Any

Row = dict[str, Any]
"""Column name to value; null is None."""
