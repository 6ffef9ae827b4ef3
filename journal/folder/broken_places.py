"""The broken places of a journal.toml, and what one means for its table: which table a header meant, and whether a
block of a list, such as a habit, can stand without a line.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import Any

import msgspec
from msgspec import inspect

from journal.errors import Problem
from journal.folder.faults import Key, nearest
from journal.language.catalogue import N_
from journal.language.lazy_text import L_, Phrase
from journal.settings import Settings


class BrokenPlace(msgspec.Struct, frozen=True):
    """Lines of journal.toml that do not apply: the first and the last, from 1, both included, and their text.

    `where` is their key as far as it can be told, empty if it cannot. `problem` says what is wrong and how to mend it.
    `mend` is only how to mend it, without what is left out until then.
    """

    first: int
    last: int
    text: str
    problem: Problem
    where: Key = ()
    mend: Phrase = ""


class Recovery(msgspec.Struct, frozen=True):
    """What applies of a broken text: the text with empty rows in place of what does not, and its values.

    `applied` are the statements that apply, each by its first and last row, from 0.
    """

    text: str
    values: dict[str, Any]
    places: tuple[BrokenPlace, ...]
    problems: tuple[Problem, ...]
    applied: frozenset[tuple[int, int]]

    @property
    def loses_blocks(self) -> bool:
        """Return whether whole tables or blocks of lists are left out, or may be: the end of the file may be gone."""
        return "habits" not in self.values or any(map(is_block, self.places))

    def hides(self, block: str) -> bool:
        """Return whether names of a block, e.g. "habits", may stand in lines that do not apply.

        They may also if there is no such block at all: the end of the file may be gone.
        """
        return block not in self.values or any(not place.where or place.where[0] == block for place in self.places)


def is_block(place: BrokenPlace) -> bool:
    """Return whether a whole table or a block of a list is left out with a broken place, as far as it can be told."""
    is_of_list = len(place.where) == 1 and place.where[0] in LISTS
    return not place.where or is_of_list or place.text.lstrip().startswith("[")


_NAME = re.compile(r"[A-Za-z0-9_-]+|\"[^\"]*\"|'[^']*'")

COUNTING = (
    "until", "every", "times", "per", "target", "aim", "habits",
    "outcome", "lag", "block", "washout", "plan", "looked", "stopped", "interrupted",
)  # fmt: skip
"""Optional keys of a block that say when or what it counts. Without one, other days or other marks would count."""


def _lists() -> dict[str, tuple[msgspec.structs.FieldInfo, ...]]:
    """Return the lists of tables of journal.toml, each with the fields of its tables."""
    lists = {}
    for field in msgspec.structs.fields(Settings):
        type_ = inspect.type_info(field.type)
        if isinstance(type_, inspect.VarTupleType) and isinstance(type_.item_type, inspect.StructType):
            lists[field.encode_name] = msgspec.structs.fields(type_.item_type.cls)
    return lists


LISTS = _lists()


def header_names(line: str) -> tuple[str, ...]:
    """Return the names of a header's line, also of a broken one.

    >>> header_names("[hours.usual]  # every day"), header_names("[[habits]")
    (('hours', 'usual'), ('habits',))
    """
    return tuple(name.strip("\"'") for name in _NAME.findall(line.partition("#")[0]))


def meant(line: str) -> tuple[str, ...]:
    """Return the table of journal.toml that a broken header most likely meant, or () if none is near.

    >>> meant("[[habit"), meant("[]")
    (('habits',), ())
    """
    names = header_names(line)
    name = nearest(names[0], [field.encode_name for field in msgspec.structs.fields(Settings)]) if names else None
    return (name,) if name else ()


def as_header(line: str) -> str:
    """Return the header that a line without an opening bracket should be, or "" if it has one, or no name is near.

    >>> as_header("habits]]"), as_header("day]"), as_header("[day")
    ('[[habits]]', '[day]', '')
    """
    names = meant(line) if not line.lstrip().startswith("[") else ()
    return "".join(f"[[{name}]]" if name in LISTS else f"[{name}]" for name in names)


def falls(block: str, key: str, others: Collection[str]) -> bool:
    """Return whether a block falls with one broken line. `key` is the line's key, `others` the keys of its other lines.

    >>> falls("habits", "until", ["key", "from"]), falls("habits", "unit", ["key", "from"])
    (True, False)
    """
    fields = LISTS[block]
    name = nearest(key, [field.encode_name for field in fields])
    is_needed = any(field.encode_name == name and (field.required or name in COUNTING) for field in fields)
    return is_needed and name not in others


def left_out(mend: Phrase, first: int | None, last: int, block: str) -> Phrase:
    """Return a remedy with what is left out until then: rows from 0 below the line, and the block that it is in.

    >>> print(left_out("close it", 4, 4, ""), left_out("close it", None, 9, "habits"), sep="\\n")
    close it; line 5 is left out until then
    close it; its whole [[habits]] block is left out until then
    """
    remedy = mend
    if first is not None and first == last:
        remedy = L_("{remedy}; line {line} is left out until then", remedy=mend, line=str(last + 1))
    elif first is not None:
        text = N_("{remedy}; lines {first} to {last} are left out until then")
        remedy = L_(text, remedy=mend, first=str(first + 1), last=str(last + 1))
    if not block:
        return remedy
    return L_("{remedy}; its whole [[{name}]] block is left out until then", remedy=remedy, name=block)
