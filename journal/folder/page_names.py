"""The names that a page may use, as its journal.toml has them, laid out so that each page is checked in no time."""

from __future__ import annotations

import datetime as dt
from typing import Any

import msgspec

from journal.settings import Scale, Settings


class Force(msgspec.Struct, frozen=True):
    """The days on which one definition of a habit or challenge holds, both included."""

    first: dt.date
    last: dt.date
    counted: bool = False


class Known(msgspec.Struct, frozen=True, kw_only=True):
    """What a page may name. None: journal.toml does not say, so any name passes. A name without any days is one
    that journal.toml has but whose definition cannot be read."""

    habits: dict[str, tuple[Force, ...]] | None
    challenges: dict[str, tuple[Force, ...]] | None
    categories: frozenset[str] | None
    places: tuple[str, ...] | None
    scales: dict[str, Scale]
    ranks: int


def known(settings: Settings, written: dict[str, Any] | None) -> Known:
    """What the pages of a journal may name.

    `written` are the values of journal.toml before any of them was left out, None where it could not be read at all.
    """
    names = {block: _names(written, block) for block in ("habits", "challenges", "categories", "places")}
    habits: dict[str, tuple[Force, ...]] = {
        key: tuple(Force(span.first, span.last, span.habit.target is not None) for span in spans)
        for key, spans in settings.habit_spans.items()
    }
    challenges: dict[str, tuple[Force, ...]] = {c.key: (Force(c.start, c.until),) for c in settings.challenges}
    categories = [c.key for c in settings.categories]
    places = [p.key for p in settings.places]
    return Known(
        habits=_with(habits, names["habits"]),
        challenges=_with(challenges, names["challenges"]),
        categories=None if names["categories"] is None else frozenset([*categories, *names["categories"]]),
        places=None if names["places"] is None else tuple(dict.fromkeys([*places, *names["places"]])),
        scales={
            name: scale for name in Settings.__struct_fields__ if isinstance(scale := getattr(settings, name), Scale)
        },
        # A rank given while there were three ranked tasks a day stays right when there are fewer.
        ranks=max(3, settings.day.ranked_tasks),
    )


def _names(written: dict[str, Any] | None, block: str) -> list[str] | None:
    """The keys of a block as they are written, None where the block is no list of tables with keys."""
    if written is None:
        return None
    tables = written.get(block, [])
    if not isinstance(tables, list):
        return None
    keys = [table.get("key") if isinstance(table, dict) else None for table in tables]
    return [key for key in keys if isinstance(key, str)] if all(isinstance(key, str) for key in keys) else None


def _with(definitions: dict[str, tuple[Force, ...]], names: list[str] | None) -> dict[str, tuple[Force, ...]] | None:
    return None if names is None else dict.fromkeys(names, ()) | definitions
