"""A task stands open in one place, whatever pages that are out of date do with it. Two tasks of one title are two."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import msgspec
import pytest

from journal.evening import form_build, save_evening, triage_list, triage_save
from journal.planning import task_days, week_ahead
from journal.saving.save_pages import SaveResult
from tests.evening.evenings import entered, opened, written
from tests.planning.days import NOW, TODAY, TOMORROW, edited, shown, undone
from tests.promises.ledger import pages

LATER = "2025-03-18"
FOLD = {"title": "Fold"}


def standing(folder: Path, *titles: str) -> list[str]:
    """The pages on which a task of one of these titles stands open, one for each row."""
    found = pages(folder)
    assert found is not None
    rows = [(key, row) for key, values in found.items() for row in values.get("tasks", [])]
    return sorted(key for key, row in rows if row["title"] in titles and row.get("status", "open") == "open")


def put(folder: Path, ref: str, to: str) -> task_days.PutResult:
    """Put a task on a day, from a page that has just been opened."""
    page = msgspec.to_builtins(week_ahead.offer(opened(folder, TODAY)))
    result = task_days.put(opened(folder, TODAY), page | {"ref": ref, "to": to}, now=NOW)
    assert result.answer.saved, result.answer
    return result


def evening(folder: Path, **values: Any) -> None:
    """Save an evening from a form that has just been opened."""
    book = opened(folder, TODAY)
    raw = entered(msgspec.json.decode(msgspec.json.encode(form_build.offer(book, TODAY))), **values)
    answer = save_evening.save(book, raw, now=NOW)
    assert answer.saved, answer


def moved_on(answer: SaveResult, words: str) -> bool:
    """Whether nothing was saved, and that is the reason."""
    return (
        not answer.saved and not answer.conflict and [words in problem.message for problem in answer.problems] == [True]
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return written(tmp_path / "journal", {TODAY: {"tasks": [FOLD]}, TOMORROW: {"tasks": [{"title": "Sew"}]}})


def test_a_task_that_was_moved_and_reworded_is_not_decided_on_as_it_was(folder: Path) -> None:
    book = opened(folder, TOMORROW)
    page = msgspec.to_builtins(triage_list.offer(book))
    (ref,) = (task["ref"] for task in page["tasks"] if task["title"] == "Fold")
    assert edited(folder, {"what": "move", "ref": "Fold", "to": LATER}).answer.saved
    on = shown(folder, dt.date.fromisoformat(LATER))
    assert edited(folder, {"what": "task", "ref": on["tasks"][0]["ref"], "title": "Fold ten"}, on=on).answer.saved
    raw = page | {"decisions": [{"ref": ref, "what": "do"}]}
    answer = triage_save.decide(opened(folder, TOMORROW), raw, now=NOW + dt.timedelta(1))
    assert moved_on(answer, '"Fold" was moved elsewhere since')
    assert standing(folder, "Fold", "Fold ten") == [LATER]


def test_an_undated_task_that_was_moved_and_reworded_is_not_taken_in(tmp_path: Path) -> None:
    folder = written(tmp_path / "journal", undated='[[tasks]]\ntitle = "Oil the press"\nsince = 2025-03-02\n')
    page = shown(folder)
    put(folder, "undated/Oil the press 2025-03-02", LATER)
    path = folder / "2025" / f"{LATER}.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("Oil the press", "Oil it"), encoding="utf-8")
    answer = edited(folder, {"what": "take in", "ref": "undated/Oil the press 2025-03-02"}, on=page).answer
    assert moved_on(answer, "was moved elsewhere since")
    assert standing(folder, "Oil the press", "Oil it") == [LATER]


def test_a_task_of_a_coming_day_that_was_put_away_is_not_moved_from_there(folder: Path) -> None:
    """It has another first day without a day than on that day, so it was not found there by title and first day."""
    page = shown(folder, TOMORROW)
    put(folder, f"{TOMORROW}/Sew", "undated")
    answer = edited(folder, {"what": "move", "ref": "Sew", "to": LATER}, on=page).answer
    assert moved_on(answer, '"Sew" was moved elsewhere since')
    assert standing(folder, "Sew") == ["undated"]


@pytest.mark.parametrize("edit", [{"title": "Sew ten"}, {"status": "done"}, {"estimate": 20}])
def test_a_task_is_not_changed_where_it_stands_no_more(folder: Path, edit: dict[str, Any]) -> None:
    page = shown(folder, TOMORROW)
    evening(folder, tomorrow={"tasks": []})
    assert standing(folder, "Sew") == ["undated"]
    answer = edited(folder, edit | {"what": "task", "ref": "Sew"}, on=page).answer
    assert moved_on(answer, "It stands on undated by now")
    assert standing(folder, "Sew", "Sew ten") == ["undated"]


def test_a_rewording_of_a_task_that_is_elsewhere_is_not_taken_back(folder: Path) -> None:
    result = edited(folder, {"what": "task", "ref": "Sew", "title": "Sew ten"}, on=shown(folder, TOMORROW))
    put(folder, f"{TOMORROW}/Sew ten", "undated")
    assert moved_on(undone(folder, result.undo).answer, '"Sew ten" was moved on since')
    assert standing(folder, "Sew", "Sew ten") == ["undated"]


def test_a_put_is_not_taken_back_once_further_pages_know_the_task_by_its_id(folder: Path) -> None:
    """It is where it was put again. But it has been on another page meanwhile, which has the id that it got."""
    result = put(folder, f"{TODAY}/Fold", "undated")
    (row,) = (pages(folder) or {})["undated"]["tasks"]
    book = opened(folder, TOMORROW)
    raw = entered(msgspec.json.decode(msgspec.json.encode(form_build.offer(book, TOMORROW))))
    new = {"ref": None, "title": "Fold", "rank": None, "from": "undated", "source_ref": row["id"]}
    raw["tomorrow"]["tasks"].append(new)
    assert save_evening.save(book, raw, now=NOW + dt.timedelta(1)).saved
    assert standing(folder, "Fold") == ["2025-03-15"]
    day = dt.date(2025, 3, 15)
    on = shown(folder, day, today=day)
    assert edited(folder, {"what": "put away", "ref": row["id"]}, on=on, today=day).answer.saved
    assert standing(folder, "Fold") == ["undated"]
    assert moved_on(undone(folder, result.undo).answer, '"Fold" was moved on since')
    assert standing(folder, "Fold") == ["undated"]


def test_a_task_that_is_written_again_is_another_task(folder: Path) -> None:
    """It had the first day and the title of the first one, and so got its id when it was moved on that day."""
    put(folder, f"{TOMORROW}/Sew", LATER)
    assert edited(folder, {"what": "add task", "title": "Sew"}, on=shown(folder, TOMORROW)).answer.saved
    assert standing(folder, "Sew") == [str(TOMORROW), LATER]
    on = shown(folder, TOMORROW, today=TOMORROW)
    assert edited(folder, {"what": "put away", "ref": "Sew"}, on=on, today=TOMORROW).answer.saved
    assert standing(folder, "Sew") == [LATER, "undated"]
    found = pages(folder) or {}
    assert found["undated"]["tasks"][0]["id"] != found[LATER]["tasks"][0]["id"]


WAYS = {"move": LATER, "put away": "undated", "carry": str(TOMORROW), "take off": "undated"}


@pytest.mark.parametrize("way", WAYS)
def test_two_tasks_of_one_title_both_remain(tmp_path: Path, way: str) -> None:
    """Both go from the same day to the same place, one after the other."""
    day = TOMORROW if way == "take off" else TODAY
    folder = written(tmp_path / "journal", {day: {"tasks": [FOLD, FOLD]}})
    for _ in range(2):
        page = shown(folder, day)
        ref = next(task["ref"] for task in page["tasks"] if task["status"] == "open")
        if way in ("move", "put away"):
            assert edited(folder, {"what": way, "ref": ref, "to": LATER}, on=page).answer.saved
        elif way == "carry":
            new = {"ref": None, "title": "Fold", "rank": None, "from": "carried", "source_ref": ref}
            there = [{"ref": task["ref"], "title": "Fold"} for task in shown(folder, TOMORROW)["tasks"]]
            tasks = [{"ref": ref, "title": "Fold", "what": "carry", "touched": True}]
            evening(folder, tasks=tasks, tomorrow={"tasks": [*there, new]})
        else:
            others = [{"ref": task["ref"], "title": "Fold"} for task in page["tasks"] if task["ref"] != ref]
            evening(folder, tomorrow={"tasks": others})
    assert standing(folder, "Fold") == [WAYS[way]] * 2


@pytest.mark.parametrize("way", ["decide", "pull"])
def test_two_tasks_of_one_title_and_first_day_go_to_one_place(tmp_path: Path, way: str) -> None:
    """One was written for the day and has gone there since the page was opened. The other one was taken for it."""
    folder = written(tmp_path / "journal", {TODAY: {"tasks": [FOLD]}})
    assert edited(folder, {"what": "add undated", "title": "Fold"}).answer.saved
    to, ref = (LATER if way == "decide" else str(TOMORROW)), f"Fold {TODAY}"
    page = msgspec.to_builtins(triage_list.offer(opened(folder, TODAY)))
    form = msgspec.json.decode(msgspec.json.encode(form_build.offer(opened(folder, TODAY), TODAY)))
    put(folder, f"{TODAY}/Fold", to)
    if way == "decide":
        raw = page | {"decisions": [{"ref": f"undated/{ref}", "what": "day", "to": to}]}
        answer = triage_save.decide(opened(folder, TODAY), raw, now=NOW)
    else:
        pulled = {"ref": None, "title": "Fold", "rank": None, "from": "undated", "source_ref": ref}
        answer = save_evening.save(opened(folder, TODAY), entered(form, tomorrow={"tasks": [pulled]}), now=NOW)
    assert answer.saved, answer
    assert standing(folder, "Fold") == [to, to]


def test_one_of_two_tasks_of_one_title_is_decided_on(tmp_path: Path) -> None:
    folder = written(tmp_path / "journal", {TODAY: {"tasks": [FOLD, FOLD]}})
    page = msgspec.to_builtins(triage_list.offer(opened(folder, TOMORROW)))
    for _ in range(2):  # the second time, the window is out of date
        raw = page | {"decisions": [{"ref": f"{TODAY}/Fold", "what": "day", "to": LATER}]}
        assert triage_save.decide(opened(folder, TOMORROW), raw, now=NOW + dt.timedelta(1)).saved
        assert standing(folder, "Fold") == [str(TODAY), LATER]


def test_two_tasks_of_one_title_of_a_coming_day_are_put_away(tmp_path: Path) -> None:
    folder = written(tmp_path / "journal", {TOMORROW: {"tasks": [FOLD, FOLD]}})
    for _ in range(2):
        assert edited(folder, {"what": "put away", "ref": "Fold"}, on=shown(folder, TOMORROW)).answer.saved
    assert standing(folder, "Fold") == ["undated", "undated"]


def test_an_addition_is_not_taken_back_once_it_is_on_another_page(folder: Path) -> None:
    """It was told as taken back, and stood where it had been moved."""
    result = edited(folder, {"what": "add undated", "title": "Oil the press"})
    put(folder, f"undated/Oil the press {TODAY}", LATER)
    assert moved_on(undone(folder, result.undo).answer, '"Oil the press" was moved on since')
    assert standing(folder, "Oil the press") == [LATER]


@pytest.mark.parametrize("way", ["put away", "take in", "put", "decide"])
def test_a_task_of_the_same_title_and_first_day_elsewhere_remains(tmp_path: Path, way: str) -> None:
    """One was written for the day, the other one without a day, on the same day."""
    folder = written(tmp_path / "journal", {TODAY: {"tasks": [FOLD]}})
    assert edited(folder, {"what": "add undated", "title": "Fold"}).answer.saved
    ref = f"undated/Fold {TODAY}"
    if way == "put away":
        assert edited(folder, {"what": way, "ref": "Fold"}).answer.saved
    elif way == "take in":
        new = {"ref": None, "title": "Fold", "rank": None, "from": "undated", "source_ref": f"Fold {TODAY}"}
        put(folder, f"{TODAY}/Fold", str(TOMORROW))
        there = [{"ref": task["ref"], "title": "Fold"} for task in shown(folder, TOMORROW)["tasks"]]
        evening(folder, tomorrow={"tasks": [*there, new]})
    elif way == "put":
        put(folder, ref, LATER)
    else:
        page = msgspec.to_builtins(triage_list.offer(opened(folder, TOMORROW)))
        raw = page | {"decisions": [{"ref": ref, "what": "day", "to": LATER}]}
        triage_save.decide(opened(folder, TOMORROW), raw, now=NOW + dt.timedelta(1))
    assert len(standing(folder, "Fold")) == 2


def test_a_task_that_is_written_where_an_undo_brings_one_back_remains(tmp_path: Path) -> None:
    folder = written(tmp_path / "journal", undated='[[tasks]]\ntitle = "Fold"\nid = "f3d2"\n')
    result = put(folder, "undated/f3d2", LATER)
    (folder / "undated.toml").write_text('[[tasks]]\ntitle = "Fold"\n', encoding="utf-8")
    assert undone(folder, result.undo).answer.saved
    assert standing(folder, "Fold") == ["undated", "undated"]


def test_a_task_that_is_taken_off_remains_beside_that_of_an_earlier_day(tmp_path: Path) -> None:
    """Both were written where they stand, so neither has an id or a first day."""
    folder = written(tmp_path / "journal", {TODAY: {"tasks": [FOLD]}, TOMORROW: {"tasks": [FOLD]}})
    evening(folder, tomorrow={"tasks": []})
    assert standing(folder, "Fold") == [str(TODAY), "undated"]


def test_two_left_tasks_of_one_title_are_offered_each_by_its_own_row(tmp_path: Path) -> None:
    """Both were offered as the first one, and carrying that made two of it."""
    own = FOLD | {"id": "f3d2", "since": dt.date(2025, 3, 11)}
    folder = written(tmp_path / "journal", {dt.date(2025, 3, 12): {"tasks": [FOLD, own]}})
    offer = form_build.offer(opened(folder, TODAY), TODAY)
    assert sorted(task.ref for task in offer.tasks) == ["2025-03-12/Fold", "2025-03-12/f3d2"]


def test_a_carried_task_of_an_earlier_day_that_is_left_as_it_is_goes_nowhere(tmp_path: Path) -> None:
    """Somebody has deleted it where it stood. Every evening that did not touch it carried it to the next day."""
    own = FOLD | {"id": "f3d2", "status": "carried"}
    folder = written(tmp_path / "journal", {dt.date(2025, 3, 12): {"tasks": [own]}})
    evening(folder)
    assert standing(folder, "Fold") == []
