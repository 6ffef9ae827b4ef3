"""What changed between two states of a page, as a person reads it: by its values, not by its lines.

Tasks, appointments and other lists of tables are matched by identity, so a task that was moved up is no other task. A
text that differs in comments, order or layout only says just that.
"""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import msgspec

from journal.errors import WriteError
from journal.folder import difference_words
from journal.folder.difference_words import HIDDEN, LINES, ORDERS, TABLES, NameOf
from journal.folder.faults import Key, key_text
from journal.folder.identity import TomlTable, identities, is_same, matched
from journal.folder.page_versions import Base
from journal.language.catalogue import _, _n
from journal.wording import numbers

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
        return [PageChange(_("page removed"))]
    try:
        old, new = (Base(key, f"{key}.toml", data).values for data in (before, after))
    except WriteError:
        return [_of_lines(before or b"", after)]
    return list(_Comparison(name_of).tables((), old, new)) or [PageChange(_("comments or layout only"))]


def place(path: Key, pages: Sequence[TomlTable], name_of: NameOf = str) -> str:
    """Return the name of a place in a page, e.g. of a clash. `pages` are the values of the versions that may have it.

    >>> page = {"tasks": [{"title": "Fold", "id": "t7k2"}]}
    >>> place(("tasks", "t7k2", "status"), [page]), place(("notes", 0), [page]), place(("habits", "walk"), [page])
    ('task "Fold": status', 'note 1', 'walk')
    """
    first, *rest = path or ("page",)
    if first in LINES and rest and isinstance(rest[0], int):
        return f"{difference_words.line_noun(str(first))} {rest[0] + 1}"
    if not rest or not any(_is_tables(page.get(str(first))) for page in pages):
        return difference_words.label(tuple(map(str, path)), name_of) if path else _("the whole page")
    tables = [(name, table) for page in pages for name, table in _identified(str(first), page.get(str(first)))]
    title = next((difference_words.title(table) for name, table in tables if name == rest[0]), str(rest[0]))
    noun = difference_words.table_noun(str(first))
    if not rest[1:]:
        return _('{noun} "{title}"', noun=noun, title=title)
    key = ".".join(difference_words.key_word(part) for part in rest[1:])
    return _('{noun} "{title}": {key}', noun=noun, title=title, key=key)


def shown(path: Key, value: Any) -> str:
    """Return a value at a place in words.

    >>> shown(("habits", "walk"), False), shown(("mood",), 4), shown(("memory",), None)
    ('not done', '4', 'nothing')
    """
    return difference_words.text(tuple(map(str, path)) or ("page",), value) or _("nothing")


def _identified(name: str, tables: Any) -> list[tuple[str, TomlTable]]:
    return list(zip(identities(name, tables), tables, strict=True)) if _is_tables(tables) else []


