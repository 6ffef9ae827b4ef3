"""What a broken journal.toml said before: for its lines that do not apply, the last kept state of the file stands in.

The history has the states of journal.toml (`history`). Of the newest one that is valid TOML, those values stand in that
are missing by now and are named in a line that does not apply. What the person has taken out stays out.
"""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path
from typing import Any

import msgspec
import rtoml

from journal.errors import Problem
from journal.folder import history
from journal.folder.broken_places import LISTS, BrokenPlace, Recovery, is_block
from journal.folder.faults import Key, key_text, quoted
from journal.folder.identity import identity
from journal.folder.page_versions import SETTINGS
from journal.language.catalogue import N_
from journal.language.lazy_text import L_, L_n, each_of

MOST_STATES = 50
_NAMES = ("key", "name", "title", "question")


class EarlierSettings(msgspec.Struct, frozen=True):
    """The state that stands in: since when it was so, its bytes, and its values together with those that apply now.

    `names` are the values that are from it, and `places` the broken places, which say so. `is_whole` is false if a
    table or a block is left out all the same.
    """

    moment: dt.datetime
    data: bytes
    values: dict[str, Any]
    names: tuple[str, ...] = ()
    places: tuple[BrokenPlace, ...] = ()
    is_whole: bool = True

    @property
    def since(self) -> str:
        """Since when it was so, in words."""
        return f"{self.moment:%Y-%m-%d %H:%M}"


def last(folder: Path) -> EarlierSettings | None:
    """Return the newest kept state of journal.toml that is valid TOML, None if there is none."""
    for state in reversed(history.states(folder, SETTINGS)[-MOST_STATES:]):
        try:
            text = (state.data or b"").decode("utf-8-sig")
            values = rtoml.loads(text)
        except (UnicodeDecodeError, rtoml.TomlParsingError):
            continue
        if values and state.data is not None:
            return EarlierSettings(state.moment, state.data, values)
    return None


def for_broken(folder: Path, text: str, recovery: Recovery) -> EarlierSettings | None:
    """Return what stands in for the lines of a text that do not apply, None if nothing does."""
    before = last(folder)
    if before is None:
        return None
    now, then = text.split("\n"), recovery.text.split("\n")
    lost = [row if row != kept else "" for row, kept in zip(now, then, strict=True)]
    values, names = _added(recovery.values, before.values, "\n".join(lost))
    if not names:
        return None
    places = tuple(_told(place, before, _around(lost, now, place), recovery.values) for place in recovery.places)
    pairs = zip(places, recovery.places, strict=True)
    is_whole = all(place != lost_place for place, lost_place in pairs if is_block(lost_place))
    return EarlierSettings(before.moment, before.data, values, tuple(map(_words, names)), places, is_whole)


def told(problem: Problem, earlier: EarlierSettings) -> Problem:
    """Return the problem of a journal.toml that cannot be read at all, with what stands in for it."""
    text = N_("{remedy}; until then the settings of {moment} apply")
    return problem.but(remedy=L_(text, remedy=problem.words.remedy, moment=earlier.since))


def _added(present: dict[str, Any], before: dict[str, Any], lost: str) -> tuple[dict[str, Any], list[Key]]:
    """Return the values with those of before that are missing and named in lost lines, and the paths of these."""
    values, names = dict(present), list[Key]()
    for name, value in before.items():
        if name in LISTS and isinstance(value, list):
            blocks = _missing_blocks(name, present.get(name, []), value, lost)
            for block in blocks:
                values[name] = _with(name, values.get(name, []), block, value)
            names += [(name, _title(block)) for block in blocks]
        elif name not in present and _is_named(name, lost):
            values[name] = value
            names.append((name,))
        elif isinstance(value, dict) and isinstance(present.get(name), dict):
            inner = {key: part for key, part in value.items() if key not in present[name] and _is_named(key, lost)}
            values[name] = present[name] | inner
            names += [(name, key) for key in inner]
    return values, names


def _missing_blocks(name: str, present: Any, before: list[Any], lost: str) -> list[Any]:
    """Return the blocks of before that are missing, and of which a lost line has the key, the name or the title."""
    there = {identity(name, block) for block in _tables(present)}
    return [
        block
        for block in _tables(before)
        if identity(name, block) not in there and any(_is_named(str(block.get(key, "")), lost) for key in _NAMES)
    ]


def _with(name: str, present: list[Any], block: dict[str, Any], before: list[Any]) -> list[Any]:
    """Return the blocks with one more, at its place: behind the one that it stood behind before."""
    order = [identity(name, other) for other in _tables(before)]
    earlier = order[: order.index(identity(name, block))]
    at = max((i + 1 for i, other in enumerate(present) if identity(name, other) in earlier), default=0)
    return [*present[:at], block, *present[at:]]


def _title(block: dict[str, Any]) -> str:
    return next((str(block[key]) for key in _NAMES if block.get(key)), "")


def _tables(value: Any) -> list[dict[str, Any]]:
    return [table for table in value if isinstance(table, dict)] if isinstance(value, list) else []


def _is_named(name: str, lost: str) -> bool:
    return bool(name) and re.search(rf"(?<!\w){re.escape(name)}(?!\w)", lost) is not None


def _around(lost: list[str], rows: list[str], place: BrokenPlace) -> str:
    """Return the lost lines of a place, with those around it that fall with it."""
    first, end = place.first - 1, place.last
    while first > 0 and (lost[first - 1] or not rows[first - 1].strip()):
        first -= 1
    while end < len(rows) and (lost[end] or not rows[end].strip()):
        end += 1
    return "\n".join(lost[first:end])


def _told(place: BrokenPlace, before: EarlierSettings, lost: str, present: dict[str, Any]) -> BrokenPlace:
    names = _added(present, before.values, lost)[1]
    if not names:
        return place
    every = list(dict.fromkeys(map(_words, names)))
    if len(every) > 3:  # of many only the number is told
        text = N_("{remedy}; until then {count} settings are as on {moment}")
        remedy = L_(text, remedy=place.mend, count=len(every), moment=before.since)
    else:
        remedy = L_n(
            "{remedy}; until then {names} is as on {moment}",
            "{remedy}; until then {names} are as on {moment}",
            len(every),
            remedy=place.mend,
            names=each_of(every),
            moment=before.since,
        )
    return msgspec.structs.replace(place, problem=place.problem.but(remedy=remedy))


def _words(name: Key) -> str:
    """Return the name of what stands in: "mood.high", or a block of a list, habits "walk"."""
    return f"{name[0]} {quoted(str(name[1]))}" if name[0] in LISTS and len(name) > 1 else key_text(name)
