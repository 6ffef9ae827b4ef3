"""What changed between two states of a page, as a person reads it: by its values, not by its lines.

Tasks, appointments and other lists of tables are matched by identity, so a task that was moved up is no other task. A
text that differs in comments, order or layout only says just that.
"""

from __future__ import annotations

import datetime as dt
import difflib
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import msgspec

from journal.entry import DAY_FIELDS
from journal.errors import WriteError
from journal.folder.faults import Key, key_text
from journal.folder.identity import TomlTable, identities, is_same, matched
from journal.folder.page_versions import Base
from journal.wording import numbers

NameOf = Callable[[str], str]
"""The name of a habit by its key."""

_FIELD_LABELS = {field.path: field.label.lower() for field in DAY_FIELDS}
_LINE_NOUNS = {"gratitude": "good thing", "notes": "note", "pictures": "picture"}
_TABLE_NOUNS = {
    "tasks": "task", "appointments": "appointment", "reflection": "answer", "habits": "habit",
    "challenges": "challenge", "places": "place", "categories": "category", "routines": "routine", "rests": "time off",
    "trials": "trial",
}  # fmt: skip
_TITLE_KEYS = ("title", "name", "question", "prompt", "key", "from")
_YES_NO = {"habits": ("done", "not done"), "challenges": ("ticked", "not ticked")}
_MINUTES = ("estimate", "took")
_HIDDEN = ("id", "since")  # kept by Duskbook
_LONGEST = 40  # characters of a text that is shown before and after


class PageChange(msgspec.Struct, frozen=True):
    """One change in words, with the value that came and the one that went, each with its name, empty if there is none.

    >>> between("2025-03-14", b"mood = 3", b"mood = 4")
    [PageChange(words='mood 3 to 4', added='mood 4', removed='mood 3')]
    """

    words: str
    added: str = ""
    removed: str = ""


def between(key: str, before: bytes | None, after: bytes | None, name_of: NameOf = str) -> list[PageChange]:
    """Return the changes from one state of a page to another, None for no page. Empty for the same bytes.

    >>> first = b'notes = ["Ask."]\\n[habits]\\nwalk = false\\n[[tasks]]\\ntitle = "Fold"\\n'
    >>> second = b'notes = ["Ask.", "Tell."]\\n[habits]\\nwalk = true\\n[[tasks]]\\ntitle = "Fold"\\nstatus = "done"\\n'
    >>> [change.words for change in between("2025-03-14", first, second)]
    ['note added: Tell.', 'walk: not done to done', 'Fold: open to done']
    >>> [change.words for change in between("2025-03-14", first, b"# Friday\\n" + first)]
    ['comments or layout only']
    """
    if before == after:
        return []
    if after is None:
        return [PageChange("page removed")]
    try:
        old, new = (Base(key, f"{key}.toml", data).values for data in (before, after))
    except WriteError:
        return [_of_lines(before or b"", after)]
    return list(_Comparison(name_of).tables((), old, new)) or [PageChange("comments or layout only")]


def place(path: Key, pages: Sequence[TomlTable], name_of: NameOf = str) -> str:
    """Return the name of a place in a page, e.g. of a clash. `pages` are the values of the versions that may have it.

    >>> page = {"tasks": [{"title": "Fold", "id": "t7k2"}]}
    >>> place(("tasks", "t7k2", "status"), [page]), place(("notes", 0), [page]), place(("habits", "walk"), [page])
    ('task "Fold": status', 'note 1', 'walk')
    """
    first, *rest = path or ("page",)
    if first in _LINE_NOUNS and rest and isinstance(rest[0], int):
        return f"{_LINE_NOUNS[str(first)]} {rest[0] + 1}"
    if not rest or not any(_is_tables(page.get(str(first))) for page in pages):
        return _Comparison(name_of).label(tuple(map(str, path))) if path else "the whole page"
    tables = [(name, table) for page in pages for name, table in _identified(str(first), page.get(str(first)))]
    title = next((_title(table) for name, table in tables if name == rest[0]), str(rest[0]))
    return f'{_TABLE_NOUNS.get(str(first), first)} "{title}"{": " if rest[1:] else ""}{".".join(map(str, rest[1:]))}'


def shown(path: Key, value: Any) -> str:
    """Return a value at a place in words.

    >>> shown(("habits", "walk"), False), shown(("mood",), 4), shown(("memory",), None)
    ('not done', '4', 'nothing')
    """
    return _text(tuple(map(str, path)) or ("page",), value) or "nothing"


def _identified(name: str, tables: Any) -> list[tuple[str, TomlTable]]:
    return list(zip(identities(name, tables), tables, strict=True)) if _is_tables(tables) else []


def _of_lines(before: bytes, after: bytes) -> PageChange:
    """The change of a text of which at least one state is no valid TOML."""
    old, new = before.splitlines(), after.splitlines()
    came = went = 0
    for kind, i1, i2, j1, j2 in difflib.SequenceMatcher(None, old, new).get_opcodes():
        came, went = (came, went) if kind == "equal" else (came + j2 - j1, went + i2 - i1)
    return PageChange(f"{numbers.plural(came, 'line')} added and {went} removed, in a text that cannot be read")


