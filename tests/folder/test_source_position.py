"""The positions of keys and values in a text, in every TOML notation."""

from __future__ import annotations

from typing import Any

import rtoml
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.folder.faults import Key
from journal.folder.source_position import places

SOURCE = """\
mood = 4
 a.b."c d" = [1, "x", # not this one
  { k = 1, 'z'.y = [2] },
]
"weather" = { "high" = 11, low.x = 3 }

[hours.planned]
sleep = ["00:00-06:15", "22:30-24:00"]
[hours]
actual.sleep = []
[[tasks]]
title = \"\"\"x
y\"\"\"
since = 2025-03-11
[[tasks.parts]]
n = 1
[[tasks.parts]]
n = 2
[tasks.more]
m = 3
[[tasks]]
title = "b"
[[tasks.parts]]
n = 4
["ž š"."é\\u00e9"]
x = 1
"""

VALUES: dict[Key, tuple[int, int]] = {
    ("mood",): (1, 8),
    ("a", "b", "c d"): (2, 14),
    ("a", "b", "c d", 1): (2, 18),
    ("a", "b", "c d", 2): (3, 3),
    ("a", "b", "c d", 2, "k"): (3, 9),
    ("a", "b", "c d", 2, "z", "y", 0): (3, 21),
    ("weather",): (5, 13),
    ("weather", "high"): (5, 24),
    ("weather", "low", "x"): (5, 36),
    ("hours", "planned"): (7, 1),
    ("hours", "planned", "sleep", 1): (8, 25),
    ("hours",): (9, 1),
    ("hours", "actual", "sleep"): (10, 16),
    ("tasks",): (11, 1),
    ("tasks", 0): (11, 1),
    ("tasks", 0, "title"): (12, 9),
    ("tasks", 0, "since"): (14, 9),
    ("tasks", 0, "parts", 0, "n"): (16, 5),
    ("tasks", 0, "parts", 1): (17, 1),
    ("tasks", 0, "more", "m"): (20, 5),
    ("tasks", 1): (21, 1),
    ("tasks", 1, "parts", 0, "n"): (24, 5),
    ("ž š", "éé"): (25, 1),
    ("ž š", "éé", "x"): (26, 5),
}
KEYS: dict[Key, tuple[int, int]] = {
    ("mood",): (1, 1),
    ("a", "b", "c d"): (2, 2),
    ("a", "b", "c d", 2, "z", "y"): (3, 12),
    ("weather", "high"): (5, 15),
    ("hours", "planned"): (7, 1),
    ("tasks", 0, "since"): (14, 1),
    ("tasks", 1, "parts", 0, "n"): (24, 1),
}


def test_values() -> None:
    positions = places(SOURCE)
    assert {path: positions.value(path) for path in VALUES} == VALUES


def test_keys() -> None:
    positions = places(SOURCE)
    assert {path: positions.key(path) for path in KEYS} == KEYS


def test_a_missing_value_has_the_position_of_the_enclosing_one() -> None:
    positions = places(SOURCE)
    assert positions.value(("tasks", 1, "title", 3, "x")) == positions.value(("tasks", 1, "title")) == (22, 9)
    assert positions.value(("tasks", 1, "rank")) == (21, 1)
    assert positions.key(("tasks", 1, "rank")) == (21, 1)
    assert positions.value(("zebra", 1)) == positions.value(()) == (0, 0)


def test_line_ends_of_both_kinds() -> None:
    positions = places(SOURCE.replace("\n", "\r\n"))
    assert {path: positions.value(path) for path in VALUES} == VALUES


def test_every_notation_of_toml_1_1_has_its_position() -> None:
    source = (
        "mood = 4\n[weather]\nhigh = 11\n[[tasks]]\nstart = { at = 08:30,\n  # later\n  b = [1,\n 2], }\n"
        'title = "\\x41\\e"\n"\\x41" = 1979-05-27 07:32\ntags = [\n  { a = 1,\n    c = 07:32\n  }\n]\n'
    )
    assert rtoml.loads(source)["tasks"][0]["title"] == "A\x1b"
    positions = places(source)
    assert positions.value(("weather", "high")) == (3, 8)
    assert positions.value(("tasks", 0, "start", "at")) == (5, 16)
    assert positions.value(("tasks", 0, "start", "b", 1)) == (8, 2)
    assert positions.value(("tasks", 0, "title")) == (9, 9)
    assert positions.key(("tasks", 0, "A")) == (10, 1)
    assert positions.value(("tasks", 0, "tags", 0, "c")) == (13, 9)


def paths(value: Any, path: Key = ()) -> list[tuple[Key, Any]]:
    """Every value within a value, with its path."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [(path, value)] * bool(path) + [item for key, each in inner for item in paths(each, (*path, key))]


LEAVES = st.booleans() | st.integers(0, 9) | st.text(max_size=4) | st.dates()


@given(
    st.dictionaries(
        st.text(max_size=4),
        st.recursive(
            LEAVES,
            lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
            max_leaves=8,
        ),
        max_size=4,
    )
)
@settings(max_examples=100)
def test_the_text_at_each_position_is_the_value(values: dict[str, Any]) -> None:
    source = tomlkit.dumps(values)
    lines = source.split("\n")
    positions = places(source)
    for path, value in paths(rtoml.loads(source)):
        line, column = positions.value(path)
        assert line > 0
        rest = "\n".join([lines[line - 1][column - 1 :], *lines[line:]])
        if isinstance(value, dict):
            assert rest[0] in "[{"
        elif isinstance(value, list):
            assert rest[0] == "["
        else:
            assert rest.startswith(tomlkit.item(value).as_string())
