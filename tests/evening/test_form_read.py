"""Every invalid input is reported beside its field with a remedy, all at once, and nothing is written."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.evening import fit_offer, save_evening
from tests.evening.evenings import DAY, NEXT, NOW, entered, fields, offered, opened, saved, text, written


def refused(folder: Path, **changed: Any) -> dict[str, str]:
    """The problems of an evening with these changes. Nothing may be written."""
    before = text(folder, DAY), text(folder, NEXT)
    answer = saved(folder, entered(offered(folder), **changed))
    assert not answer.saved
    assert (text(folder, DAY), text(folder, NEXT)) == before
    return fields(answer)


@pytest.mark.parametrize(
    ("stretches", "field", "message"),
    [
        (["25:00-06:00"], "0", '"25:00" is no time of day; write e.g. "06:15".'),
        (
            ["00:00-06:00", "23:00-22:00"],
            "1",
            (
                '"23:00-22:00" ends before it starts; past midnight write "23:00-24:00" here and "00:00-22:00" on '
                "the next day."
            ),
        ),
        (["7ish"], "0", '"7ish" is no stretch of a day; write e.g. "23:00-24:00".'),
        (
            ["06:00-06:00"],
            "0",
            '"06:00-06:00" ends when it starts; give it a later end, at most "24:00".',
        ),
        ([7], "0", '"7" is no stretch of a day; write e.g. "23:00-24:00".'),
        (
            ["00:00-06:00", "7", "05:00-07:00"],
            "2",
            (
                'Expected hours that are not taken yet (from 06:00 on), got "05:00-07:00" beside "00:00-06:00" of '
                "sleep; let one of them give way."
            ),
        ),
    ],
)
@pytest.mark.parametrize("layer", ["actual", "planned"])
def test_hours(tmp_path: Path, layer: str, stretches: list[Any], field: str, message: str) -> None:
    strip = {"sleep": stretches}
    changed = {"actual": strip} if layer == "actual" else {"tomorrow": {"planned": strip}}
    prefix = "actual.sleep." if layer == "actual" else "tomorrow.planned.sleep."
    assert refused(written(tmp_path), **changed)[prefix + field] == message


def test_hours_of_two_categories_overlap(tmp_path: Path) -> None:
    problems = refused(written(tmp_path), actual={"sleep": ["00:00-06:00"], "workshop": ["13:00-14:00", "05:00-07:00"]})
    assert list(problems) == ["actual.workshop.1"]


def test_an_unknown_category_habit_or_challenge(tmp_path: Path) -> None:
    problems = refused(
        written(tmp_path), actual={"sleeep": ["00:00-06:00"]}, habits={"wlak": True}, challenges={"letter": True}
    )
    assert problems == {
        "actual.sleeep": 'Expected a category of journal.toml, got "sleeep"; write "sleep".',
        "habits.wlak": 'Expected a habit of journal.toml, got "wlak"; write "walk".',
        "challenges.letter": 'Expected a challenge of journal.toml, got "letter"; write "letters".',
    }


@pytest.mark.parametrize(
    ("changed", "field", "message"),
    [
        (
            {"mood": 9},
            "mood",
            "Expected a number from 1 to 5, got 9; write one in between, or change [mood] in journal.toml.",
        ),
        (
            {"mood": 0},
            "mood",
            "Expected a number from 1 to 5, got 0; write one in between, or change [mood] in journal.toml.",
        ),
        ({"mood": "good"}, "mood", 'Expected a number, got "good"; write e.g. 3.'),
        ({"energy": True}, "energy", "Expected a number, got true; write e.g. 3."),
        ({"memory": 7}, "memory", "Expected words, got 7; write them as text."),
        ({"share": "yes"}, "share", 'Expected true or false, got "yes"; tick it or leave it.'),
        ({"gratitude": ["Bread.", 7]}, "gratitude.1", "Expected words, got 7; write them as text."),
        (
            {"gratitude": "Bread."},
            "gratitude",
            'Expected a list of lines, got "Bread."; write each as a line of its own.',
        ),
        ({"notes": ["\x00"]}, "notes.0", "There is a character in it that no text file can hold; type the line anew."),
        (
            {"memory": "x" * 20_001},
            "memory",
            "Expected at most 20,000 characters, got 20001; shorten it, or divide it.",
        ),
        (
            {"habits": {"walk": 3}},
            "habits.walk",
            (
                'Expected true, false or "rest" (it has no target), got 3; write true or '
                "false, or give the habit a target in journal.toml."
            ),
        ),
        ({"habits": {"read": -3}}, "habits.read", "Expected a number from 0 up, got -3; write how many, e.g. 20."),
        (
            {"habits": {"read": "lots"}},
            "habits.read",
            'Expected done, not done, rest or a number, got "lots"; choose one of them.',
        ),
        ({"challenges": {"letters": 1}}, "challenges.letters", "Expected true or false, got 1; tick it or leave it."),
    ],
)
def test_the_day(tmp_path: Path, changed: dict[str, Any], field: str, message: str) -> None:
    assert refused(written(tmp_path), **changed) == {field: message}


@pytest.mark.parametrize(
    ("task", "field", "message"),
    [
        ({"title": 7}, "title", "Expected words, got 7; write them as text."),
        ({"title": " ", "took": 5}, "title", "This task has no title; write what it is, or take the row away."),
        (
            {"title": "Sew", "took": -5},
            "took",
            "Expected minutes, more than 0, got -5; write e.g. 45, or leave it out.",
        ),
        ({"title": "Sew", "took": 0}, "took", "Expected minutes, more than 0, got 0; write e.g. 45, or leave it out."),
        ({"title": "Sew", "took": "long"}, "took", 'Expected a number, got "long"; write e.g. 3.'),
        (
            {"title": "Sew", "what": "later"},
            "what",
            ('Expected "open", "done", "carry", "move", "undated" or "drop", got "later"; choose one of them.'),
        ),
        (
            {"title": "Sew", "what": "move", "to": "2025-02-30"},
            "to",
            'There is no day "2025-02-30"; write e.g. "2025-03-14".',
        ),
        (
            {"title": "Sew", "what": "move", "to": "2025-03-13"},
            "to",
            ("Expected a day after 2025-03-13, got 2025-03-13; give a later one."),
        ),
        ({"title": "Sew", "what": "move"}, "to", "Expected the day to move it to, got none; write e.g. 2025-03-20."),
        ({"title": "Sew", "ref": "gone"}, "", '"Sew" does not stand where this page found it; open the page anew.'),
    ],
)
def test_a_task_of_the_day(tmp_path: Path, task: dict[str, Any], field: str, message: str) -> None:
    rows = [{"ref": None, "title": "Fine", "what": "done"}, {"ref": None, "what": "done"} | task]
    name = f"tasks.1.{field}" if field else "tasks.1"
    assert refused(written(tmp_path), tasks=rows) == {name: message}


def row(title: str, **more: Any) -> dict[str, Any]:
    return {"ref": None, "title": title, "from": "new"} | more


@pytest.mark.parametrize(
    ("tomorrow", "field", "message"),
    [
        (
            {"tasks": [row("A", rank=1), row("B", rank=1)]},
            "tasks.1.rank",
            ('Expected a rank that no other task has ("A" has it), got 1; give one of them another.'),
        ),
        (
            {"tasks": [row("A", rank=4)]},
            "tasks.0.rank",
            ("Expected a rank from 1 to 3, got 4; leave it out for a task that is not ranked."),
        ),
        ({"tasks": [row("A", rank=1.5)]}, "tasks.0.rank", "Expected a whole number, got 1.5; write e.g. 1."),
        ({"tasks": [row("A", rank="first")]}, "tasks.0.rank", 'Expected a whole number, got "first"; write e.g. 1.'),
        (
            {"tasks": [row("A", estimate=-1)]},
            "tasks.0.estimate",
            ("Expected minutes, more than 0, got -1; write e.g. 45, or leave it out."),
        ),
        (
            {"tasks": [row("A", **{"from": "undated", "source_ref": "x"})]},
            "tasks.0",
            ('"A" does not stand where this page found it; open the page anew.'),
        ),
        ({"weather": {"high": "warm"}}, "weather.high", 'Expected a number, got "warm"; write e.g. 3.'),
        ({"weather": {"sky": 3}}, "weather.sky", "Expected words, got 3; write them as text."),
        (
            {"weather": {"high": 3, "low": 5}},
            "weather.high",
            ("Expected at least the low of 5, got 3; swap the two if they were mixed up."),
        ),
        (
            {"appointments": [{"title": "A", "start": "25:00"}]},
            "appointments.0.start",
            ('"25:00" is no time of day; write e.g. "06:15".'),
        ),
        (
            {"appointments": [{"title": "A", "start": "09:00", "end": "08:00"}]},
            "appointments.0.end",
            ('Expected an end after 09:00, got "08:00"; give the later one, at most "24:00".'),
        ),
        (
            {"appointments": [{"title": "A", "end": "08:00"}]},
            "appointments.0.end",
            ('Expected a start too, got only an end at "08:00"; add e.g. start = "08:30".'),
        ),
        (
            {"appointments": [{"title": "", "start": "08:00"}]},
            "appointments.0.title",
            ("This appointment has no title; write what it is, or take the row away."),
        ),
    ],
)
def test_the_next_day(tmp_path: Path, tomorrow: dict[str, Any], field: str, message: str) -> None:
    assert refused(written(tmp_path), tomorrow=tomorrow) == {f"tomorrow.{field}": message}


def test_all_problems_are_reported_at_once(tmp_path: Path) -> None:
    problems = refused(
        written(tmp_path),
        mood=9,
        actual={"sleep": ["25:00-06:00", "23:00-22:00"]},
        tasks=[{"ref": None, "title": "Sew", "what": "move", "to": "2025-02-30"}],
        tomorrow={"planned": {"slep": ["00:00-06:00"]}, "tasks": [row("A", rank=9)]},
    )
    assert set(problems) == {
        "mood", "actual.sleep.0", "actual.sleep.1", "tasks.0.to", "tomorrow.planned.slep", "tomorrow.tasks.0.rank",
    }  # fmt: skip


def test_empty_rows_are_skipped(tmp_path: Path) -> None:
    folder = written(tmp_path)
    empty = {"ref": None, "title": ""}
    raw = entered(offered(folder), mood=4, tasks=[empty], tomorrow={"tasks": [empty], "appointments": [empty]})
    assert saved(folder, raw).saved
    assert "tasks" not in text(folder, DAY) + text(folder, NEXT)


def test_a_rank_from_a_higher_setting_stays_valid(tmp_path: Path) -> None:
    folder = written(tmp_path, {NEXT: {"tasks": [{"title": "A", "rank": 3}]}})
    path = folder / "journal.toml"
    path.write_text(path.read_text(encoding="utf-8") + "\n[day]\nranked_tasks = 2\n", encoding="utf-8")
    offer = offered(folder)
    assert offer["tomorrow"]["ranked"] == 2
    assert saved(folder, entered(offer, mood=4)).saved
    more = {"tasks": [*entered(offer)["tomorrow"]["tasks"], row("B", rank=4)]}
    assert refused(folder, tomorrow=more) == {
        "tomorrow.tasks.1.rank": "Expected a rank from 1 to 3, got 4; leave it out for a task that is not ranked."
    }


LEAVES = st.one_of(
    st.none(), st.booleans(), st.integers(-3, 10**20), st.floats(allow_nan=False), st.text(max_size=8),
    st.sampled_from(["07:00-08:00", "25:00", "2025-02-30", "2025-03-20", "rest", "carry", "t7k2", "\ud800"]),
)  # fmt: skip
ANYTHING = st.recursive(
    LEAVES,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=6), inner, max_size=3)),
    max_leaves=6,
)  # fmt: skip


def ways(value: Any) -> list[tuple[Any, ...]]:
    """All paths into a JSON value."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [(), *((key, *way) for key, below in inner for way in ways(below))]


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_any_input_is_answered_and_no_page_breaks(data: st.DataObject) -> None:
    with tempfile.TemporaryDirectory() as name:
        tasks = [{"title": "Oil the press", "id": "t7k2"}, {"title": "Sew"}]
        folder = written(Path(name), {DAY: {"tasks": tasks}, NEXT: {"tasks": [{"title": "Fold", "rank": 1}]}})
        raw = whole(offered(folder))
        for _ in range(data.draw(st.integers(1, 2))):
            way = data.draw(st.sampled_from([way for way in ways(raw) if way and way[0] not in ("base", "day")]))
            put(raw, way, data.draw(ANYTHING))
        # Not through JSON, which cannot carry half a surrogate pair.
        answer = save_evening.save(opened(folder), raw, now=NOW)
        assert answer.saved or answer.problems
        assert not opened(folder).problems
        fit_offer.fit(opened(folder), DAY, raw["tomorrow"] if isinstance(raw["tomorrow"], dict) else {})


def whole(page: dict[str, Any]) -> dict[str, Any]:
    """An evening with something in every field."""
    return entered(
        page, mood=3, energy=2, gratitude=["Bread."], memory="Sewn.", notes=["Ask."], habits={"walk": True, "read": 3},
        challenges={"letters": True}, actual={"sleep": ["00:00-06:00"]},
        tasks=[{"ref": "t7k2", "title": "Oil the press", "what": "move", "to": "2025-03-20", "took": 5, "estimate": 3}],
        tomorrow={
            "weather": {"sky": "fog", "high": 3, "low": 1},
            "appointments": [{"ref": None, "title": "A", "start": "08:00", "end": "09:00"}],
            "tasks": [{"ref": "Fold", "title": "Fold", "rank": 1, "estimate": 5, "from": "page", "source_ref": None}],
        },
    )  # fmt: skip


def put(raw: Any, way: tuple[Any, ...], value: Any) -> None:
    for key in way[:-1]:
        if not isinstance(raw, dict | list):
            return
        raw = raw[key]
    if isinstance(raw, dict | list):
        raw[way[-1]] = value
