"""What a page is to say when it has changed since it was read: a merge of three by key, and where it cannot be one.

*base* is what was read, *theirs* what is on disk now, *mine* what is to be written. What one side alone changed is
taken from it; what both changed to the same is taken once. Tasks, appointments and answers are told apart by who they
are, not where they stand. Lines (gratitude, notes) go by position: what both added is kept, theirs first; where one
side only took lines out, they go from the other's too. All else that both changed is a clash, and is not decided here.
So is a memory that one side changed and the other marked to be shared: it was marked for other words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any, Literal

import msgspec

from journal.errors import UsageError
from journal.folder import toml_format
from journal.folder.faults import Key, key_text
from journal.folder.identity import TomlTable, identities, is_same, is_torn, matched

Which = Literal["mine", "theirs", "both"]

Changes = Mapping[tuple[str, ...], Any]
"""What is to become of a page: by key path, a value or REMOVE."""

REMOVE = None
"""The value that takes a key out, and that a missing one has in a clash: TOML has no null."""

_LINES = (("gratitude",), ("notes",))


class Pick(msgspec.Struct, frozen=True):
    """A clash decided: whose value is taken. It holds for the clash that was seen, not for one that came since."""

    path: Key
    theirs: Any
    which: Which


class Clash(msgspec.Struct, frozen=True):
    """One key that both changed, each to something else; None where it is missing. `base` is what both began from.

    In the path a task, appointment or answer goes by its identity. The empty path is the page itself, deleted
    meanwhile: `theirs` is None then.
    """

    path: Key
    base: Any
    theirs: Any
    mine: Any

    @property
    def where(self) -> str:
        return key_text(self.path)

    def pick(self, which: Which) -> Pick:
        """Decide it: "mine", "theirs" or, where both are text, "both", one below the other."""
        return Pick(self.path, self.theirs, which)


def changed(base: TomlTable, changes: Changes) -> dict[str, Any]:
    """The values of a page with changes made: by key path, a value or REMOVE.

    The second name of a path into tasks, appointments or reflection is the identity that one of them has in `base`
    (`matching.identities`), or any new name for one to be added.

    >>> base = {"mood": 3, "tasks": [{"title": "Fold"}, {"title": "Sew"}]}
    >>> changed(base, {("mood",): REMOVE, ("habits", "walk"): True, ("tasks", "Sew", "status"): "done"})
    {'tasks': [{'title': 'Fold'}, {'title': 'Sew', 'status': 'done'}], 'habits': {'walk': True}}

    Raises UsageError for a path that leads through a value that is no table.
    """
    found = dict(base)
    lists = {name: _Named(name, base.get(name)) for name in toml_format.LISTS}
    for path, value in changes.items():
        name = str(path[0]) if path else ""
        if name in lists and len(path) == 1:
            lists[name] = _Named(name, value)
        elif name in lists:
            lists[name].set(path, value)
        else:
            found = _set(found, path, value, path)
    for name in dict.fromkeys(str(path[0]) for path in changes):
        if name in lists:
            found = _set(found, (name,), lists[name].value, (name,))
    return found


class _Named:
    """A list of tables, each under the identity that it had at first; or what a page has in place of one."""

    def __init__(self, name: str, value: Any) -> None:
        self.name, self.whole = name, value
        is_list = isinstance(value, list) and all(isinstance(table, Mapping) for table in value)
        self.tables = list(zip(identities(name, value), value, strict=True)) if is_list else []

    @property
    def value(self) -> Any:
        return [table for _, table in self.tables] if self.tables or isinstance(self.whole, list) else self.whole

    def set(self, path: Key, value: Any) -> None:
        own = str(path[1])
        at = next((i for i, (called, _) in enumerate(self.tables) if called == own), None)
        if len(path) == 2 and value is REMOVE:
            self.tables = [named for named in self.tables if named[0] != own]
        elif len(path) == 2 and at is None:
            self.tables.append((own, value))
        elif at is None:
            raise UsageError(f'there is no "{own}" in {self.name}; name one by its id, or by its title and day')
        else:
            old = self.tables[at][1]
            self.tables[at] = (own, value if len(path) == 2 else _set(old, path[2:], value, path))


def _set(table: Any, path: Key, value: Any, whole: Key) -> dict[str, Any]:
    if not path or not isinstance(table, Mapping):
        raise UsageError(f'"{key_text(whole)}" is no key of a page; name a key within a table')
    found = dict(table)
    if len(path) > 1:
        if value is REMOVE and path[0] not in found:
            return found
        found[str(path[0])] = _set(found.get(str(path[0]), {}), path[1:], value, whole)
    elif value is REMOVE:
        found.pop(str(path[0]), None)
    else:
        found[str(path[0])] = value
    return found


def merged(
    base: TomlTable, theirs: TomlTable, mine: TomlTable, picks: Iterable[Pick] = ()
) -> tuple[dict[str, Any], list[Clash]]:
    """The values that keep what both changed, and the clashes that no pick decides (theirs stands there meanwhile).

    >>> base = {"mood": 3, "notes": ["Ask."]}
    >>> merged(base, base | {"notes": ["Ask.", "Tell."]}, base | {"mood": 4})
    ({'mood': 4, 'notes': ['Ask.', 'Tell.']}, [])
    >>> merged(base, base | {"mood": 2}, base | {"mood": 4})[1]
    [Clash(path=('mood',), base=3, theirs=2, mine=4)]
    """
    merge = _Merge(picks)
    return merge.tables((), base, theirs, mine), merge.clashes


class _Merge:
    def __init__(self, picks: Iterable[Pick]) -> None:
        self.picks = {pick.path: pick for pick in picks}
        self.clashes: list[Clash] = []

    def values(self, at: Key, base: Any, theirs: Any, mine: Any) -> Any:
        """The value at a path of all three; None for a missing one."""
        if is_same(base, mine) or is_same(theirs, mine):
            return theirs
        if is_same(base, theirs):
            return mine
        if all(isinstance(value, Mapping) for value in (theirs, mine)):
            return self.tables(at, base if isinstance(base, Mapping) else {}, theirs, mine)
        if len(at) == 1 and at[0] in toml_format.LISTS and (lists := _lists(base, theirs, mine, Mapping)):
            return self.named(str(at[0]), *lists)
        if at in _LINES and (lists := _lists(base, theirs, mine, str)):
            return self.lines(at, *lists)
        return self.clash(at, base, theirs, mine)

    def tables(self, at: Key, base: TomlTable, theirs: TomlTable, mine: TomlTable) -> dict[str, Any]:
        found = {}
        for name in dict.fromkeys([*theirs, *mine]):
            three = base.get(name), theirs.get(name), mine.get(name)
            torn = (*at, name) == ("share",) and is_torn(base, theirs, mine)
            value = self.clash(("share",), *three) if torn else self.values((*at, name), *three)
            if value is not None:
                found[name] = value
        return found

    def clash(self, at: Key, base: Any, theirs: Any, mine: Any) -> Any:
        pick = self.picks.get(at)
        if pick is None or not is_same(pick.theirs, theirs):
            self.clashes.append(Clash(at, base, theirs, mine))
            return theirs
        if pick.which == "both" and isinstance(theirs, str) and isinstance(mine, str):
            return f"{theirs}\n{mine}"
        if pick.which == "both":
            raise UsageError(f'"{key_text(at)}" cannot be both, being no text; pick "mine" or "theirs"')
        return mine if pick.which == "mine" else theirs

    def lines(self, at: Key, base: list[str], theirs: list[str], mine: list[str]) -> Any:
        gone_there, gone_here = _gone(base, theirs), _gone(base, mine)
        if gone_there and gone_here:
            return _without(theirs, list((Counter(gone_here) - Counter(gone_there)).elements()))
        left = _without(theirs, gone_here) if gone_here else _without(mine, gone_there) if gone_there else None
        if left is not None:
            return left
        if min(len(theirs), len(mine)) < len(base):
            return self.clash(at, base, theirs, mine)
        kept = [self.values((*at, i), *three) for i, three in enumerate(zip(base, theirs, mine, strict=False))]
        added = theirs[len(base) :]
        return [*kept, *added, *(line for line in mine[len(base) :] if line not in added)]

    def named(
        self, name: str, base: list[TomlTable], theirs: list[TomlTable], mine: list[TomlTable]
    ) -> list[TomlTable]:
        """The list of theirs, with what I changed in it, took out of it and added to it, in the order of mine."""
        of_theirs, of_mine = _inverse(matched(name, base, theirs)), _inverse(matched(name, base, mine))
        new_theirs = [j for j in range(len(theirs)) if j not in of_theirs.values()]
        new_mine = [j for j in range(len(mine)) if j not in of_mine.values()]
        both_new = matched(name, [theirs[j] for j in new_theirs], [mine[j] for j in new_mine])
        twins = {new_theirs[i]: new_mine[j] for j, i in both_new.items()}
        called = identities(name, [*base, *theirs, *mine])

        found: dict[int, TomlTable | None] = {}  # what becomes of each of theirs
        back: dict[int, TomlTable] = {}  # of mine, what is to be put in
        for i, was in enumerate(base):
            there, here = of_theirs.get(i), of_mine.get(i)
            now = theirs[there] if there is not None else None
            want = mine[here] if here is not None else None
            value = self.values((name, called[i]), was, now, want)
            if there is not None:
                found[there] = value
            elif here is not None and value is not None:
                back[here] = value
        for j in new_theirs:
            twin = mine[twins[j]] if j in twins else None
            own = called[len(base) + j]
            found[j] = theirs[j] if twin is None else self.values((name, own), {}, theirs[j], twin)
        back |= {j: mine[j] for j in new_mine if j not in twins.values()}
        same = {of_mine[i]: of_theirs[i] for i in of_mine if i in of_theirs} | {j: i for i, j in twins.items()}
        return _in_order(found, back, same, len(mine), _is_moved(of_mine))


def _in_order(
    found: dict[int, TomlTable | None], back: dict[int, TomlTable], same: dict[int, int], count: int, moved: bool
) -> list[TomlTable]:
    """Theirs in their order, or in mine where I moved some; each addition of mine behind what it stands behind there.

    `same` has the position in theirs for one in mine; `count` is how many mine are.
    """
    order = [j for j in sorted(found) if found[j] is not None]
    shared = [same[k] for k in range(count) if k in same and found.get(same[k]) is not None]
    if moved:
        places = iter(shared)
        order = [next(places) if j in shared else j for j in order]
    result: list[tuple[str, int]] = [("theirs", j) for j in order]

    def place(j: int) -> int:
        """Behind the nearest before it and what they have added there, else before the nearest after it."""
        mine = [("theirs", same[k]) if k in same else ("mine", k) for k in range(count)]
        for one in reversed(mine[:j]):
            if one in result:
                at = result.index(one) + 1
                while at < len(result) and result[at] not in mine:
                    at += 1
                return at
        return next((result.index(one) for one in mine[j + 1 :] if one in result), len(result))

    for j in sorted(back):
        result.insert(place(j), ("mine", j))
    return [back[j] if whose == "mine" else found[j] or {} for whose, j in result]


def _is_moved(of_mine: dict[int, int]) -> bool:
    order = [of_mine[i] for i in sorted(of_mine)]
    return order != sorted(order)


def _inverse(partner: dict[int, int]) -> dict[int, int]:
    return {i: j for j, i in partner.items()}


def _lists(base: Any, theirs: Any, mine: Any, of: type[Any]) -> tuple[list[Any], list[Any], list[Any]] | None:
    """The three as lists of one kind, a missing one as an empty list; None where one is something else."""
    lists = [[] if value is None else value for value in (base, theirs, mine)]
    if all(isinstance(value, list) and all(isinstance(part, of) for part in value) for value in lists):
        return lists[0], lists[1], lists[2]
    return None


def _gone(base: list[str], one: list[str]) -> list[str]:
    """The lines that one side took out, where that is all it did."""
    rest, gone = list(one), []
    for was in base:
        if rest and rest[0] == was:
            del rest[0]
        else:
            gone.append(was)
    return [] if rest else gone


def _without(lines: list[str], gone: list[str]) -> list[str] | None:
    """Lines without some of them, the first of each; None where one is not there."""
    left = list(lines)
    for line in gone:
        if line not in left:
            return None
        left.remove(line)
    return left
