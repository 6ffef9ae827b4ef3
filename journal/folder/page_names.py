"""The names that a page may use, from its journal.toml, in a form that makes checks fast."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import msgspec

from journal.folder.faults import NOTHING, Fault
from journal.language.lazy_text import L_
from journal.settings import Scale, Settings

NAMES_OF = {
    "habits": L_("a habit of journal.toml"),
    "challenges": L_("a challenge of journal.toml"),
    "categories": L_("a category of journal.toml"),
    "places": L_("a place of journal.toml"),
}
"""What is expected where a page or a setting has a name of a block of journal.toml."""


class Force(msgspec.Struct, frozen=True):
    """The days on which one definition of a habit or challenge holds, both included."""

    first: dt.date
    last: dt.date
    counted: bool = False


class Known(msgspec.Struct, frozen=True, kw_only=True):
    """The names that a page may use.

    None means that journal.toml does not define the block, so any name passes, and so does any value on a scale that is
    not there. A name without spans is in journal.toml,
    but its definition is invalid.
    """

    habits: dict[str, tuple[Force, ...]] | None
    challenges: dict[str, tuple[Force, ...]] | None
    categories: frozenset[str] | None
    places: tuple[str, ...] | None
    scales: dict[str, Scale]
    ranks: int


def _hides_nothing(block: str) -> bool:
    return False


def known(settings: Settings, written: dict[str, Any] | None, hides: Callable[[str], bool] = _hides_nothing) -> Known:
    """Return the names that the pages of a journal may use.

    `written` are the values of journal.toml before invalid ones were dropped, None if the file cannot be read at all.
    `hides` says whether broken lines of the file may have further names of a block.
    """
    names = {block: None if hides(block) else _names(written, block) for block in NAMES_OF}
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
            name: scale
            for name in Settings.__struct_fields__
            if isinstance(scale := getattr(settings, name), Scale) and written is not None and not hides(name)
        },
        # Ranks up to 3 stay valid when `ranked_tasks` is lowered: pages may have been written before.
        ranks=20 if hides("day") else max(3, settings.day.ranked_tasks),
    )


def follows_from(fault: Fault, hides: Callable[[str], bool]) -> bool:
    """Return whether a fault of a broken journal.toml may only follow from its broken lines.

    That is a name which may be defined there, a setting that may stand there, and the words of a scale whose ends may.
    """
    if len(fault.where) == 1 and fault.got == NOTHING:
        return hides(str(fault.where[0]))
    if fault.where in (("mood", "words"), ("energy", "words")):
        return hides(str(fault.where[0]))
    return any(fault.expected == expected and hides(block) for block, expected in NAMES_OF.items())


def _names(written: dict[str, Any] | None, block: str) -> list[str] | None:
    """Return the keys of a block in journal.toml, or None if the block is not a list of tables with keys."""
    if written is None:
        return None
    tables = written.get(block, [])
    if not isinstance(tables, list):
        return None
    keys = [table.get("key") if isinstance(table, dict) else None for table in tables]
    return [key for key in keys if isinstance(key, str)] if all(isinstance(key, str) for key in keys) else None


def _with(definitions: dict[str, tuple[Force, ...]], names: list[str] | None) -> dict[str, tuple[Force, ...]] | None:
    return None if names is None else dict.fromkeys(names, ()) | definitions
