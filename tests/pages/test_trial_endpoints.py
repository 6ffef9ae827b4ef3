"""The requests of the trials' form: the length before anything is saved, and one more question for words of care."""

from __future__ import annotations

import datetime as dt
import queue
import threading
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

import journal
from journal.pages import trial_endpoints
from journal.pages.background_form import Tell
from journal.pages.forms import Responder
from journal.pages.trials_widget import TrialsForm
from journal.saving.form_values import FormValues
from journal.setup import trial_advice, trial_entered, trial_form
from tests.journals import write

DAY = dt.date(2025, 3, 13)
NOW = dt.datetime(2025, 3, 13, 22, 4, tzinfo=dt.UTC)
PLAN: dict[str, Any] = {
    "question": "Does it help?", "habit": "walk", "outcome": "mood", "lag": 1, "from": "2025-03-14", "days": 28,
    "block": 2, "washout": 0,
}  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    moods = {DAY - dt.timedelta(days=i): {"mood": 1 + (i * i) % 5} for i in range(60)}
    habit = {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": dt.date(2025, 1, 1)}
    return write(tmp_path / "journal", moods, habits=[habit])


@pytest.fixture
def answers(folder: Path) -> Mapping[str, Responder]:
    return trial_endpoints.trial_answers(lambda: journal.open(folder, today=DAY), lambda: NOW)


def base(folder: Path) -> dict[str, Any]:
    return {"base": trial_endpoints.trials(journal.open(folder, today=DAY))["base"]}


def test_the_length_is_told_of_a_plan_without_fault_and_nothing_is_saved(folder: Path) -> None:
    length = trial_endpoints.trial_lengths(lambda: journal.open(folder, today=DAY))["length"]
    before, told = (folder / "journal.toml").read_bytes(), list[str]()
    wrong, _ = length(PLAN | {"days": 3}, told.append)
    assert [problem["field"] for problem in wrong["problems"]] == ["days"]
    needed, own = length(PLAN, told.append)[0]["said"]
    assert needed.startswith("How long it must run: ")
    assert "60 values of your last year" in needed
    assert own.startswith("Yours of 28 days ")
    assert told == ["Counting in simulated trials…"] * 2
    assert (folder / "journal.toml").read_bytes() == before


def test_a_habit_with_a_rule_of_its_own_is_told_that_the_lot_does_not_follow_it(folder: Path) -> None:
    settings = folder / "journal.toml"
    daily = settings.read_text(encoding="utf-8")
    for rule, due in (
        ('every = "FREQ=WEEKLY;BYDAY=SU"', "every Sunday"),
        ('times = 3\nper = "week"', "3 times a week"),
        ('every = "FREQ=DAILY"', ""),
    ):
        settings.write_text(daily.replace('every = "FREQ=DAILY"', rule), encoding="utf-8")
        book, form = journal.open(folder, today=DAY, cache=False), FormValues()
        plan = trial_entered.plan(form, PLAN, book, seed=1)
        assert plan is not None
        told = trial_advice.words(book, plan)[2:]
        assert told == (
            [f"“Walk” is due {due} otherwise. The lot is drawn for all days alike: half of them ask for it."]
            * bool(due)
        )


def test_words_of_care_ask_once_more_and_a_sure_plan_is_drawn(folder: Path, answers: Mapping[str, Responder]) -> None:
    plan = PLAN | base(folder) | {"question": "Do I need the pills?"}
    asked = answers["make"](plan)
    assert asked == {"asks": trial_advice.asks_again(journal.open(folder, today=DAY), plan)}
    assert journal.open(folder, today=DAY).settings.trials == ()
    told = answers["make"](plan | {"sure": True})
    assert told["answer"]["saved"]
    assert [trial["question"] for trial in told["offer"]["trials"]] == ["Do I need the pills?"]
    back = answers["back"]({"undo": told["answer"]["undo"]})
    assert back["answer"]["saved"] and back["offer"]["trials"] == []


def test_the_name_of_the_habit_asks_too(folder: Path, answers: Mapping[str, Responder]) -> None:
    settings = folder / "journal.toml"
    settings.write_text(settings.read_text(encoding="utf-8").replace('"Walk"', '"No alcohol"'), encoding="utf-8")
    assert "“alcohol”" in answers["make"](PLAN | base(folder))["asks"][1]


def test_in_low_days_none_is_made_even_by_a_page_from_before(folder: Path, answers: Mapping[str, Responder]) -> None:
    sent = PLAN | base(folder)
    for page in folder.glob("2025/*.toml"):
        page.write_text("mood = 1\n", encoding="utf-8")
    told = answers["make"](sent)
    assert [problem["message"] for problem in told["answer"]["problems"]] == [trial_form.LOW_DAYS]
    assert told["offer"]["no_new"] == trial_form.LOW_DAYS


def test_the_page_answers_while_a_length_is_counted(folder: Path, answers: Mapping[str, Responder]) -> None:
    begun, go_on, sent = threading.Event(), threading.Event(), queue.Queue[Any]()

    def length(params: dict[str, Any], tell: Tell) -> tuple[dict[str, Any], None]:
        begun.set()
        assert go_on.wait(20)
        return {"said": ["a year"]}, None

    form = TrialsForm(trial_endpoints.trials(journal.open(folder, today=DAY)), answers, {"length": length})
    form.send = lambda content, buffers=None: sent.put(content)  # type: ignore[method-assign]
    form._receive(form, {"id": 7, "ask": "length", "of": PLAN}, [])
    assert begun.wait(20)
    form._receive(form, {"id": 8, "ask": "make", "of": PLAN | {"days": 3}}, [])
    assert (sent.get(timeout=20), sent.get(timeout=20)["id"]) == ({"id": 7, "working": ""}, 8)
    go_on.set()
    assert sent.get(timeout=20) == {"id": 7, "working": ""}
    assert sent.get(timeout=20) == {"id": 7, "said": ["a year"]}