def _of_lines(before: bytes, after: bytes) -> PageChange:
    """The change of a text of which at least one state is no valid TOML."""
    old, new = before.splitlines(), after.splitlines()
    came = went = 0
    for kind, i1, i2, j1, j2 in difflib.SequenceMatcher(None, old, new).get_opcodes():
        came, went = (came, went) if kind == "equal" else (came + j2 - j1, went + i2 - i1)
    return PageChange(
        _n(
            "{count} line added and {removed} removed, in a text that cannot be read",
            "{count} lines added and {removed} removed, in a text that cannot be read",
            came,
            removed=numbers.number(went),
        )
    )


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
            yield PageChange(_("a friend may read the memory") if after is True else _("the memory is yours alone"))
        elif at == ("asked",):
            no, yes = _("no evening has asked for the habits"), _("an evening has asked for the habits")
            yield PageChange(no if after is False else yes)
        elif len(at) == 1 and at[0] in LINES and all(map(_is_lines, present)):
            yield from _lines(at[0], before or [], after or [])
        elif len(at) == 1 and at[0] in TABLES and all(map(_is_tables, present)):
            yield from self._lists(at[0], before or [], after or [])
        elif all(isinstance(value, Mapping) for value in present):
            changes = list(self.tables(at, before or {}, after or {}))
            yield from changes or [_empty(at, is_new=before is None)]
        else:
            old, new = (difference_words.text(at, value) for value in (before, after))
            is_own = at in (("memory",), ("place",), *((name,) for name in LINES))
            yield _value(difference_words.label(at, self._name_of), old, new, _is_number(present[0]), is_own)

    def _lists(self, name: str, old: Sequence[TomlTable], new: Sequence[TomlTable]) -> Iterator[PageChange]:
        partners, noun = matched(name, old, new), difference_words.table_noun(name)
        for j, table in enumerate(new):
            if j in partners:
                yield from self._table(noun, old[partners[j]], table)
            else:
                yield _value(noun, None, difference_words.whole(table), False, True)
        for i, table in enumerate(old):
            if i not in partners.values():
                yield _value(noun, difference_words.whole(table), None, False, True)
        order = list(partners.values())
        if order != sorted(order):
            yield PageChange(_(ORDERS[name]))

    def _table(self, noun: str, old: TomlTable, new: TomlTable) -> Iterator[PageChange]:
        """The changes of a table that stayed, each after its title."""
        title = difference_words.title(new)
        for name in dict.fromkeys([*new, *old]):
            values = [table.get(name, "open" if name == "status" else None) for table in (old, new)]
            if is_same(*values) or name in HIDDEN:
                continue
            before, after = (difference_words.text((str(name),), value) for value in values)
            is_number = any(map(_is_number, values))
            if name in ("title", "name"):
                yield _value(noun, before, after, is_number, True)
            elif name in ("status", "answer"):
                yield _value(title, before, after, is_number, False)
            else:
                word = difference_words.key_word(name)
                yield _prefixed(f"{title}: ", _value(word, before, after, is_number, name == "habit"))
        if any(not is_same(old.get(name), new.get(name)) for name in HIDDEN):
            yield PageChange(_("{title}: first day or id noted", title=title))


def _prefixed(prefix: str, change: PageChange) -> PageChange:
    return PageChange(*(prefix + text if text else "" for text in (change.words, change.added, change.removed)))


def _empty(at: tuple[str, ...], *, is_new: bool) -> PageChange:
    key = key_text(at)
    return PageChange(_("{key} added, empty", key=key) if is_new else _("{key} removed, empty", key=key))


def _lines(name: str, old: Sequence[str], new: Sequence[str]) -> Iterator[PageChange]:
    came, went = Counter(new) - Counter(old), Counter(old) - Counter(new)
    noun = difference_words.line_noun(name)
    for line in came.elements():
        yield _value(noun, None, line, False, True)
    for line in went.elements():
        yield _value(noun, line, None, False, True)
    if not came and not went and list(old) != list(new):
        yield PageChange(_(ORDERS[name]))


def _value(label: str, before: str | None, after: str | None, is_number: bool, is_noun: bool) -> PageChange:
    """The change of one value. Of long texts, only the new one is shown.

    `is_noun` says that the label is what was added ("note added: ..."), not the name of a value ("sky: fair").
    """
    space = " " if is_number else ": "
    added, removed = ("" if text is None else f"{label}{space}{text}" for text in (after, before))
    words = {"label": label, "before": before, "after": after}
    if before is None:
        return PageChange(_("{label} added: {after}", **words) if is_noun and not is_number else added, added)
    if after is None:
        return PageChange(_("{label} removed: {before}", **words), "", removed)
    if max(len(before), len(after)) > _LONGEST:
        return PageChange(_("{label} changed: {after}", **words), added, removed)
    change = _("{label} {before} to {after}", **words) if is_number else _("{label}: {before} to {after}", **words)
    return PageChange(change, added, removed)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_lines(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(line, str) for line in value)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(table, Mapping) for table in value)
