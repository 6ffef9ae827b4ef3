"""`duskbook trial`: made, listed, stopped, looked at and read, with what is printed and what the file says."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import journal
from journal import lots
from journal.cli import duskbook
from journal.commands import clock, trial_commands
from journal.settings import Trial
from journal.setup import trial_advice
from tests import journals

NOW = dt.datetime(2025, 3, 13, 21, 4, tzinfo=dt.UTC)
HABIT = {"key": "walk", "name": "Walk by the river", "every": "FREQ=DAILY", "from": dt.date(2025, 1, 1)}
MAKE = ("make", "--habit", "Walk by the river", "--outcome", "mood", "--from", "2025-03-14", "--days", "28")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    at(monkeypatch, NOW)
    return journals.write(tmp_path / "journal", {}, habits=[HABIT])


@pytest.fixture
def unhurried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the simulation, which the first test runs."""
    monkeypatch.setattr(trial_advice, "words", lambda book, plan: ["Long enough."])


def at(monkeypatch: pytest.MonkeyPatch, moment: dt.datetime) -> None:
    monkeypatch.setattr(clock, "now", lambda: moment)


def run(folder: Path, *words: str, code: int = 0) -> str:
    key = [] if words[0] in ("make", "list") else [words[1]]
    options = words[1 + len(key) :]
    answer = CliRunner().invoke(duskbook, ["trial", words[0], *key, str(folder), *options], standalone_mode=False)
    if answer.exception is not None:
        assert code == 2, answer.exception
        return str(answer.exception)
    assert answer.return_value in (code, None if code == 0 else code)
    return answer.output


def settings(folder: Path) -> tuple[Trial, ...]:
    return journal.open(folder, today=NOW.date(), cache=False).settings.trials


def test_it_says_what_it_is_not_for_and_how_long_and_draws_only_after_a_yes(folder: Path) -> None:
    before = (folder / "journal.toml").read_bytes()
    said = run(folder, *MAKE)
    assert said.startswith("A trial by lot is not for medicines or doses")
    assert "How long it must run: " in said
    assert said.endswith("Nothing is written: there is no terminal to ask on. Add --yes.\n")
    assert (folder / "journal.toml").read_bytes() == before
    said = run(folder, *MAKE, "--yes")
    (trial,) = settings(folder)
    assert (trial.habit, trial.lag, trial.days, trial.plan) == ("walk", 1, 28, lots.digest(trial))
    assert f"seed {trial.seed}" in said
    assert trial.question == "Does “Walk by the river” change mood the day after?"
    assert (folder / ".history").exists()


@pytest.mark.usefixtures("unhurried")
def test_a_plan_with_words_of_care_is_refused_unless_it_is_none_of_these(folder: Path) -> None:
    words = (*MAKE, "--question", "Does my dose matter?", "--yes")
    assert run(folder, *words, code=2) == 'nothing is drawn; "--sure" says that it is none of these'
    assert settings(folder) == ()
    run(folder, *words, "--sure")
    assert len(settings(folder)) == 1


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--from", "2025-03-13"), "--from: Expected a day from 14 March 2025 on, got 13 March 2025"),
        (("--days", "12"), "--days: Expected at least 24 days"),
        (("--outcome", "weather"), '--outcome: Expected one of this journal, got "weather"'),
    ],
)
def test_what_cannot_be_drawn_is_told_by_its_option(
    folder: Path, capsys: pytest.CaptureFixture[str], options: tuple[str, ...], message: str
) -> None:
    said = run(folder, *MAKE, *options, "--yes", code=1)
    assert message in said + capsys.readouterr().err
    assert settings(folder) == ()


@pytest.mark.usefixtures("unhurried")
def test_a_trial_is_looked_at_stopped_and_read(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run(folder, *MAKE, "--yes")
    assert "nothing is to be stopped" in run(folder, "stop", "walk", "--yes", code=2)
    (trial,) = settings(folder)
    live(folder, trial, 20)
    at(monkeypatch, NOW + dt.timedelta(days=20))
    assert "is not over: Day 20 of 28" in run(folder, "result", "walk", code=2)
    assert "Done as drawn on 20 of 20 days." in run(folder, "list")
    run(folder, "look", "walk", code=1)
    assert settings(folder)[0].looked == ()
    looked = run(folder, "look", "walk", "--yes")
    assert settings(folder)[0].looked == (dt.date(2025, 4, 2),)
    assert "On days drawn on, mood the day after was" in looked
    assert "The trial still runs" in looked
    run(folder, "stop", "walk", "--yes")
    assert settings(folder)[0].stopped == dt.date(2025, 4, 3)
    at(monkeypatch, NOW + dt.timedelta(days=22))
    said = run(folder, "result", "walk")
    assert "You stopped it after 20 of 28 days. You had looked once before" in said
    assert "Stopped: nothing is drawn after 2 April 2025, 20 of 28 days." in run(folder, "list")
    assert 'there is no trial "read"' in run(folder, "result", "read", code=2)


def live(folder: Path, trial: Trial, days: int) -> None:
    """Write days as drawn, with a mood of 4 the day after "on", else of 3."""
    on: dict[dt.date, Any] = {lot.date: lot.is_on for lot in lots.lots(trial)}
    for place in range(days + 1):
        day = trial.start + dt.timedelta(days=place)
        mood = 4 if on.get(day - dt.timedelta(days=1)) else 3
        page = folder / "2025" / f"{day}.toml"
        page.parent.mkdir(exist_ok=True)
        page.write_text(f"mood = {mood}\n\n[habits]\nwalk = {str(on[day]).lower()}\n")


@pytest.mark.usefixtures("unhurried")
def test_on_a_terminal_what_is_not_given_is_asked_for(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trial_commands, "is_terminal", lambda: True)
    question = "Do I sleep longer after a walk?"
    typed = ["nothing of mine", "walk", "sleep", "1", question, "soon", "2025-03-20", "28", "", ""]
    answer = CliRunner().invoke(duskbook, ["trial", "make", str(folder)], "\n".join([*typed, "y"]) + "\n")
    assert "there is no habit" in answer.output  # and the question is asked again
    assert '"soon" does not fit here; write e.g. "2025-03-14"' in answer.output
    (trial,) = settings(folder)
    assert (trial.habit, trial.outcome, trial.question, str(trial.start), trial.days, trial.block) == (
        ("walk", "sleep", question, "2025-03-20", 28, 2)
    )


def test_where_none_can_be_made_nothing_is_asked_and_the_reason_keeps_its_capitals(folder: Path) -> None:
    (folder / "journal.toml").write_text('title = "Small"\n', encoding="utf-8")
    assert run(folder, "make", code=2) == (
        "no habit is in force, so there is nothing to do by lot. Habits are made on the settings page"
    )
    journals.write(
        folder.parent / "low", {NOW.date() - dt.timedelta(days=i): {"mood": 1} for i in range(20)}, habits=[HABIT]
    )
    assert run(folder.parent / "low", "make", code=2).startswith("mood was low on most days of late")
