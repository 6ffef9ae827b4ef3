"""A broken journal.toml: what is left out, which problem tells of it, and that all else applies."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import rtoml
from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal.folder import reading, toml_recovery
from journal.folder.toml_statements import statements
from tests import journals
from tests.folder.journals import begin, load, read

HABIT = """\
[[habits]]
key = "read"
name = "Read"
every = "FREQ=DAILY"
from = 2025-01-01
"""
HEAD = 'title = "Kept"\n'
EXAMPLE = (Path(journal.__file__).parents[1] / "example_year" / "journal.toml").read_text(encoding="utf-8")
# The example has no long text.
LONG = EXAMPLE + '\n[[rests]]\nfrom = 2025-08-01\nuntil = 2025-08-03\nreason = """\nThe sea,\n"at last".\n"""\n'


def source(text: str) -> str:
    return text.replace("HABIT", HABIT)


@pytest.mark.parametrize("case", load("broken_settings"), ids=lambda case: case["name"])
def test_what_is_broken_is_told_and_the_rest_applies(tmp_path: Path, case: dict[str, str]) -> None:
    text = source(case["text"].replace("\\u0001", "\x01"))
    basis = reading.read_settings(begin(tmp_path, f"{HEAD}{text}\n{journals.HOME}"))
    expected = [f"journal.toml:{problem}" for problem in case["problems"]]
    assert [str(problem) for problem in basis.problems] == expected
    (tmp_path / "valid").mkdir()
    valid = reading.read_settings(begin(tmp_path / "valid", f"{HEAD}{source(case['applies'])}\n{journals.HOME}"))
    assert basis.settings == valid.settings
    assert all(place.problem in basis.problems for place in basis.broken)


def test_a_place_has_its_lines_and_their_text(tmp_path: Path) -> None:
    text = 'title = "Kept"\n\n[day\n# when\nturns = "03:00"\n\n# Of the mood.\n[mood]\nlow = 1 x\n'
    basis = reading.read_settings(begin(tmp_path, text + journals.HOME))
    assert [(place.first, place.last, place.text, place.where) for place in basis.broken] == [
        (3, 5, '[day\n# when\nturns = "03:00"', ("day",)),
        (9, 9, "low = 1 x", ("mood", "low")),
    ]


@pytest.mark.parametrize("space", ["\x0c", "\x0b", "\x85", "\u2003"])
def test_a_line_of_space_that_is_none_in_toml_belongs_to_what_is_broken_above_it(space: str) -> None:
    applied = toml_recovery.recover("journal.toml", f'title = "Kept"\nclock == 12\n{space}\ntemperature = "C"\n').values
    assert applied == {"title": "Kept", "temperature": "C"}


def test_pages_may_use_names_that_stand_in_broken_lines(tmp_path: Path) -> None:
    settings = HEAD + journals.HOME + HABIT + HABIT.replace('"read"', '"walk')
    folder = begin(tmp_path, settings, {"2025/2025-03-04.toml": "[habits]\nwalk = true\nread = true\n"})
    pages, problems = read(folder)
    assert problems == []
    assert pages["2025-03-04"].habits == {"walk": True, "read": True}  # type: ignore[union-attr]
    (tmp_path / "journal.toml").write_text(settings.replace('"walk', '"walk"').replace("[[hab", "[hab", 1) + "x")
    assert read(folder)[1] == []


def test_the_same_bytes_give_the_same_journal_with_and_without_the_cache(tmp_path: Path) -> None:
    import datetime as dt

    settings = HEAD + journals.HOME + HABIT + 'unit = "pages\n'
    folder = begin(tmp_path, settings, {"2025/2025-03-04.toml": "mood = 4\n[habits]\nread = true\nwalk = true\n"})
    first, cached = (journal.open(folder, today=dt.date(2025, 3, 5)) for _ in range(2))
    fresh = journal.open(folder, today=dt.date(2025, 3, 5), cache=False)
    for other in (cached, fresh):
        assert other.settings == first.settings
        assert other.problems == first.problems
        assert other.tables.marks.equals(first.tables.marks)
    assert len(first.problems) == 1
    (folder / "journal.toml").write_text(settings.replace('"pages', '"pages"'), encoding="utf-8")
    mended = journal.open(folder, today=dt.date(2025, 3, 5))
    assert [problem.where for problem in mended.problems] == ["habits.walk"]


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_random_break_leaves_all_undamaged_statements(data: st.DataObject) -> None:
    rows = LONG.split("\n")
    whole = {(s.first, s.last): "\n".join(rows[s.first : s.last + 1]) for s in statements(LONG)}
    at = data.draw(st.integers(0, len(rows) - 1))
    way = data.draw(st.sampled_from(["take a sign out", "put a sign in", "take a line out", "put a line in"]))
    if way == "take a line out":
        broken = rows[:at] + rows[at + 1 :]
    elif way == "put a line in":
        new = data.draw(st.sampled_from(["x", '"', "a = [", "a = {", '"""', "]", "[[habits]", "a = '''", "<<<<<<<"]))
        broken = [*rows[:at], new, *rows[at:]]
    else:
        column = data.draw(st.integers(0, len(rows[at])))
        sign = "" if way == "take a sign out" else data.draw(st.sampled_from(list("\"'[]{}=.,x1\\\0\r")))
        row = rows[at][:column] + sign + rows[at][column + (not sign) :]
        broken = [*rows[:at], row, *rows[at + 1 :]]
    text = "\n".join(broken)
    try:
        rtoml.loads(text)
        return
    except rtoml.TomlParsingError:
        recovery = toml_recovery.recover("journal.toml", text)
    assert recovery.places
    assert all(place.problem.line and place.problem.column for place in recovery.places)
    if way.endswith("sign out") or way.endswith("sign in"):
        own = rows[at].partition("=")[0].strip('[] "')
        assert not strays(recovery.values, rtoml.loads(LONG), own), (way, at, recovery.places)
    # A statement is undamaged if the break is neither in it nor in its block, and it comes before or after.
    shift = len(broken) - len(rows)
    start, end = block(rows, at)
    left = recovery.text.split("\n")
    for (first, last), statement in whole.items():
        if not (first <= end and last >= start):
            offset = shift if first > at else 0
            kept = "\n".join(left[first + offset : last + offset + 1])
            assert kept == statement, (way, at, recovery.places)


