"""The endpoints of the forms."""

from __future__ import annotations

import datetime as dt
import gc
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from unittest import mock

import pytest

import journal
from journal import periods
from journal.errors import GoneError, JournalError
from journal.folder import atomic_write
from journal.pages import form_endpoints
from journal.pages.forms import Responder
from tests.evening.evenings import value
from tests.journals import write

DAY = dt.date(2025, 3, 13)
NOW = dt.datetime(2025, 3, 13, 22, 4, tzinfo=dt.UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(tmp_path / "journal", {DAY: {"mood": 3}}, habits=[{"key": "walk", "name": "Walk", "from": DAY}])


@pytest.fixture
def answers(folder: Path) -> Mapping[str, Responder]:
    return form_endpoints.answers(lambda: journal.open(folder, today=DAY), lambda: NOW)


def test_a_save_answers_before_the_new_offer_is_made(folder: Path, answers: Mapping[str, Responder]) -> None:
    offer = answers["day"]({"day": "2025-03-13"})["offer"]
    told = answers["save"]({"base": offer["base"], "day": offer["day"], "mood": 5})
    assert (told["answer"]["saved"], "offer" in told) == (True, False)
    after = answers["saved"]({"day": offer["day"]})["offer"]
    assert value(after, "mood") == 5
    assert after["base"] != offer["base"]
    stale = answers["save"]({"base": offer["base"], "day": offer["day"], "mood": 1})
    assert [one["field"] for one in stale["answer"]["conflict"]] == ["mood"]
    assert value(stale["offer"], "mood") == 5
    wrong = answers["save"]({"base": offer["base"], "day": offer["day"], "mood": 9})
    assert "offer" not in wrong
    assert wrong["answer"]["problems"][0]["field"] == "mood"


def test_a_save_does_not_wait_for_the_garbage_collector(answers: Mapping[str, Responder]) -> None:
    """With the pages of fifty years in memory, it takes ten times as long as a save. It runs again afterwards."""
    offer, running = answers["day"]({"day": "2025-03-13"})["offer"], list[bool]()

    replace = atomic_write.replace

    def replaced(*arguments: Any) -> None:
        running.append(gc.isenabled())
        replace(*arguments)

    with mock.patch.object(atomic_write, "replace", replaced):
        assert answers["save"]({"base": offer["base"], "day": offer["day"], "mood": 5})["answer"]["saved"]
    assert running == [False] and gc.isenabled()


@pytest.mark.parametrize("day", ["2025-03-14", "2025-02-30", None, 7])
def test_a_future_day_and_an_invalid_date_are_rejected(answers: Mapping[str, Responder], day: object) -> None:
    for ask in ("day", "fit"):
        if (ask, day) != ("day", "2025-03-14"):
            with pytest.raises(JournalError, match=str(day)):
                answers[ask]({"day": day})


def test_a_coming_day_leads_to_its_own_page(folder: Path, answers: Mapping[str, Responder]) -> None:
    coming = {"day": "2025-03-14", "title": "Friday 14 March 2025"}
    assert answers["day"]({"day": "2025-03-14"}) == {"coming": coming}
    book = journal.open(folder, today=DAY)
    assert form_endpoints.evening_at(book, DAY, dt.date(2025, 3, 14))["coming"] == coming
    assert "coming" not in form_endpoints.evening_at(book, DAY, None)


def test_an_evening_saved_after_the_clock_went_back_is_told_as_saved(folder: Path) -> None:
    earlier = DAY - dt.timedelta(days=2)
    answers = form_endpoints.answers(lambda: journal.open(folder, today=earlier), lambda: NOW)
    offer = form_endpoints.evening(journal.open(folder, today=DAY), DAY)
    told = answers["save"]({"base": offer["base"], "day": offer["day"], "mood": 5})
    assert told["answer"]["saved"]
    assert value(answers["saved"]({"day": str(DAY)})["offer"], "mood") == 5
    assert answers["day"]({"day": str(DAY)})["coming"]["closed"] is True
    assert "closed" not in answers["day"]({"day": "2025-03-14"})["coming"]


def test_a_conflict_is_told_even_if_the_journal_cannot_be_read_after_it(
    folder: Path, answers: Mapping[str, Responder], monkeypatch: pytest.MonkeyPatch
) -> None:
    offer = answers["day"]({"day": str(DAY)})["offer"]
    answers["save"]({"base": offer["base"], "day": offer["day"], "mood": 5})

    def gone(*_: object, **__: object) -> None:
        raise GoneError("there is no folder")

    monkeypatch.setattr(form_endpoints, "reopened", gone)
    told = answers["save"]({"base": offer["base"], "day": offer["day"], "mood": 1})
    assert (len(told["answer"]["conflict"]), "offer" in told) == (1, False)


def test_a_month_is_offered_and_saved(folder: Path, answers: Mapping[str, Responder]) -> None:
    offer = answers["month"]({"month": "2025-03"})["offer"]
    assert offer["days"][-1] == "2025-03-13"
    told = answers["save_month"]({"base": offer["base"], "marks": {"walk": {"2025-03-13": True}}})
    assert (told["answer"]["saved"], told["answer"]["said"]) == (True, "Saved 1 day, 13 March.")
    with pytest.raises(JournalError):
        answers["month"]({"month": "March"})


def test_the_name_of_a_journal_hides_its_folder(folder: Path, tmp_path: Path) -> None:
    assert form_endpoints.name(folder) == form_endpoints.name(tmp_path / "." / "journal")
    assert form_endpoints.name(folder) != form_endpoints.name(tmp_path)
    assert "journal" not in form_endpoints.name(folder)
    assert len(form_endpoints.name(folder)) == 16


@pytest.mark.parametrize(
    ("week", "shown"), [("2025-W11", True), ("2025-W10", True), ("2025-W09", False), ("2025-W12", False)]
)
def test_the_triage_list_is_shown_in_this_week_and_the_one_before(folder: Path, week: str, shown: bool) -> None:
    assert (
        form_endpoints.to_decide(journal.open(folder, today=DAY), periods.parse(week, week_starts="monday"))["shown"]
        is shown
    )


def test_a_decision_answers_with_the_new_list(tmp_path: Path) -> None:
    folder = write(tmp_path, {dt.date(2025, 3, 10): {"tasks": [{"title": "Fold"}, {"title": "Sew"}]}})
    decide = form_endpoints.decisions(lambda: journal.open(folder, today=DAY), lambda: NOW)["decide"]
    offer = form_endpoints.to_decide(journal.open(folder, today=DAY), periods.parse("2025-W11", week_starts="monday"))
    fold, sew = (task["ref"] for task in offer["tasks"])
    sent = {"base": offer["base"], "day": offer["day"]}
    told = decide(sent | {"decisions": [{"ref": fold, "what": "drop"}]})
    assert told["answer"]["saved"]
    assert [task["title"] for task in told["offer"]["tasks"]] == ["Sew"]
    wrong = decide(sent | {"decisions": [{"ref": sew, "what": "day"}]})
    assert [problem["field"] for problem in wrong["answer"]["problems"]] == ["decisions.0.to"]
    assert "offer" not in wrong, "what is to be mended stays under the eye"
    stale = decide(sent | {"day": "2025-03-12", "decisions": []})
    assert stale["answer"]["problems"]
    assert stale["offer"]["day"] == "2025-03-13"


def test_a_task_put_on_a_day_answers_with_the_new_days_and_is_taken_back(tmp_path: Path) -> None:
    folder = write(tmp_path, {dt.date(2025, 3, 14): {"tasks": [{"title": "Fold", "estimate": 20}]}})
    week = periods.parse("2025-W11", week_starts="monday")
    offer = form_endpoints.ahead(journal.open(folder, today=DAY), week)
    assert offer["shown"] is True
    moves = form_endpoints.moves(lambda: journal.open(folder, today=DAY), lambda: NOW)
    sent = {"base": offer["base"], "day": offer["day"], "ref": "2025-03-14/Fold", "to": "2025-03-15"}
    told = moves["put"](sent)
    assert told["said"] == '"Fold" is on Saturday 15 March. That day has 20 min of tasks.'
    assert [[task["title"] for task in day["tasks"]] for day in told["offer"]["days"][:2]] == [[], ["Fold"]]
    again = moves["put"](sent)
    assert (again["saved"], again["undo"]) == (False, "")
    assert again["said"].startswith('"Fold" does not stand there any more')
    assert moves["put"](sent | {"day": "2025-03-12"})["said"].startswith("It is 2025-03-13 by now")
    back = moves["back"]({"undo": told["undo"]})
    assert back["said"].startswith("Taken back.")
    assert [task["title"] for task in back["offer"]["days"][0]["tasks"]] == ["Fold"]
    assert moves["back"]({})["saved"] is False
