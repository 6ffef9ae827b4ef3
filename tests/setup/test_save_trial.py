"""Trials made, stopped, looked at and called off, as bytes of journal.toml, and what the list says of them."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

import journal
from journal import lots
from journal.folder import history
from journal.folder.page_versions import SETTINGS
from journal.saving import take_back
from journal.saving.save_pages import SaveResult
from journal.setup import save_trial, trial_form
from journal.setup.save_trial import TrialAction
from tests.journals import HOME

TODAY = dt.date(2025, 3, 13)
NOW = dt.datetime(2025, 3, 13, 21, 4, tzinfo=dt.UTC)

BEFORE = f"""\
# My own file.
title = "Spine and thread"   # as on the cover

{HOME}
[[habits]]
key = "walk"
name = "Walk"
every = "FREQ=DAILY"
from = 2025-01-01

[[habits]]
key = "read"
name = "Read"
every = "FREQ=DAILY"
from = 2025-01-01
until = 2025-03-31
target = 20   # pages

# The reviews.
[prompts]
week = ["What carried?"]
"""
PLAN: dict[str, Any] = {
    "question": "Does it help?", "habit": "walk", "outcome": "mood", "lag": 1, "from": "2025-03-14", "days": 60,
    "block": 2, "washout": 0,
}  # fmt: skip
MADE = """\
[[trials]]
key = "walk"
question = "Does it help?"
habit = "walk"
outcome = "mood"
lag = 1
from = 2025-03-14
days = 60
block = 2
washout = 0
seed = 4711
plan = "{digest}"

"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "journal.toml").write_text(BEFORE, encoding="utf-8")
    return tmp_path


def opened(folder: Path, today: dt.date = TODAY) -> Any:
    return journal.open(folder, today=today, cache=False)


def saved(
    folder: Path, what: TrialAction, raw: dict[str, Any], *, today: dt.date = TODAY, seed: int | None = 4711
) -> SaveResult:
    book = opened(folder, today)
    sent = {"base": trial_form.offer(book).base} | raw
    return save_trial.save(book, what, sent, now=NOW, by="month", seed=seed)


def text(folder: Path) -> str:
    return (folder / "journal.toml").read_text(encoding="utf-8")


def test_a_trial_is_written_with_its_seed_and_all_else_of_the_file_stays(folder: Path) -> None:
    assert saved(folder, "make", PLAN).saved
    (trial,) = opened(folder).settings.trials
    assert text(folder) == BEFORE.replace("# The reviews.", MADE.format(digest=lots.digest(trial)) + "# The reviews.")
    assert not lots.is_changed(trial)
    assert trial.start > TODAY  # written down before its first day


def test_it_is_taken_back_to_the_byte_and_the_history_has_both(folder: Path) -> None:
    result = saved(folder, "make", PLAN)
    back = take_back.take_back(opened(folder), result.undo, now=NOW, by="month")
    assert back.saved and text(folder) == BEFORE
    assert [state.by for state in history.states(folder, SETTINGS)][-2:] == ["month", "month"]


def test_each_new_trial_has_a_seed_of_its_own(folder: Path) -> None:
    seeds = [save_trial.new_seed() for _ in range(50)]
    assert len(set(seeds)) == 50
    assert all(0 <= seed < 10**9 for seed in seeds)
    saved(folder, "make", PLAN, seed=None)
    assert opened(folder).settings.trials[0].seed not in seeds


REFUSED = [
    ({"question": "  "}, "question", "The question is missing; write what you want to know."),
    ({"habit": "gone"}, "habit", 'Expected one of this journal, got "gone"; choose one of the list.'),
    ({"outcome": "weather"}, "outcome", 'Expected one of this journal, got "weather"; choose one of the list.'),
    ({"habit": "read", "outcome": "read"}, "outcome", "This is the habit itself; choose what it may change."),
    (
        {"outcome": "sleep", "lag": 0},
        "lag",
        "The night of the same day is over before the habit; choose the day after.",
    ),
    ({"lag": 2}, "lag", "Expected 0 for the same day or 1 for the day after, got 2; choose one of them."),
    ({"from": None}, "from", "The first day is missing; choose one."),
    (
        {"from": "2025-03-13"},
        "from",
        "Expected a day from 14 March 2025 on, got 13 March 2025: nothing is drawn for days that have begun.",
    ),
    ({"days": "x"}, "days", 'Expected a whole number, got "x"; write e.g. 1.'),
    ({"days": 900}, "days", "Expected a number from 1 to 731, got 900; write e.g. 60."),
    ({"block": 1}, "block", "Expected a number from 2 to 14, got 1; write e.g. 2."),
    (
        {"washout": 2},
        "washout",
        "Expected a number from 0 to 1, got 2; leave out fewer days than the 2 of a block, or none.",
    ),
    ({"days": 12}, "days", "Expected at least 24 days, 6 pairs of blocks, got 12 days, which can show nothing"),
    ({"habit": "read"}, "habit", "Read is not in force on all days until 12 May 2025; choose fewer days, or"),
]


