"""The settings, sent back: what is not changed keeps its bytes, and what is changed reads back as entered."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from journal.cli import duskbook
from journal.setup import save_settings
from tests.setup.forms import NOW, opened, sent

EXAMPLE = Path(__file__).parents[2] / "example_year"


@pytest.fixture
def example(tmp_path: Path) -> Path:
    """The settings of the example year, and some of its pages."""
    folder = tmp_path / "example"
    (folder / "2025").mkdir(parents=True)
    shutil.copy(EXAMPLE / "journal.toml", folder)
    for day in ("2025-03-03", "2025-03-04"):
        shutil.copy(EXAMPLE / "2025" / f"{day}.toml", folder / "2025")
    return folder


@pytest.fixture
def started(tmp_path: Path) -> Path:
    """A journal as `duskbook start` makes it."""
    folder = tmp_path / "started"
    assert CliRunner().invoke(duskbook, ["start", str(folder), "--yes"]).exit_code == 0
    return folder


def text(folder: Path) -> str:
    return (folder / "journal.toml").read_text(encoding="utf-8")


def save(folder: Path, form: dict[str, Any]) -> Any:
    return save_settings.save(opened(folder), form, now=NOW)


@pytest.mark.parametrize("which", ["example", "started"])
def test_an_untouched_form_changes_no_byte(which: str, request: pytest.FixtureRequest) -> None:
    folder: Path = request.getfixturevalue(which)
    before = (folder / "journal.toml").read_bytes()
    form = sent(folder)
    assert not save_settings.change(opened(folder), form, now=NOW).lines
    result = save(folder, form)
    assert (result.saved, result.said) == (True, "Nothing to save: the pages say all of it already.")
    assert (folder / "journal.toml").read_bytes() == before
    bare = folder / "journal.toml"
    bare.write_text('title = "Only a title"', encoding="utf-8")
    assert save(folder, sent(folder)).saved
    assert text(folder) == 'title = "Only a title"', "no default is written"


def test_single_fields(example: Path) -> None:
    form, before = sent(example), text(example)
    form["singles"] |= {"title": 'Thread "and" glue', "clock": "12", "day.turns": "05:00", "day.ranked_tasks": "4"}
    form["singles"]["mood.words"] = "heavy\nlow\neven\ngood\n bright  day "
    form["singles"]["lines.stop_words"] = "knjiga, thing,things"
    lines = [(line.kind, line.text) for line in save_settings.change(opened(example), form, now=NOW).lines]
    assert ("removed", "clock = 24                      # or 12") in lines
    assert ("added", "clock = 12                      # or 12") in lines
    assert text(example) == before, "looking at the change makes none"
    assert save(example, form).saved
    assert text(example) == (
        before.replace('"Spine and thread"', '"Thread \\"and\\" glue"')
        .replace("clock = 24", "clock = 12")
        .replace('turns = "04:00"', 'turns = "05:00"')
        .replace("ranked_tasks = 3", "ranked_tasks = 4")
        .replace('"bright"]', '"bright day"]')
        .replace('stop_words = ["got", "thing", "things"]', 'stop_words = ["knjiga", "thing", "things"]')
    )
    settings = opened(example).settings
    assert (settings.title, settings.clock, settings.lines.stop_words) == (
        'Thread "and" glue',
        12,
        ("knjiga", "thing", "things"),
    )


def test_a_table_that_begins_keeps_what_applied_without_it(tmp_path: Path) -> None:
    (tmp_path / "journal.toml").write_text('title = "A"\n', encoding="utf-8")
    form = sent(tmp_path)
    form["singles"]["mood.low"] = "0"
    problems = save(tmp_path, form).problems
    assert [problem.field for problem in problems] == ["mood.words"], "six steps, five words"
    form["singles"]["mood.high"] = "4"
    assert save(tmp_path, form).saved
    words = '["heavy", "low", "even", "good", "bright"]'
    assert text(tmp_path) == f'title = "A"\n\n[mood]\nlow = 0\nhigh = 4\nwords = {words}\n'


def test_problems_stand_at_their_fields_all_at_once(example: Path) -> None:
    form, before = sent(example), text(example)
    form["singles"] |= {"title": " ", "day.turns": "4 o'clock", "day.gratitude_lines": "two"}
    form["lists"]["habits"][0]["values"]["from"] = ""
    form["lists"]["places"][1]["values"]["latitude"] = "north"
    result = save(example, form)
    assert {problem.field: problem.message for problem in result.problems} == {
        "title": "Title of the journal is empty; fill it in.",
        "day.turns": '"4 o\'clock" is no time of day; write e.g. "06:15".',
        "day.gratitude_lines": 'Expected a whole number, got "two"; write e.g. 2.',
        "habits.0.from": "From is empty; fill it in.",
        "places.1.latitude": 'Expected a number, got "north"; write e.g. 3.',
    }
    form = sent(example)
    form["lists"]["places"][1]["values"] |= {"latitude": "460", "timezone": "Europe/Londn"}
    assert {problem.field: problem.message for problem in save(example, form).problems} == {
        "places.1.latitude": "Expected degrees from -90 to 90, got 460; write e.g. 46.05; below zero is south or west.",
        "places.1.timezone": 'Expected a time zone, got "Europe/Londn"; write "Europe/London".',
    }
    assert text(example) == before


def row(**values: Any) -> dict[str, Any]:
    return {"ref": None, "values": values}


def test_new_rows_get_a_key_and_a_place(started: Path) -> None:
    form, before = sent(started), text(started)
    every = {"pattern": "weekdays", "interval": 2, "weekdays": ["FR"], "weeks_from": "MO"}
    form["lists"]["habits"] = [
        row(name="Čaj brez sladkorja", **{"from": "2025-03-14"}, target="2", unit="cups", aim="at most"),
        row(name="Swim", **{"from": "2025-03-14"}) | {"schedule": {"pattern": "quota", "times": 3, "per": "week"}},
    ]
    form["lists"]["routines"] = [row(title="Count", **{"from": "2025-03-14"}, estimate="60") | {"schedule": every}]
    form["lists"]["challenges"] = [
        row(name="散歩", **{"from": "2025-04-01", "until": "2025-04-03"}, prompts="To the baker\n\nTo the river")
    ]
    form["lists"]["habits"][0]["schedule"] = {"pattern": "day"}
    result = save(started, form)
    assert result.saved, result.problems
    after = text(started)
    added = (
        '[[habits]]\nkey = "caj-brez-sladkorja"\nname = "Čaj brez sladkorja"\nevery = "FREQ=DAILY"\nfrom = 2025-03-14\n'
        'target = 2\nunit = "cups"\naim = "at most"\n\n'
        '[[habits]]\nkey = "swim"\nname = "Swim"\ntimes = 3\nper = "week"\nfrom = 2025-03-14\n\n'
        '[[challenges]]\nkey = "challenge"\nname = "散歩"\nfrom = 2025-04-01\nuntil = 2025-04-03\n'
        'prompts = ["To the baker", "To the river"]\n\n'
        '[[routines]]\ntitle = "Count"\nevery = "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"\nfrom = 2025-03-14\n'
        "estimate = 60\n\n"
    )
    assert added in after
    assert after.replace(added, "") == before
    assert not opened(started).problems
    assert save_settings.change(opened(started), sent(started), now=NOW).lines == []


def test_rows_change_move_and_go(example: Path) -> None:
    form, before = sent(example), text(example)
    rows = form["lists"]["challenges"]
    names = [one["values"]["name"] for one in rows]
    rows[0], rows[1] = rows[1], rows[0]
    rows[0]["values"]["until"] = "2025-12-30"
    assert save(example, form).saved
    settings = opened(example).settings
    assert [one.name for one in settings.challenges][:2] == [names[1], names[0]]
    assert sorted(text(example).replace("2025-12-30", "").split()) != sorted(before.split())
    form = sent(example)
    form["lists"]["routines"] = []
    assert save(example, form).saved
    assert "[[routines]]" not in text(example)
    comments = [line for line in before.splitlines() if line.startswith("#")]
    assert [line for line in text(example).splitlines() if line.startswith("#")] == comments


def test_what_pages_use_goes_only_when_asked(example: Path) -> None:
    form = sent(example)
    form["lists"]["habits"] = [one for one in form["lists"]["habits"] if one["values"]["key"] != "stretch"]
    result = save(example, form)
    assert [(one.field, one.message) for one in result.problems] == [
        ("habits", '"stretch" would be gone, and 2 days have a mark of it; put it back, or take it out again.')
    ]
    form["removed"] = {"habits": ["stretch"]}
    assert save(example, form).saved
    assert "stretch" not in opened(example).settings.habit_keys
    form = sent(example)
    form["lists"]["categories"][2]["values"]["key"] = "shop"
    assert "workshop" in save(example, form).problems[0].message


def test_strips(example: Path) -> None:
    form, before = sent(example), text(example)
    form["strips"]["saturday"] = None
    form["strips"]["friday"] = {"sleep": ["00:00-06:15"], "music": []}
    form["strips"]["usual"]["music"] = ["19:00-20:00"]
    assert save(example, form).saved
    after = text(example)
    assert 'music = ["19:00-20:00"]' in after
    assert "[hours.saturday]" not in after
    assert '[hours.friday]\nsleep = ["00:00-06:15"]\n' in after
    hours = opened(example).settings.hours
    assert set(hours) == {"usual", "friday", "sunday"}
    form = sent(example)
    form["strips"]["usual"]["people"] = ["19:30-20:30"]
    assert save(example, form).problems[0].field.startswith("hours.usual")
    assert len(before) > 0


def test_another_save_is_merged_or_shown(example: Path) -> None:
    stale = sent(example)
    first = sent(example)
    first["singles"]["title"] = "Theirs"
    first["lists"]["habits"][0]["values"]["name"] = "Walk"
    assert save(example, first).saved
    stale["lists"]["habits"][1]["values"]["name"] = "Read a book"
    result = save(example, stale)
    assert result.saved, result
    assert "What was changed there meanwhile is kept." in result.said
    settings = opened(example).settings
    assert (settings.title, settings.habits[0].name, settings.habits[1].name) == ("Theirs", "Walk", "Read a book")
    stale["singles"]["title"] = "Mine"
    assert save_settings.change(opened(example), stale, now=NOW).is_stale
    assert [(one.field, one.theirs, one.yours) for one in save(example, stale).conflict] == [
        ("title", "Theirs", "Mine")
    ]


@pytest.mark.parametrize("raw", [None, [], {}, {"base": "x"}, {"base": 7}])
def test_anything_else_is_rejected(example: Path, raw: Any) -> None:
    before = text(example)
    result = save(example, raw)
    assert not result.saved
    assert result.problems[0].field == ""
    assert text(example) == before
