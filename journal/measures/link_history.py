"""The frames of the links of a journal up to a day, those of a long journal from `.cache`."""

from __future__ import annotations

import datetime as dt
from functools import cached_property
from pathlib import Path

import polars as pl

from journal.folder import kept_frames
from journal.measures import link_pairs, link_record

LONG = 3 * 365
"""The days from which on the links of a journal are kept in `.cache`. Of fewer they are computed as quickly."""

_SCHEMAS = {"events": link_record.EVENTS, "pairs": link_pairs.COMPARABLE}
_MODULES = ("circular_shift", "compared_days", "link_pairs", "link_record", "looks")


class LinkHistory:
    """The events of `link_record.events` and the pairs of `link_pairs.comparable`, computed when first asked for.

    In: the frame of `states.states`, `Tables.days`. With the folder of a journal in `kept_in`, what was computed from
    the same closed months is taken from its `.cache`, and kept there.

    >>> from journal import tables
    >>> from journal.measures.states import states
    >>> day = dt.date(2025, 3, 14)
    >>> nothing = states(pl.DataFrame(schema=tables.MARKS), today=day)
    >>> history = LinkHistory(nothing, pl.DataFrame(schema={"date": pl.Date, "mood": pl.Float64}), today=day)
    >>> history.events.height, history.pairs.height
    (0, 0)
    """

    def __init__(
        self, states: pl.DataFrame, days: pl.DataFrame, *, today: dt.date, kept_in: Path | None = None
    ) -> None:
        self._states, self._days, self._today = states, days, today
        self._kept_in = kept_in if days.height > LONG else None

    @property
    def events(self) -> pl.DataFrame:
        """The links that became clear or ended: `link_record.EVENTS`."""
        return self._frames["events"]

    @property
    def pairs(self) -> pl.DataFrame:
        """The pairs that can be compared: `link_pairs.COMPARABLE`."""
        return self._frames["pairs"]

    @cached_property
    def _frames(self) -> dict[str, pl.DataFrame]:
        folder, today = self._kept_in, self._today
        key = b""
        if folder is not None:
            key = kept_frames.key_of(link_pairs.content(self._states, self._days, today=today), _MODULES)
            if (kept := kept_frames.load(folder, key, _SCHEMAS)) is not None:
                return kept
        paired = link_pairs.dated_pairs(self._states, self._days, today=today)
        computed = {
            "events": link_record.events(paired, today=today),
            "pairs": link_pairs.comparable(paired, today=today),
        }
        if folder is not None:
            kept_frames.save(folder, key, computed)
        return computed
