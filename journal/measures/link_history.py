"""The frames of the links of a journal up to a day, those of a long journal from `.cache`."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import polars as pl

from journal.folder import kept_frames
from journal.measures import link_pairs, link_record

LONG = 3 * 365
"""The days from which on the links of a journal are kept in `.cache`. Of fewer they are computed as quickly."""

_SCHEMAS = {"events": link_record.EVENTS, "pairs": link_pairs.COMPARABLE}
_MODULES = ("circular_shift", "compared_days", "link_pairs", "link_record", "looks")


def history(
    states: pl.DataFrame, days: pl.DataFrame, *, today: dt.date, kept_in: Path | None = None
) -> dict[str, pl.DataFrame]:
    """The events of `link_record.events` and the pairs of `link_pairs.comparable`.

    In: the frame of `states.states`, `Tables.days`. With the folder of a journal in `kept_in`, what was computed from
    the same closed months is taken from its `.cache`, and kept there.

    >>> from journal import tables
    >>> from journal.measures.states import states
    >>> day = dt.date(2025, 3, 14)
    >>> nothing = states(pl.DataFrame(schema=tables.MARKS), today=day)
    >>> frames = history(nothing, pl.DataFrame(schema={"date": pl.Date, "mood": pl.Float64}), today=day)
    >>> {name: frame.height for name, frame in frames.items()}
    {'events': 0, 'pairs': 0}
    """
    folder = kept_in if days.height > LONG else None
    key = b"" if folder is None else kept_frames.key_of(link_pairs.content(states, days, today=today), _MODULES)
    if folder is not None and (kept := kept_frames.load(folder, key, _SCHEMAS)) is not None:
        return kept
    paired = link_pairs.dated_pairs(states, days, today=today)
    computed = {"events": link_record.events(paired, today=today), "pairs": link_pairs.comparable(paired, today=today)}
    if folder is not None:
        kept_frames.save(folder, key, computed)
    return computed