class _Comparison:
    def __init__(self, name_of: NameOf) -> None:
        self._name_of = name_of

    def tables(self, at: tuple[str, ...], old: TomlTable, new: TomlTable) -> Iterator[PageChange]:
        for name in dict.fromkeys([*new, *old]):
            before, after = old.get(name), new.get(name)
            if not is_same(before, after):
                yield from self._values((*at, str(name)), before, after)

    def _values(self, at: tuple[str, ...], before: Any, after: Any) -> Iterator[PageChange]:
        present = [value for value in (before, after) if value is not None]
        if at == ("share",):
            yield PageChange("a friend may read the memory" if after is True else "the memory is yours alone")
        elif at == ("asked",):
            yield PageChange(f"{'no' if after is False else 'an'} evening has asked for the habits")
        elif len(at) == 1 and at[0] in _LINE_NOUNS and all(map(_is_lines, present)):
            yield from _lines(_LINE_NOUNS[at[0]], before or [], after or [])
        elif len(at) == 1 and at[0] in _TABLE_NOUNS and all(map(_is_tables, present)):
            yield from self._lists(at[0], before or [], after or [])
        elif all(isinstance(value, Mapping) for value in present):
            changes = list(self.tables(at, before or {}, after or {}))
            yield from changes or [PageChange(f"{key_text(at)} {'added' if before is None else 'removed'}, empty")]
        else:
            yield _value(self.label(at), _text(at, before), _text(at, after), _is_number(present[0]))

    def label(self, at: tuple[str, ...]) -> str:
        label = _FIELD_LABELS.get(at, key_text(at))
        match at:
            case ("habits", key):
                label = self._name_of(key)
            case ("captions", name):
                label = f"caption of {name}"
            case ("challenges", key):
                label = f"challenge {key}"
            case ("hours", ("planned" | "actual") as strip, key):
                label = f"{strip} {key}"
            case ("decisions", key):
                label = f"decision on {self._name_of(key)}"
            case ("decision_dates", key, name):
                label = f"decision on {self._name_of(key)}, {name}"
        return label

    def _lists(self, name: str, old: Sequence[TomlTable], new: Sequence[TomlTable]) -> Iterator[PageChange]:
        partners, noun = matched(name, old, new), _TABLE_NOUNS[name]
        for j, table in enumerate(new):
            if j in partners:
                yield from self._table(noun, old[partners[j]], table)
            else:
                yield _value(noun, None, _whole(table), False)
        for i, table in enumerate(old):
            if i not in partners.values():
                yield _value(noun, _whole(table), None, False)
        order = list(partners.values())
        if order != sorted(order):
            yield PageChange(f"{noun}s in another order" if noun != "time off" else "time off in another order")

    def _table(self, noun: str, old: TomlTable, new: TomlTable) -> Iterator[PageChange]:
        """The changes of a table that stayed, each after its title."""
        title = _title(new)
        for name in dict.fromkeys([*new, *old]):
            values = [table.get(name, "open" if name == "status" else None) for table in (old, new)]
            if is_same(*values) or name in _HIDDEN:
                continue
            before, after = (_text((str(name),), value) for value in values)
            is_number = any(map(_is_number, values))
            if name in ("title", "name"):
                yield _value(noun, before, after, is_number)
            elif name in ("status", "answer"):
                yield _value(title, before, after, is_number)
            else:
                yield _prefixed(f"{title}: ", _value(str(name), before, after, is_number))
        if any(not is_same(old.get(name), new.get(name)) for name in _HIDDEN):
            yield PageChange(f"{title}: first day or id noted")


def _prefixed(prefix: str, change: PageChange) -> PageChange:
    return PageChange(*(prefix + text if text else "" for text in (change.words, change.added, change.removed)))


def _lines(noun: str, old: Sequence[str], new: Sequence[str]) -> Iterator[PageChange]:
    came, went = Counter(new) - Counter(old), Counter(old) - Counter(new)
    for line in came.elements():
        yield _value(noun, None, line, False)
    for line in went.elements():
        yield _value(noun, line, None, False)
    if not came and not went and list(old) != list(new):
        yield PageChange(f"{noun}s in another order")


def _value(label: str, before: str | None, after: str | None, is_number: bool) -> PageChange:
    """The change of one value. Of long texts, only the new one is shown."""
    space = " " if is_number else ": "
    added, removed = ("" if text is None else f"{label}{space}{text}" for text in (after, before))
    if before is None:
        return PageChange(added if is_number or label not in _ADDED else f"{label} added: {after}", added)
    if after is None:
        return PageChange(f"{label} removed: {before}", "", removed)
    if max(len(before), len(after)) > _LONGEST:
        return PageChange(f"{label} changed: {after}", added, removed)
    return PageChange(f"{label}{space}{before} to {after}", added, removed)


_ADDED = {*_LINE_NOUNS.values(), *_TABLE_NOUNS.values(), "memory"}


def _text(at: tuple[str, ...], value: Any) -> str | None:
    match value:
        case None:
            return None
        case bool():
            text = _YES_NO.get(at[0], ("yes", "no"))[0 if value else 1]
        case int() | float():
            text = numbers.plural(value, "minute") if at[-1] in _MINUTES else numbers.number(value, 2)
        case list():
            text = ", ".join(filter(None, (_text(at, part) for part in value))) or "nothing"
        case Mapping():
            text = _whole(value)
        case _:
            text = value.isoformat() if isinstance(value, dt.date | dt.time) else str(value)
    return text


def _whole(table: TomlTable) -> str:
    """A table that came or went: its title, with its other values in brackets."""
    title = _title(table)
    rest = [
        f"{name} {_text((str(name),), value)}" if name not in ("status", "answer") else str(_text((str(name),), value))
        for name, value in table.items()
        if name not in _HIDDEN and value not in (title, "open", "")
    ]
    return f"{title} ({', '.join(rest)})" if rest else title


def _title(table: TomlTable) -> str:
    return next((str(table[name]) for name in _TITLE_KEYS if table.get(name)), "untitled")


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_lines(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(line, str) for line in value)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(table, Mapping) for table in value)
