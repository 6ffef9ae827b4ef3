"""The columns of appointments, apart from the libraries that read them: a journal without calendars needs none."""

from __future__ import annotations

from typing import Any

import polars as pl

APPOINTMENTS: dict[str, Any] = {
    "date": pl.Date,
    "title": pl.String,
    "start_minute": pl.Int32,
    "end_minute": pl.Int32,
    "all_day": pl.Boolean,
    "source": pl.String,
}
"""The columns of `appointments.appointments`."""
