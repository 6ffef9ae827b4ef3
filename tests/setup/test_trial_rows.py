"""The trials on the settings page: shown in words, and neither made nor changed there."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from journal.setup import save_settings, settings_form
from tests import journals
from tests.setup.forms import NOW, TODAY, opened, sent

WALK = {"key": "walk", "name": "Evening walk", "every": "FREQ=DAILY", "from": TODAY.replace(month=1, day=1)}
PLAN: dict[str, Any] = {
    "key": "w", "question": "Does a walk lift the day?", "habit": "walk", "lag": 1, "from": TODAY, "days": 60,
    "seed": 4711, "looked": [TODAY],
}  # fmt: skip


def written(folder: Path, *trials: dict[str, Any]) -> dict[str, Any]:
    journals.write(folder, {}, habits=[WALK], trials=list(trials))
    return sent(folder)


def refused(folder: Path, form: dict[str, Any]) -> None:
    """The save says that trials are made elsewhere, at their list, and writes nothing."""
    before = (folder / "journal.toml").read_bytes()
    result = save_settings.save(opened(folder), form, now=NOW)
    assert not result.saved
    assert [problem.field for problem in result.problems] == ["trials"]
    assert "on the month page, in the chapter “By lot”" in result.problems[0].message
    assert (folder / "journal.toml").read_bytes() == before


@pytest.mark.parametrize("question", ["Does a walk lift the day?", "Do I sleep better without my pills?"])
def test_no_trial_is_made_on_the_settings_page(tmp_path: Path, question: str) -> None:
    """It would not be asked what it is not for, how long it must run, nor drawn from a seed that nobody chose."""
    form = written(tmp_path)
    values = {"question": question, "habit": "walk", "from": "2025-04-01", "days": "60", "seed": "4711", "looked": ""}
    form["lists"]["trials"] = [{"ref": None, "values": values, "schedule": None}]
    refused(tmp_path, form)


def test_what_is_told_with_a_result_is_not_taken_away_there(tmp_path: Path) -> None:
    for changed in ({"looked": ""}, {"seed": "5"}, {"stopped": "2025-03-20"}):
        form = written(tmp_path, PLAN)
        form["lists"]["trials"][0]["values"] |= changed
        refused(tmp_path, form)
    row = written(tmp_path, PLAN)["lists"]["trials"][0]
    for trials in ([], [row, row]):
        refused(tmp_path, written(tmp_path, PLAN) | {"lists": {"trials": trials}})


def test_other_settings_are_saved_beside_a_trial_and_leave_it_alone(tmp_path: Path) -> None:
    form = written(tmp_path, PLAN)
    form["singles"]["title"] = "Thread"
    before = (tmp_path / "journal.toml").read_text(encoding="utf-8")
    assert save_settings.save(opened(tmp_path), form, now=NOW).saved
    after = (tmp_path / "journal.toml").read_text(encoding="utf-8")
    assert after.partition("[[trials]]")[2] == before.partition("[[trials]]")[2]


def test_a_habit_of_a_trial_stays(tmp_path: Path) -> None:
    """Without it the trial would be a problem of the file, which nobody can mend on a page."""
    for gone in (True, False):
        form = written(tmp_path, PLAN)
        if gone:
            form["lists"]["habits"] = []
        else:
            form["lists"]["habits"][0]["values"]["key"] = "stroll"
        result = save_settings.save(opened(tmp_path), form, now=NOW)
        assert [(one.field, one.message) for one in result.problems] == [
            ("habits", '"walk" stays: the trial “Does a walk lift the day?” needs it. Give it a last day instead.')
        ]


def test_a_trial_is_shown_in_words(tmp_path: Path) -> None:
    written(tmp_path, PLAN, {"key": "broken", "question": "?", "habit": "gone", "from": "soon"})
    shown = settings_form.offer(opened(tmp_path)).lists["trials"]
    assert (shown.made_on, shown.about[:6]) == ("month", "Trials")
    first, broken = ({fact.label: fact.text for fact in row.facts} for row in shown.rows)
    assert (first["Habit that is done by lot"], first["What is looked at"]) == ("Evening walk", "mood")
    assert (first["Looked at"], first["From"]) == ("on the day after", "13 March 2025")
    assert first["Days on which the result was asked for before the end"] == "13 March 2025"
    assert "Stopped on" not in first
    assert (broken["Habit that is done by lot"], broken["From"]) == ("gone", '"soon"')
