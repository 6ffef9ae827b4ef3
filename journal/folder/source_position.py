"""Where in the text of a file a key and its value stand. Only asked for when a problem needs a place.

The text has been read already; tree-sitter reads it again into a syntax tree with positions. Where its grammar does not
know a notation (TOML 1.1), the place is that of the nearest table around.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator

import msgspec
import tree_sitter_toml
from tree_sitter import Language, Node, Parser, Point

from journal.folder.faults import Key

Position = tuple[int, int]
"""Line and column, in characters, both from 1."""

_LANGUAGE = Language(tree_sitter_toml.language())
_KEYS = ("bare_key", "quoted_key", "dotted_key")


class Places(msgspec.Struct):
    """The places of the keys and values of a file, as rows and bytes from 0, and its lines."""

    lines: list[bytes]
    keys: dict[Key, Point]
    values: dict[Key, Point]

    def key(self, where: Key) -> Position:
        """Where a key stands, or what is nearest around it; (0, 0) where nothing is."""
        return self._place(self.keys[where]) if where in self.keys else self.value(where)

    def value(self, where: Key) -> Position:
        """Where a value stands, or what is nearest around it; (0, 0) where nothing is."""
        while where:
            if where in self.values:
                return self._place(self.values[where])
            where = where[:-1]
        return 0, 0

    def _place(self, point: Point) -> Position:
        return point.row + 1, len(self.lines[point.row][: point.column].decode("utf-8", "replace")) + 1


def places(text: str) -> Places:
    """The places of all keys and values of a TOML text.

    >>> found = places('mood = 4\\n[[tasks]]\\ntitle = "Cut board"\\n[[tasks]]\\ntags = ["a", "b"]')
    >>> found.value(("mood",)), found.value(("tasks", 1, "tags", 1)), found.key(("tasks", 1, "tags"))
    ((1, 8), (5, 14), (5, 1))
    """
    return _Reading(text).read()


class _Reading:
    """One pass over the syntax tree, with the number of each list's tables so far."""

    def __init__(self, text: str) -> None:
        self.source = text.encode()
        self.found = Places(self.source.split(b"\n"), {}, {})
        self.tables: dict[Key, int] = {}  # a list of tables: how many it has so far

    def read(self) -> Places:
        for node in Parser(_LANGUAGE).parse(self.source).root_node.named_children:
            if node.type == "pair":
                self._pair(node, ())
            elif node.type in ("table", "table_array_element"):
                self._table(node)
        return self.found

    def _table(self, node: Node) -> None:
        header, *body = node.named_children
        *names, last = self._names(header)
        place = node.start_point
        table: Key = ()
        for name in names:
            table = self._in_last_of((*table, name))
            self._put(table, place, place)  # for a table that has no header of its own
        table = (*table, last)
        if node.type == "table_array_element":
            self._put(table, place, place)
            number = self.tables.get(table, 0)
            self.tables[table] = number + 1
            table = (*table, number)
        else:
            table = self._in_last_of(table)
        self.found.keys[table] = self.found.values[table] = place
        for pair in body:
            if pair.type == "pair":
                self._pair(pair, table)

    def _in_last_of(self, way: Key) -> Key:
        """The way that a header means: through a list of tables it leads into the last one."""
        return (*way, self.tables[way] - 1) if way in self.tables else way

    def _pair(self, node: Node, table: Key) -> None:
        """A key and its value, and all that is within the value; without recursion, whatever its depth."""
        waiting: list[tuple[Node, Key]] = [(node, table)]
        while waiting:
            node, way = waiting.pop()
            if node.type != "pair":
                self.found.values[way] = node.start_point
                waiting += self._within(node, way)
                continue
            parts = [child for child in node.named_children if child.type != "comment"]
            if len(parts) != 2 or parts[0].type not in _KEYS:
                continue
            key = self._names(parts[0])
            for i in range(1, len(key) + 1):
                self._put((*way, *key[:i]), parts[0].start_point, parts[0].start_point)
            self.found.values[(*way, *key)] = parts[1].start_point
            waiting += self._within(parts[1], (*way, *key))

    def _within(self, node: Node, way: Key) -> Iterator[tuple[Node, Key]]:
        inner = [child for child in node.named_children if child.type != "comment"]
        if node.type == "array":
            yield from ((child, (*way, i)) for i, child in enumerate(inner))
        elif node.type == "inline_table":
            yield from ((child, way) for child in inner if child.type == "pair")

    def _names(self, node: Node) -> Key:
        """The names of a key, which the tree has nested to the left."""
        names: list[str] = []
        waiting = [node]
        while waiting:
            node = waiting.pop()
            if node.type == "dotted_key":
                waiting += [child for child in node.named_children if child.type in _KEYS]
            else:
                names.append(_name(node))
        return tuple(reversed(names))

    def _put(self, way: Key, key: Point, value: Point) -> None:
        """Note the first place of a key; a table may be spoken of again further down."""
        self.found.keys.setdefault(way, key)
        self.found.values.setdefault(way, value)


def _name(node: Node) -> str:
    text = (node.text or b"").decode("utf-8", "replace")
    if node.type == "bare_key":
        return text
    try:
        return next(iter(tomllib.loads(f"{text} = 0")))
    except tomllib.TOMLDecodeError:  # an escape of TOML 1.1
        return text
