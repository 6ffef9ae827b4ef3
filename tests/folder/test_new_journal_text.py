"""The file that `duskbook start` writes has every setting, and each of its examples is valid."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest
from msgspec import inspect

from journal.folder import reading
from journal.folder.new_journal_text import Beginning, settings_text
from journal.settings import WEEKDAYS, Habit, Place, Settings
from tests.folder.journals import begin

HOME = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana")
DAY = dt.date(2025, 3, 14)
READ = Habit(key="read", name="Read", start=DAY, every="FREQ=DAILY", target=20, unit="pages")
CALL = Habit(key="call", name="Call", start=DAY, times=3, per="week")
TEXTS = {
    "no habit": settings_text(Beginning(title="A", home=HOME, week_starts="monday", day=DAY)),
    "habits": settings_text(Beginning(title="A", home=HOME, week_starts="wednesday", habits=(READ, CALL), day=DAY)),
    "German": settings_text(Beginning(title="A", home=HOME, language="de", week_starts="monday", day=DAY)),
}
EXAMPLE = re.compile(r"# (?=(?:# )?(?:\[|[a-z_]+ = ))")


def examples(text: str) -> list[tuple[int, int]]:
    """The rows of each example: lines that are settings behind "# "."""
    rows = [row for row, line in enumerate(text.split("\n")) if EXAMPLE.match(line)]
    starts = [row for row in rows if row - 1 not in rows]
    return [(start, next(row for row in range(start, len(text)) if row not in rows)) for start in starts]


def taken(text: str, start: int, end: int) -> str:
    """The text with an example taken in."""
    rows = text.split("\n")
    return "\n".join([*rows[:start], *(row.removeprefix("# ") for row in rows[start:end]), *rows[end:]])


@pytest.mark.parametrize("name", TEXTS)
def test_each_example_and_all_together_are_valid(tmp_path: Path, name: str) -> None:
    text = TEXTS[name]
    plain = reading.read_settings(begin(tmp_path, text))
    assert plain.problems == ()
    assert len(examples(text)) == 9
    for start, end in examples(text):
        basis = reading.read_settings(begin(tmp_path, taken(text, start, end)))
        assert basis.problems == ()
        assert basis.settings != plain.settings, text.split("\n")[start]
    everything = text
    for start, end in reversed(examples(text)):
        everything = taken(everything, start, end)
    assert reading.read_settings(begin(tmp_path, everything)).problems == ()


@pytest.mark.parametrize("name", TEXTS)
def test_every_setting_stands_in_it(name: str) -> None:
    """A setting that is added to `journal.settings` needs its line in `new_journal_text`."""
    written = set(lines(TEXTS[name]))
    assert [path for path in fields(Settings, "") if path not in written] == []
    assert len(written) > 50


def fields(page: type[msgspec.Struct], table: str) -> Iterator[str]:
    """The keys of a table and of those in it: "clock", "day.turns", "habits.until"."""
    for field in msgspec.structs.fields(page):
        type_ = inspect.type_info(field.type)
        inner = type_.item_type if isinstance(type_, inspect.VarTupleType) else type_
        if isinstance(inner, inspect.StructType):
            yield from fields(inner.cls, f"{field.encode_name}.")
        elif isinstance(inner, inspect.DictType):
            yield from (f"{field.encode_name}.usual.sleep", f"{field.encode_name}.{WEEKDAYS[5]}.sleep")
        else:
            yield table + field.encode_name


def lines(text: str) -> Iterator[str]:
    """The keys that stand in a text, as settings or examples."""
    table = ""
    for line in text.split("\n"):
        if header := re.match(r"(?:# )?\[\[?([a-z.]+)\]\]?", line):
            table = f"{header[1]}."
        elif key := re.match(r"(?:# )*([a-z_]+) = ", line):
            yield table + key[1]


@pytest.mark.parametrize("name", ["no habit", "German"])
def test_it_stays_short(name: str) -> None:
    rows = TEXTS[name].split("\n")
    assert len(rows) < 180
    assert max(map(len, rows)) <= 120
