"""Line and column of keys and values in a TOML text. Used only when a problem needs a position.

The text has been parsed already. The positions come from the outline that edits use (`toml_spans`), which covers every
notation that the parser takes, TOML 1.1 included.
"""

from __future__ import annotations

from bisect import bisect_right

from journal.folder import toml_spans
from journal.folder.faults import Key
from journal.folder.toml_spans import Pair, TomlValue

Position = tuple[int, int]
"""Line and column, in characters, both from 1."""


class Places:
    """The positions of a text's keys and values."""

    def __init__(self, text: str) -> None:
        self._starts = [0]  # of each line, in the text
        for line in text.split("\n")[:-1]:
            self._starts.append(self._starts[-1] + len(line) + 1)
        self._keys: dict[Key, int] = {}
        self._values: dict[Key, int] = {}
        for section in toml_spans.outline(text).sections:
            start = section.header.start
            for i in range(1, len(section.at)):  # for a table or a list that has no header of its own
                self._put(section.at[:i], start, start)
            if section.at:
                self._keys[section.at] = self._values[section.at] = start
            for pair in section.pairs:
                self._pair(pair, section.at)

    def key(self, where: Key) -> Position:
        """Return the position of a key, or of the nearest enclosing value; (0, 0) if there is none."""
        return self._place(self._keys[where]) if where in self._keys else self.value(where)

    def value(self, where: Key) -> Position:
        """Return the position of a value, or of the nearest enclosing value; (0, 0) if there is none."""
        while where:
            if where in self._values:
                return self._place(self._values[where])
            where = where[:-1]
        return 0, 0

    def _place(self, at: int) -> Position:
        line = bisect_right(self._starts, at)
        return line, at - self._starts[line - 1] + 1

    def _pair(self, pair: Pair, table: Key) -> None:
        for i in range(1, len(pair.key)):
            self._put((*table, *pair.key[:i]), pair.start, pair.start)
        self._put((*table, *pair.key), pair.start, pair.value.span.start)
        self._within(pair.value, (*table, *pair.key))

    def _within(self, value: TomlValue, path: Key) -> None:
        for i, item in enumerate(value.items):
            self._values[(*path, i)] = item.span.start
            self._within(item, (*path, i))
        for pair in value.pairs:
            self._pair(pair, path)

    def _put(self, path: Key, key: int, value: int) -> None:
        """Record the first position of a key. A later header can name a table again."""
        self._keys.setdefault(path, key)
        self._values.setdefault(path, value)


def places(text: str) -> Places:
    """Return the positions of all keys and values of a TOML text.

    >>> positions = places('mood = 4\\n[[tasks]]\\ntitle = "Cut board"\\n[[tasks]]\\ntags = ["a", "b"]')
    >>> positions.value(("mood",)), positions.value(("tasks", 1, "tags", 1)), positions.key(("tasks", 1, "tags"))
    ((1, 8), (5, 14), (5, 1))
    """
    return Places(text)
