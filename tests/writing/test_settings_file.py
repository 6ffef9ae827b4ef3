"""journal.toml changed as a page is: spliced, merged, refused, with all else left to the byte."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from journal.errors import WriteError
from journal.folder import history, writing
from journal.folder.page_versions import SETTINGS
from journal.folder.writing import Clash, Conflict, look
from tests.journals import HOME
from tests.writing.test_saving import NOW, save, saved

BEFORE = f"""\
# Of the bindery.
title = "Spine and thread"   # since 2019

{HOME}
# What to ask.
[prompts]
week = [
    "What carried?",  # the first

    "What may go?",
]

year = ["What was it?"]  # once

# The end.
"""


@pytest.fixture
def journal_file(tmp_path: Path) -> Path:
    path = tmp_path / "journal.toml"
    path.write_text(BEFORE, encoding="utf-8")
    return path


def test_only_the_changed_prompts_change(journal_file: Path) -> None:
    result = saved(
        journal_file.parent, {("prompts", "week"): ["What carried?", "What must go?", "And next?"]}, SETTINGS
    )
    assert journal_file.read_text(encoding="utf-8") == BEFORE.replace(
        '    "What may go?",\n', '    "What must go?",\n    "And next?",\n'
    )
    assert result.before is not None
    assert [state.data for state in history.states(journal_file.parent, SETTINGS)] == [
        BEFORE.encode(),
        result.base.data,
    ]


def test_prompts_of_a_kind_that_has_none_yet(journal_file: Path) -> None:
    saved(journal_file.parent, {("prompts", "month"): ["What held?"]}, SETTINGS)
    assert journal_file.read_text(encoding="utf-8") == BEFORE.replace("\n]\n", '\n]\nmonth = ["What held?"]\n')


def test_a_journal_without_prompts_gets_them_at_its_end(folder: Path) -> None:
    before = (folder / "journal.toml").read_text(encoding="utf-8")
    saved(folder, {("prompts", "week"): []}, SETTINGS)
    assert (folder / "journal.toml").read_text(encoding="utf-8") == f"{before}\n[prompts]\nweek = []\n"


def test_prompts_changed_on_both_sides_are_a_conflict_and_other_settings_are_merged(journal_file: Path) -> None:
    folder = journal_file.parent
    base = look(folder, SETTINGS)
    theirs = BEFORE.replace("since 2019", "since 2018").replace("What may go?", "What stays?")
    journal_file.write_text(theirs, encoding="utf-8")
    result = save(folder, base, {("prompts", "week"): ["Mine?"]})
    assert isinstance(result, Conflict)
    assert [(clash.path, clash.theirs, clash.mine) for clash in result.clashes] == [
        (("prompts", "week"), ["What carried?", "What stays?"], ["Mine?"])
    ]
    assert isinstance(result.clashes[0], Clash)
    assert journal_file.read_text(encoding="utf-8") == theirs
    saved_base = save(folder, base, {("prompts", "year"): ["And now?"]})
    assert not isinstance(saved_base, Conflict)
    assert journal_file.read_text(encoding="utf-8") == theirs.replace("What was it?", "And now?")


def test_a_change_that_makes_a_new_problem_is_refused(journal_file: Path) -> None:
    with pytest.raises(WriteError, match=r"prompts\.week"):
        saved(journal_file.parent, {("prompts", "week"): "What carried?"}, SETTINGS)
    assert journal_file.read_text(encoding="utf-8") == BEFORE


def test_problems_that_were_there_before_stop_nothing(folder: Path) -> None:
    path = folder / "journal.toml"
    path.write_text('colour = "blue"\n', encoding="utf-8")
    saved(folder, {("prompts", "week"): ["What carried?"]}, SETTINGS)
    assert path.read_text(encoding="utf-8") == 'colour = "blue"\n\n[prompts]\nweek = ["What carried?"]\n'


def test_settings_that_cannot_be_read_are_not_written_over(folder: Path) -> None:
    path = folder / "journal.toml"
    path.write_text('title = "Spine', encoding="utf-8")
    with pytest.raises(WriteError, match=r"journal\.toml:1"):
        writing.save(folder, SETTINGS, look(folder, SETTINGS), {("prompts", "week"): ["A?"]}, now=NOW)
    assert path.read_text(encoding="utf-8") == 'title = "Spine'


WALK = {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": dt.date(2025, 1, 1)}
READ = {"key": "read", "name": "Read", "every": "FREQ=DAILY", "from": dt.date(2025, 1, 1)}
SWIM = {"key": "swim", "name": "Swim", "times": 3, "per": "week", "from": dt.date(2025, 5, 1)}


def test_habits_are_merged_one_by_one(journal_file: Path) -> None:
    folder = journal_file.parent
    saved(folder, {("habits",): [WALK, READ]}, SETTINGS)
    base = look(folder, SETTINGS)
    saved(folder, {("habits",): [SWIM, WALK | {"name": "Walk by the river"}, READ]}, SETTINGS)
    merged = save(folder, base, {("habits",): [WALK, READ | {"until": dt.date(2025, 6, 30)}]})
    assert not isinstance(merged, Conflict)
    names = [(habit["name"], str(habit.get("until", ""))) for habit in look(folder, SETTINGS).values["habits"]]
    assert names == [("Swim", ""), ("Walk by the river", ""), ("Read", "2025-06-30")]
    clash = save(folder, base, {("habits",): [WALK | {"name": "Stroll"}, READ]})
    assert isinstance(clash, Conflict)
    assert [(one.path, one.theirs, one.mine) for one in clash.clashes] == [
        (("habits", "walk 2025-01-01", "name"), "Walk by the river", "Stroll")
    ]


def test_a_habit_that_goes_takes_its_own_lines_only(journal_file: Path) -> None:
    folder = journal_file.parent
    saved(folder, {("habits",): [WALK, READ, SWIM]}, SETTINGS)
    text = journal_file.read_text(encoding="utf-8").replace(
        '[[habits]]\nkey = "read"', '# Twenty.\n[[habits]]\nkey = "read"'
    )
    journal_file.write_text(text, encoding="utf-8")
    saved(folder, {("habits",): [READ, SWIM | {"times": 2}]}, SETTINGS)
    walk = '[[habits]]\nkey = "walk"\nname = "Walk"\nevery = "FREQ=DAILY"\nfrom = 2025-01-01\n\n'
    assert journal_file.read_text(encoding="utf-8") == text.replace(walk, "").replace("times = 3", "times = 2")


def test_the_last_habit_can_go_on_both_sides(journal_file: Path) -> None:
    folder = journal_file.parent
    saved(folder, {("habits",): [WALK, READ]}, SETTINGS)
    base = look(folder, SETTINGS)
    saved(folder, {("habits",): [WALK]}, SETTINGS)
    save(folder, base, {("habits",): [READ]})
    assert "habits" not in look(folder, SETTINGS).values
