"""A three-way merge of a page's values by key, for a page that has changed since it was read.

*base* is the version read, *theirs* the version on disk now, *mine* the version to be written. A change on one side is
taken. The same change on both sides is taken once. Tables of a list are matched by identity, not position. Lines
(gratitude, notes, pictures) are matched by position: lines that both sides added are kept, theirs first; if one side
only removed lines, they are removed from the other side too. Everything else that both changed is a clash, which the
caller must decide. So is a `memory` that one side changed while the other changed `share`, which was set for another
text.
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
from journal.language.catalogue import N_, _

Which = Literal["mine", "theirs", "both"]

Changes = Mapping[tuple[str, ...], Any]
"""Changes to a page: by key path, a value or REMOVE."""

REMOVE = None
"""The value that removes a key. In a clash it stands for a missing key. TOML has no null."""

_LINES = (("gratitude",), ("notes",), ("pictures",))
_NAMED = (*toml_format.LISTS, *toml_format.SETTINGS_LISTS)  # lists of tables that are matched by identity


class Pick(msgspec.Struct, frozen=True):
    """A decision about a clash: whose value is taken. It applies only while `theirs` is the value that was shown."""

    path: Key
    theirs: Any
    which: Which


class Clash(msgspec.Struct, frozen=True):
    """One key that both sides changed to different values. A missing value is None.

    In `path`, a task, appointment or answer is named by its identity. An empty path is the page itself, which was
    deleted meanwhile: `theirs` is None then. Or it has lost most of its text, and `theirs` is what is left.
    """

    path: Key
    base: Any
    theirs: Any
    mine: Any

    @property
    def where(self) -> str:
        return key_text(self.path)

    def pick(self, which: Which) -> Pick:
        """Decide the clash: "mine", "theirs" or, if both are texts, "both", one below the other."""
        return Pick(self.path, self.theirs, which)


def merged(
    base: TomlTable,
    theirs: TomlTable,
    mine: TomlTable,
    picks: Iterable[Pick] = (),
    kept: Mapping[str, Mapping[int, int]] | None = None,
) -> tuple[dict[str, Any], list[Clash]]:
    """Return the merged values, and the clashes that no pick decides. Undecided keys have the value of theirs.

    `kept` are the rows of mine that were changed in place (`applied_changes.rows_kept`).

    >>> base = {"mood": 3, "notes": ["Ask."]}
    >>> merged(base, base | {"notes": ["Ask.", "Tell."]}, base | {"mood": 4})
    ({'mood': 4, 'notes': ['Ask.', 'Tell.']}, [])
    >>> merged(base, base | {"mood": 2}, base | {"mood": 4})[1]
    [Clash(path=('mood',), base=3, theirs=2, mine=4)]
    """
    merge = _Merge(picks, kept or {})
    return merge.tables((), base, theirs, mine), merge.clashes


class _Merge:
    def __init__(self, picks: Iterable[Pick], kept: Mapping[str, Mapping[int, int]]) -> None:
        self.picks, self.kept = {pick.path: pick for pick in picks}, kept
        self.clashes: list[Clash] = []

    def values(self, at: Key, base: Any, theirs: Any, mine: Any) -> Any:
        """Return the merged value at a path. A missing value is None."""
        if is_same(base, mine) or is_same(theirs, mine):
            return theirs
        if is_same(base, theirs):
            return mine
        if all(isinstance(value, Mapping) for value in (theirs, mine)):
            return self.tables(at, base if isinstance(base, Mapping) else {}, theirs, mine)
        if len(at) == 1 and at[0] in _NAMED and (lists := _lists(base, theirs, mine, Mapping)):
            return self.named(str(at[0]), *lists)
        if at in _LINES and (lists := _lists(base, theirs, mine, str)):
            return self.lines(at, *lists)
        return self.clash(at, base, theirs, mine)

    def tables(self, at: Key, base: TomlTable, theirs: TomlTable, mine: TomlTable) -> dict[str, Any]:
        result = {}
        for name in dict.fromkeys([*theirs, *mine]):
            versions = base.get(name), theirs.get(name), mine.get(name)
            is_torn_share = (*at, name) == ("share",) and is_torn(base, theirs, mine)
            value = self.clash(("share",), *versions) if is_torn_share else self.values((*at, name), *versions)
            if value is not None:
                result[name] = value
        return result

    def clash(self, at: Key, base: Any, theirs: Any, mine: Any) -> Any:
        pick = self.picks.get(at)
        if pick is None or not is_same(pick.theirs, theirs):
            self.clashes.append(Clash(at, base, theirs, mine))
            return theirs
        if pick.which == "both" and isinstance(theirs, str) and isinstance(mine, str):
            return f"{theirs}\n{mine}"
        if pick.which == "both":
            text = N_('"{key}" cannot be both, being no text; pick "mine" or "theirs"')
            raise UsageError(_(text, key=key_text(at)))
        return mine if pick.which == "mine" else theirs

    def lines(self, at: Key, base: list[str], theirs: list[str], mine: list[str]) -> Any:
        removed_there, removed_here = _removed_lines(base, theirs), _removed_lines(base, mine)
        if removed_there and removed_here:
            return _without(theirs, list((Counter(removed_here) - Counter(removed_there)).elements()))
        kept_lines = (
            _without(theirs, removed_here) if removed_here else _without(mine, removed_there) if removed_there else None
        )
        if kept_lines is not None:
            return kept_lines
        if min(len(theirs), len(mine)) < len(base):
            return self.clash(at, base, theirs, mine)
        kept = [self.values((*at, i), *versions) for i, versions in enumerate(zip(base, theirs, mine, strict=False))]
        added = theirs[len(base) :]
        return [*kept, *added, *(line for line in mine[len(base) :] if line not in added)]

    def named(
        self, name: str, base: list[TomlTable], theirs: list[TomlTable], mine: list[TomlTable]
    ) -> list[TomlTable]:
        """Return their list with my changes, removals and additions, in my order."""
        of_theirs, of_mine = _inverse(matched(name, base, theirs)), _inverse(matched(name, base, mine))
        if name in self.kept:  # a row that I add is none that I take away, whatever its title
            of_mine = {i: j for i, j in of_mine.items() if j in self.kept[name]}
        rewordings = {i: j for j, i in self.kept.get(name, {}).items() if i not in of_mine and i not in of_theirs}
        of_mine |= {i: j for i, j in rewordings.items() if j not in of_mine.values()}
        of_theirs |= _reworded_alike(theirs, mine, {i: j for i, j in of_mine.items() if i not in of_theirs}, of_theirs)
        new_theirs = [j for j in range(len(theirs)) if j not in of_theirs.values()]
        new_mine = [j for j in range(len(mine)) if j not in of_mine.values()]
        both_new = matched(name, [theirs[j] for j in new_theirs], [mine[j] for j in new_mine])
        pairs = ((new_theirs[i], new_mine[j]) for j, i in both_new.items())
        # A task that I move here has its id. One of its title without an id was written here meanwhile: it is another.
        my_twins = {i: j for i, j in pairs if "id" in theirs[i] or "id" not in mine[j]}
        texts = identities(name, [*base, *theirs, *mine])

        kept: dict[int, TomlTable | None] = {}  # by position in theirs, the merged table; None removes it
        inserted: dict[int, TomlTable] = {}  # by position in mine, the table to insert
        for i, before in enumerate(base):
            their_j, my_j = of_theirs.get(i), of_mine.get(i)
            their_table = theirs[their_j] if their_j is not None else None
            my_table = mine[my_j] if my_j is not None else None
            value = self.values((name, texts[i]), before, their_table, my_table)
            if their_j is not None:
                kept[their_j] = value
            elif my_j is not None and value is not None:
                inserted[my_j] = value
        for j in new_theirs:
            my_twin = mine[my_twins[j]] if j in my_twins else None
            text = texts[len(base) + j]
            kept[j] = theirs[j] if my_twin is None else self.values((name, text), {}, theirs[j], my_twin)
        inserted |= {j: mine[j] for j in new_mine if j not in my_twins.values()}
        same = {of_mine[i]: of_theirs[i] for i in of_mine if i in of_theirs} | {j: i for i, j in my_twins.items()}
        return _in_order(kept, inserted, same, len(mine), _is_moved(of_mine))


def _reworded_alike(
    theirs: list[TomlTable], mine: list[TomlTable], of_mine: Mapping[int, int], of_theirs: Mapping[int, int]
) -> dict[int, int]:
    """Return the rows of theirs that were reworded as in mine, as after an earlier write of the same save.

    `of_mine` are the rows that theirs seems to have removed, `of_theirs` the others: by position in the base. A row
    that is equal, or has the same id, was changed in the same way, and the change is made once.
    """
    free = {j for j in range(len(theirs)) if j not in of_theirs.values()}
    alike = {}
    for i, j in of_mine.items():
        own_id = mine[j].get("id")
        same = (k for k in sorted(free) if (own_id and theirs[k].get("id") == own_id) or is_same(theirs[k], mine[j]))
        if (k := next(same, None)) is not None:
            alike[i] = k
            free.remove(k)
    return alike


def _in_order(
    kept: dict[int, TomlTable | None], inserted: dict[int, TomlTable], same: dict[int, int], count: int, moved: bool
) -> list[TomlTable]:
    """Return the tables in their order, or in mine if I moved some. My additions follow the table they follow in mine.

    `same` maps a position in mine to the one in theirs. `count` is the length of mine.
    """
    order = [j for j in sorted(kept) if kept[j] is not None]
    shared = [same[k] for k in range(count) if k in same and kept.get(same[k]) is not None]
    if moved:
        positions = iter(shared)
        order = [next(positions) if j in shared else j for j in order]
    result: list[tuple[str, int]] = [("theirs", j) for j in order]

    def place(j: int) -> int:
        """Return the index after the nearest table before it and their additions there, or before the next one."""
        mine = [("theirs", same[k]) if k in same else ("mine", k) for k in range(count)]
        for neighbour in reversed(mine[:j]):
            if neighbour in result:
                index = result.index(neighbour) + 1
                while index < len(result) and result[index] not in mine:
                    index += 1
                return index
        return next((result.index(neighbour) for neighbour in mine[j + 1 :] if neighbour in result), len(result))

    for j in sorted(inserted):
        result.insert(place(j), ("mine", j))
    return [inserted[j] if whose == "mine" else kept[j] or {} for whose, j in result]


def _is_moved(of_mine: dict[int, int]) -> bool:
    order = [of_mine[i] for i in sorted(of_mine)]
    return order != sorted(order)


def _inverse(partner: dict[int, int]) -> dict[int, int]:
    return {i: j for j, i in partner.items()}


def _lists(base: Any, theirs: Any, mine: Any, item_type: type[Any]) -> tuple[list[Any], list[Any], list[Any]] | None:
    """Return the three values as lists of one type, a missing one as an empty list, or None if one has another type."""
    lists = [[] if value is None else value for value in (base, theirs, mine)]
    if all(isinstance(value, list) and all(isinstance(part, item_type) for part in value) for value in lists):
        return lists[0], lists[1], lists[2]
    return None


def _removed_lines(base: list[str], lines: list[str]) -> list[str]:
    """Return the lines that a side removed, if it changed nothing else."""
    remaining, removed = list(lines), []
    for line in base:
        if remaining and remaining[0] == line:
            del remaining[0]
        else:
            removed.append(line)
    return [] if remaining else removed


def _without(lines: list[str], removed: list[str]) -> list[str] | None:
    """Return the lines without some of them, the first occurrence of each, or None if one is missing."""
    remaining = list(lines)
    for line in removed:
        if line not in remaining:
            return None
        remaining.remove(line)
    return remaining