def strays(values: dict[str, Any], whole: dict[str, Any], own: str) -> list[str]:
    """The keys that stand in a table they do not belong to, except that of the broken line itself."""
    found: list[str] = []
    for key, value in values.items():
        there = whole.get(key)
        if isinstance(value, dict) and isinstance(there, dict):
            found += strays(value, there, own)
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for table in value:
                if not any(
                    all(k == own or is_start(v, other.get(k)) for k, v in table.items()) for other in there or []
                ):
                    found.append(key)
        elif not is_start(value, there) and key != own:
            found.append(key)
    return found


def is_start(value: Any, whole: Any) -> bool:
    """Whether a value is the same, or a list that was closed too early."""
    return bool(value == whole) or (
        isinstance(value, list) and isinstance(whole, list) and value == whole[: len(value)]
    )


def block(rows: list[str], at: int) -> tuple[int, int]:
    """The rows of the table that a row is in, and of the one after it if the row is at its border."""
    headers = [row for row, line in enumerate(rows) if line.startswith("[")]
    start = max((row for row in headers if row < at - 1), default=0)
    end = min((row for row in headers if row > at + 1), default=len(rows)) - 1
    return start, end


@settings(max_examples=200, deadline=None)
@given(st.lists(st.sampled_from([*"\"'[]{}=#.,x1 \n\\\0", '"""', "[[habits]]\n", "key = ", "a = {", "=======\n"])))
def test_no_text_stops_the_reader(parts: list[str]) -> None:
    text = "".join(parts)
    recovery = toml_recovery.recover("journal.toml", text)
    assert rtoml.loads(recovery.text) == recovery.values
    assert recovery.text.count("\n") == text.count("\n")


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(
        st.text(),
        st.recursive(st.text() | st.integers(0, 9), st.lists) | st.dictionaries(st.text(), st.text(), max_size=2),
    )
)
def test_a_valid_text_is_divided_exactly(values: dict[str, object]) -> None:
    text = rtoml.dumps(json.loads(json.dumps(values)))
    rows = text.split("\n")
    for statement in statements(text):
        rtoml.loads("\n".join(rows[statement.first : statement.last + 1]))
    assert toml_recovery.recover("journal.toml", text).values == rtoml.loads(text)


@pytest.mark.parametrize(
    "line",
    [
        "a = 1\n",
        "[a]\nb = 1\n",
        "[a\nb = 1\n",
        "a = [\n",
        "a = {,\n",
        'a = \\"""x"\n',
        "x\n",
        "[[habits]]\nuntil = x\n",
    ],
)
def test_the_work_on_a_hostile_file_is_bounded(monkeypatch: pytest.MonkeyPatch, line: str) -> None:
    text = line * (20_000 // len(line))
    parsed: list[int] = []
    loads = rtoml.loads

    def counted(source: str) -> dict[str, object]:
        parsed.append(len(source))
        return loads(source)

    monkeypatch.setattr(rtoml, "loads", counted)
    recovery = toml_recovery.recover("journal.toml", text)
    assert len(recovery.places) <= toml_recovery.MAX_PLACES
    assert sum(parsed) <= (toml_recovery.MAX_PLACES + 10) * len(text)
