"""Random pages as text, in every TOML notation, with comments and blank lines in odd places."""

from __future__ import annotations

import datetime as dt
from typing import Any

from hypothesis import strategies as st

from journal.folder import toml_format, toml_read
from tests.choosing import Chooser

_WORDS = [
    "",
    "Bread.",
    "a # b",
    'say "so"',
    "it's",
    "back\\slash",
    "é 散歩",
    "two\nlines",
    "tab\tbed",
    "[x]",
    "'''",
    "ends'",
]
texts = st.sampled_from(_WORDS) | st.text(st.characters(exclude_categories=["Cs"]), max_size=4)
plain = st.one_of(
    texts,
    st.integers(-3, 40),
    st.booleans(),
    st.floats(allow_nan=True, width=32),
    st.dates(dt.date(2025, 1, 1), dt.date(2025, 12, 31)),
)
keys = st.sampled_from(["walk", "read", "sleep", "a b", "é", "", "2025-03-14", "true", '"', "sky", "x.y"])
tables = st.dictionaries(keys, plain | st.lists(plain, max_size=3), max_size=4)
_TASK = {"title": st.sampled_from(["Fold", "Sew", "Cut"]) | texts, "status": st.sampled_from(["open", "done"])}
_MORE = {
    "rank": st.integers(1, 3),
    "since": st.dates(dt.date(2025, 3, 1), dt.date(2025, 3, 3)),
    "id": st.sampled_from(["a1", "b2", "c3"]),
    "steps": st.dictionaries(keys, plain, max_size=2),
}
tasks = st.lists(st.fixed_dictionaries(_TASK, optional=_MORE), max_size=4)
PAGE: dict[str, st.SearchStrategy[Any]] = {
    "mood": st.integers(1, 5),
    "energy": st.floats(1, 5),
    "gratitude": st.lists(texts, max_size=4),
    "memory": texts,
    "notes": st.lists(texts, max_size=3),
    "place": texts,
    "weather": tables,
    "habits": tables,
    "hours": st.fixed_dictionaries({}, optional={"planned": tables, "actual": tables}),
    "tasks": tasks,
    "appointments": tasks,
    "later": st.one_of(plain, tables, st.lists(st.lists(plain, max_size=2), max_size=2), st.lists(tables, max_size=2)),
}
values = st.fixed_dictionaries({}, optional=PAGE)


@st.composite
def pages(draw: Any) -> tuple[str, dict[str, Any]]:
    """A text with its values."""
    wanted = draw(values)
    choose = Chooser(draw, at_once=256)
    text = _Writer(choose).page(wanted)
    if choose.flip():
        text = text.removesuffix("\n")
    if choose.flip(4):
        text = text.replace("\n", "\r\n")
    return text, toml_read.values("page", text)


class _Writer:
    def __init__(self, choose: Chooser) -> None:
        self.choose, self.flip, self.remarks = choose, choose.flip, 0

    def remark(self) -> str:
        self.remarks += 1
        return f'# remark {self.remarks}, "x" ] }} = \''

    def space(self) -> str:
        """Blank lines and comments."""
        lines = ["", "", self.remark() + "\n", "\n", "  " + self.remark() + "\n", "\n" + self.remark() + "\n\n"]
        return self.choose.one(lines)

    def line(self, text: str) -> str:
        behind = self.choose.one(["", "", "  ", "  " + self.remark()])
        return f"{self.space()}{self.choose.one(['', '', '  '])}{text}{behind}\n"

    def pair(self, key: str, value: Any) -> str:
        equals = self.choose.one([" = ", "=", "  =\t"])
        return self.line(key + equals + self.value(value))

    def value(self, value: Any, own_lines: bool = True) -> str:
        if isinstance(value, list) and own_lines and self.flip():
            return self.array(value)
        if isinstance(value, dict) and own_lines and self.flip(4):
            inner = [f"\n  {toml_format.key(k)} = {self.value(v, False)}" for k, v in value.items()]
            return "{" + f", {self.remark()}".join(inner) + "\n}"  # TOML 1.1
        if isinstance(value, str) and self.flip(3) and value.replace("\n", "").isprintable() and "'" not in value:
            return f"'''\n{value}'''" if "\n" in value or self.flip() else f"'{value}'"
        if isinstance(value, str) and self.flip(4):
            return f'"""{toml_format.value(value)[1:-1]}"""'
        return toml_format.value(value)

    def array(self, items: list[Any]) -> str:
        text = "["
        for i, item in enumerate(items):
            last = i == len(items) - 1
            text += self.choose.one([" ", "\n  ", f"\n  {self.remark()}\n  "]) + self.value(item, False)
            text += ("," if not last or self.flip() else "") + self.choose.one(["", f" {self.remark()}\n"])
        return text + self.choose.one(["]", " ]", "\n]", f"\n{self.remark()}\n ]"])

    def page(self, page: dict[str, Any]) -> str:
        top = sections = ""
        for name in self.choose.order(list(page)):
            value = page[name]
            if isinstance(value, list) and value and all(isinstance(v, dict) for v in value) and not self.flip(5):
                sections += "".join(self.table(f"[[{name}]]", table) for table in value)
            elif not isinstance(value, dict) or self.flip(5):
                top += self.pair(name, value)
            elif self.flip(3) and value:
                top += self.dotted((name,), value)
            elif name == "hours" and value and not self.flip(4):
                sections += "".join(self.table(f"[hours.{layer}]", value[layer]) for layer in value)
            else:
                sections += self.table(f"[{name}]", value)
        return top + sections + self.space()

    def dotted(self, way: tuple[str, ...], table: dict[str, Any]) -> str:
        text = ""
        for key, value in table.items():
            nested = isinstance(value, dict) and value and self.flip()
            text += self.dotted((*way, key), value) if nested else self.pair(toml_format.key(*way, key), value)
        return text

    def table(self, header: str, table: dict[str, Any]) -> str:
        text = self.line(header)
        for key, value in table.items():
            nested = isinstance(value, dict) and value and self.flip()
            text += self.dotted((key,), value) if nested else self.pair(toml_format.key(key), value)
        return text


def pruned(value: Any, name: str = "") -> Any:
    """Values without empty tables and empty lists of tables. An empty [habits] stays: it marks the day as logged."""
    if not isinstance(value, dict):
        return [pruned(v) for v in value] if isinstance(value, list) else value
    parts = {key: pruned(part, key) for key, part in value.items()}
    return {k: v for k, v in parts.items() if k == "habits" or not (v == {} or (v == [] and k in toml_format.LISTS))}