@pytest.mark.parametrize(("changed", "field", "message"), REFUSED)
def test_what_cannot_be_drawn_is_told_at_its_field_and_nothing_is_saved(
    folder: Path, changed: dict[str, Any], field: str, message: str
) -> None:
    result = saved(folder, "make", PLAN | changed)
    assert not result.saved and text(folder) == BEFORE
    (problem,) = result.problems
    assert problem.field == field
    assert problem.message.startswith(message)


def test_a_habit_is_drawn_by_one_trial_at_a_time(folder: Path) -> None:
    saved(folder, "make", PLAN)
    again = saved(folder, "make", PLAN | {"from": "2025-05-12"})
    assert [problem.message for problem in again.problems] == [
        "Walk is drawn by lot until 12 May 2025 already; begin after it, or stop that."
    ]
    assert saved(folder, "make", PLAN | {"from": "2025-05-13"}).saved
    assert [trial.key for trial in opened(folder).settings.trials] == ["walk", "walk-2"]


def test_stopped_it_draws_today_and_no_day_after(folder: Path) -> None:
    saved(folder, "make", PLAN)
    day = dt.date(2025, 3, 20)
    result = saved(folder, "stop", {"ref": "walk"}, today=day)
    assert result.saved and not result.undo
    (trial,) = opened(folder, day).settings.trials
    assert (trial.stopped, lots.last_drawn(trial)) == (dt.date(2025, 3, 21), day)
    (row,) = trial_form.offer(opened(folder, dt.date(2025, 3, 22))).trials
    assert row.said[1] == "Stopped: nothing is drawn after 20 March 2025, 7 of 60 days."
    assert row.ways == []


def test_every_look_is_noted_once_a_day_and_stays(folder: Path) -> None:
    saved(folder, "make", PLAN)
    for day in (20, 20, 27):
        result = saved(folder, "look", {"ref": "walk"}, today=dt.date(2025, 3, day))
        assert result.saved and not result.undo
    (row,) = trial_form.offer(opened(folder, dt.date(2025, 3, 27))).trials
    assert row.said[2:] == ["Looked at before the end, on 20 March 2025 and 27 March 2025."]
    assert "looked = [2025-03-20, 2025-03-27]\n" in text(folder)


PHASES = [
    (dt.date(2025, 3, 13), ["off"]),
    (dt.date(2025, 3, 14), ["stop", "look"]),
    (dt.date(2025, 5, 11), ["stop", "look"]),
    (dt.date(2025, 5, 12), ["look"]),
    (dt.date(2025, 5, 13), ["look"]),
    (dt.date(2025, 5, 14), []),
]


@pytest.mark.parametrize(("day", "offered"), PHASES)
def test_what_is_not_offered_is_refused(folder: Path, day: dt.date, offered: list[TrialAction]) -> None:
    saved(folder, "make", PLAN)
    (row,) = trial_form.offer(opened(folder, day)).trials
    assert [way.what for way in row.ways] == offered
    made = text(folder)
    for what in ("off", "stop", "look"):
        if what not in offered:
            result = saved(folder, what, {"ref": "walk"}, today=day)
            assert not result.saved and result.problems[0].field == ""
            assert text(folder) == made


def test_called_off_before_its_first_day_it_leaves_no_trace(folder: Path) -> None:
    saved(folder, "make", PLAN)
    assert saved(folder, "off", {"ref": "walk"}).saved
    assert text(folder) == BEFORE


def test_one_that_went_elsewhere_is_told(folder: Path) -> None:
    saved(folder, "make", PLAN)
    book = opened(folder)
    sent = {"base": trial_form.offer(book).base, "ref": "gone"}
    result = save_trial.save(book, "stop", sent, now=NOW, by="month")
    assert [problem.message for problem in result.problems] == [
        "This trial is no longer in journal.toml; open the page anew."
    ]


def test_a_plan_that_was_changed_by_hand_is_told(folder: Path) -> None:
    saved(folder, "make", PLAN)
    (folder / "journal.toml").write_text(text(folder).replace("seed = 4711", "seed = 4712"), encoding="utf-8")
    (row,) = trial_form.offer(opened(folder)).trials
    assert row.said[-1] == "Its plan was changed after it was drawn."
