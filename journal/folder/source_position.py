"""Line and column of keys and values in a TOML text. Used only when a problem needs a position.

The text has been parsed already. tree-sitter parses it again into a syntax tree with positions. Its grammar does not
know TOML 1.1. Such notation gets the position of the nearest enclosing table.
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
    """The positions of a file's keys and values, as rows and byte columns from 0, and its lines."""

    lines: list[bytes]
    keys: dict[Key, Point]
    values: dict[Key, Point]

    def key(self, where: Key) -> Position:
        """Return the position of a key, or of the nearest enclosing value; (0, 0) if there is none."""
        return self._place(self.keys[where]) if where in self.keys else self.value(where)

    def value(self, where: Key) -> Position:
        """Return the position of a value, or of the nearest enclosing value; (0, 0) if there is none."""
        while where:
            if where in self.values:
                return self._place(self.values[where])
            where = where[:-1]
        return 0, 0

    def _place(self, point: Point) -> Position:
        return point.row + 1, len(self.lines[point.row][: point.column].decode("utf-8", "replace")) + 1


def places(text: str) -> Places:
    """Return the positions of all keys and values of a TOML text.

    >>> positions = places('mood = 4\\n[[tasks]]\\ntitle = "Cut board"\\n[[tasks]]\\ntags = ["a", "b"]')
    >>> positions.value(("mood",)), positions.value(("tasks", 1, "tags", 1)), positions.key(("tasks", 1, "tags"))
    ((1, 8), (5, 14), (5, 1))
    """
    return _PositionScan(text).read()


class _PositionScan:
    """One pass over the syntax tree. It counts the tables of each list so far."""

    def __init__(self, text: str) -> None:
        self.source = text.encode()
        self.positions = Places(self.source.split(b"\n"), {}, {})
        self.tables: dict[Key, int] = {}  # by list, its number of tables so far

    def read(self) -> Places:
        for node in Parser(_LANGUAGE).parse(self.source).root_node.named_children:
            if node.type == "pair":
                self._pair(node, ())
            elif node.type in ("table", "table_array_element"):
                self._table(node)
        return self.positions

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
        self.positions.keys[table] = self.positions.values[table] = place
        for pair in body:
            if pair.type == "pair":
                self._pair(pair, table)

    def _in_last_of(self, path: Key) -> Key:
        """Return the path that a header means: into the last table of a list."""
        return (*path, self.tables[path] - 1) if path in self.tables else path

    def _pair(self, node: Node, table: Key) -> None:
        """Record the positions of a key, its value, and everything within the value, without recursion."""
        pending: list[tuple[Node, Key]] = [(node, table)]
        while pending:
            node, path = pending.pop()
            if node.type != "pair":
                self.positions.values[path] = node.start_point
                pending += self._within(node, path)
                continue
            parts = [child for child in node.named_children if child.type != "comment"]
            if len(parts) != 2 or parts[0].type not in _KEYS:
                continue
            key = self._names(parts[0])
            for i in range(1, len(key) + 1):
                self._put((*path, *key[:i]), parts[0].start_point, parts[0].start_point)
            self.positions.values[(*path, *key)] = parts[1].start_point
            pending += self._within(parts[1], (*path, *key))

    def _within(self, node: Node, path: Key) -> Iterator[tuple[Node, Key]]:
        inner = [child for child in node.named_children if child.type != "comment"]
        if node.type == "array":
            yield from ((child, (*path, i)) for i, child in enumerate(inner))
        elif node.type == "inline_table":
            yield from ((child, path) for child in inner if child.type == "pair")

    def _names(self, node: Node) -> Key:
        """Return the names of a key. The tree nests them to the left."""
        names: list[str] = []
        pending = [node]
        while pending:
            node = pending.pop()
            if node.type == "dotted_key":
                pending += [child for child in node.named_children if child.type in _KEYS]
            else:
                names.append(_name(node))
        return tuple(reversed(names))

    def _put(self, path: Key, key: Point, value: Point) -> None:
        """Record the first position of a key. A later header can name a table again."""
        self.positions.keys.setdefault(path, key)
        self.positions.values.setdefault(path, value)


def _name(node: Node) -> str:
    text = (node.text or b"").decode("utf-8", "replace")
    if node.type == "bare_key":
        return text
    try:
        return next(iter(tomllib.loads(f"{text} = 0")))
    except tomllib.TOMLDecodeError:  # an escape of TOML 1.1
        return text
