"""Putting a task on a day: it is there and nowhere else, and can be taken back to the byte."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from journal.folder import writing
from journal.folder.page_versions import Base
from journal.measures import tasks as measure
from journal.planning import task_days
from journal.saving import save_pages
from tests.evening.evenings import opened, text, written
from tests.planning.puts import NOW, TIN, TODAY, files, offered, open_on, put, tasks, undone

NEXT, TUESDAY, FRIDAY, LEFT = (dt.date(2025, 3, day) for day in (17, 18, 21, 14))

QUOTE: dict[str, Any] = {"title": "Quote", "estimate": 45, "since": dt.date(2025, 3, 3), "id": "t7k2"}
FOLD: dict[str, Any] = {"title": "Fold", "since": LEFT, "id": "f1"}
SORTED: dict[str, Any] = {"title": "Sort the tin", "since": dt.date(2025, 1, 2), "id": "u2p5"}


@pytest.mark.parametrize(
    ("ref", "to", "left", "there"),
    [
        ("undated/u2p5", "2025-03-18", [], [SORTED | {"status": "open"}]),
        ("2025-03-17/t7k2", "2025-03-18", [], [{"title": "Quote", "status": "open"} | QUOTE]),
        ("2025-03-17/t7k2", "undated", [], [SORTED, QUOTE]),
        ("2025-03-14/f1", "2025-03-21", [FOLD | {"status": "carried"}], [FOLD | {"status": "open"}]),
    ],
)  # fmt: skip
def test_a_task_goes_to_another_page_and_back_to_the_byte(
    tmp_path: Path, ref: str, to: str, left: list[dict[str, Any]], there: list[dict[str, Any]]
) -> None:
    pages: dict[dt.date, dict[str, Any]] = {
        NEXT: {"tasks": [QUOTE | {"rank": 1}]},
        LEFT: {"tasks": [{"title": "Fold", "id": "f1"}]},
    }
    folder = written(tmp_path, pages, TIN)
    before = files(folder)
    result = put(folder, offered(folder), ref, to)
    assert result.answer.saved, result
    assert (tasks(folder, ref.partition("/")[0]), tasks(folder, to)) == (left, there)
    assert not opened(folder, TODAY).problems
    assert undone(folder, result.undo).said.startswith("Taken back.")
    assert files(folder) == before


def test_a_task_typed_on_a_later_day_began_no_later_than_where_it_goes(tmp_path: Path) -> None:
    """A first day after the day of the page is a problem of the page, and hides an undated task."""
    folder = written(tmp_path, {FRIDAY: {"tasks": [{"title": "Fold"}, {"title": "Cut"}]}})
    assert put(folder, offered(folder), "2025-03-21/Fold", "2025-03-18").answer.saved
    assert put(folder, offered(folder), "2025-03-21/Cut", "undated").answer.saved
    assert [task["since"] for task in (*tasks(folder, "2025-03-18"), *tasks(folder, "undated"))] == [TUESDAY, TODAY]
    assert not opened(folder, TODAY).problems


def test_two_tasks_of_one_title_stay_two(tmp_path: Path) -> None:
    folder = written(
        tmp_path, {NEXT: {"tasks": [{"title": "Fold", "estimate": 10}, {"title": "Fold", "estimate": 99}]}}
    )
    assert put(folder, offered(folder), "2025-03-17/Fold (2)", "2025-03-18").answer.saved
    assert [task.get("estimate") for task in tasks(folder, "2025-03-17")] == [10]
    assert put(folder, offered(folder), "2025-03-17/Fold", "2025-03-18").answer.saved
    there = tasks(folder, "2025-03-18")
    assert ([task["estimate"] for task in there], len({task["id"] for task in there})) == ([99, 10], 2)


def test_a_task_carried_by_hand_stays_one_task(tmp_path: Path) -> None:
    row = {"title": "Fold", "since": dt.date(2025, 3, 10)}
    pages: dict[dt.date, dict[str, Any]] = {
        dt.date(2025, 3, 10): {"tasks": [{"title": "Fold", "status": "carried", "id": "f9"}]},
        LEFT: {"tasks": [row]},
    }
    folder = written(tmp_path, pages)
    (waiting,) = offered(folder)["waiting"]
    assert put(folder, offered(folder), waiting["ref"], "2025-03-18").answer.saved
    (life,) = measure.lives(opened(folder, TODAY).tables.tasks, today=TODAY).iter_rows(named=True)
    assert (life["since"], life["carried"], tasks(folder, "2025-03-18")[0]["id"]) == (row["since"], 2, "f9")


def test_the_second_of_two_windows_is_told_and_the_task_is_on_one_day(tmp_path: Path) -> None:
    folder = written(tmp_path, {LEFT: {"tasks": [{"title": "Fold"}]}}, TIN)
    stale = offered(folder)
    for ref, title in (("undated/u2p5", "Sort the tin"), ("2025-03-14/Fold", "Fold")):
        assert put(folder, stale, ref, "2025-03-17").answer.saved
        before = files(folder)
        (trouble,) = put(folder, stale, ref, "2025-03-18").answer.problems
        assert trouble.message.startswith(f'"{title}" does not stand there any more')
        assert files(folder) == before
    # From the same stale page, another task of a page that changed meanwhile can be moved.
    (folder / "undated.toml").write_text(TIN + '[[tasks]]\ntitle = "New"\n', encoding="utf-8")
    assert put(folder, stale, "undated/u2p5", "2025-03-18").answer.saved


def test_a_change_of_the_task_meanwhile_goes_along(tmp_path: Path) -> None:
    folder = written(tmp_path, {NEXT: {"tasks": [QUOTE]}})
    stale = offered(folder)
    path = folder / "2025" / f"{NEXT}.toml"
    path.write_text(text(folder, NEXT).replace("45", "90") + "\n[habits]\nwalk = true\n", encoding="utf-8")
    assert put(folder, stale, "2025-03-17/t7k2", "2025-03-18").answer.saved
    assert tasks(folder, "2025-03-18")[0]["estimate"] == 90
    assert "walk = true" in text(folder, NEXT)


@pytest.mark.parametrize(
    ("ref", "to", "message"),
    [
        ("undated/u2p5", "2025-03-17", "2025/2025-03-17.toml:1"),
        ("undated/u2p5", "2025-03-16", "expected a day after 2025-03-16"),
        ("undated/u2p5", "soon", "expected a day after 2025-03-16"),
        ("undated/none", "2025-03-18", "This task does not stand there any more"),
        ("2025-03-17/x", "2025-03-18", "2025/2025-03-17.toml:1"),
        ("2031-03-17/x", "2025-03-18", "This task does not stand there any more"),
        ("2025-03-21/t7k2", "2025-03-18", '"Quote" has "colour" in 2025/2025-03-21.toml, which would be lost'),
        ("2025-03-21/d1", "2025-03-18", '"Done" does not stand there any more'),
    ],
)
def test_what_cannot_be_put_is_told_and_nothing_is_written(tmp_path: Path, ref: str, to: str, message: str) -> None:
    done = {"title": "Done", "status": "done", "id": "d1"}
    folder = written(tmp_path, {FRIDAY: {"tasks": [QUOTE | {"colour": "grey"}, done]}}, TIN)
    (folder / "2025" / f"{NEXT}.toml").write_text("tasks = [", encoding="utf-8")
    before = files(folder)
    (trouble,) = put(folder, offered(folder), ref, to).answer.problems
    assert message in trouble.message
    assert files(folder) == before


def test_a_task_without_a_title_is_told(tmp_path: Path) -> None:
    folder = written(tmp_path, {}, '[[tasks]]\nid = "u2p5"\nestimate = 30\n')
    (trouble,) = put(folder, offered(folder), "undated/u2p5", "2025-03-17").answer.problems
    assert trouble.message == "the task has no title in undated.toml; give it one there."


def test_another_day_and_a_form_that_is_none_are_rejected(tmp_path: Path) -> None:
    folder = written(tmp_path, {}, TIN)
    for raw in (None, {"day": "2025-03-15", "ref": "undated/u2p5"}, {"day": "2025-03-16", "ref": "undated/u2p5"}):
        assert task_days.put(opened(folder, TODAY), raw, now=NOW).answer.problems
    settings, page = writing.look(folder, "settings"), Base("2025-13", "2025/2025-13.toml", b"")
    for pairs in ([(Base("settings", "journal.toml", None), settings)], [(page, page)], [(page, settings)]):
        assert undone(folder, save_pages.packed(pairs)).problems
    for undo in ("?", None, ""):
        assert undone(folder, undo).problems
    assert (folder / "journal.toml").exists()


def test_taking_back_keeps_what_was_changed_since(tmp_path: Path) -> None:
    folder = written(tmp_path, {TUESDAY: {"tasks": [{"title": "Cut"}]}}, TIN)
    result = put(folder, offered(folder), "undated/u2p5", "2025-03-18")
    path = folder / "2025" / f"{TUESDAY}.toml"
    path.write_text("mood = 4\n" + text(folder, TUESDAY), encoding="utf-8")
    assert undone(folder, result.undo).said == "Taken back. What was changed there meanwhile is kept."
    assert (folder / "undated.toml").read_text(encoding="utf-8") == TIN
    assert text(folder, TUESDAY).startswith("mood = 4\n")
    assert [task["title"] for task in tasks(folder, "2025-03-18")] == ["Cut"]


def test_a_task_done_since_is_not_taken_back(tmp_path: Path) -> None:
    folder = written(tmp_path, {}, TIN)
    result = put(folder, offered(folder), "undated/u2p5", "2025-03-18")
    path = folder / "2025" / f"{TUESDAY}.toml"
    path.write_text(text(folder, TUESDAY).replace('"open"', '"done"'), encoding="utf-8")
    before = files(folder)
    answer = undone(folder, result.undo)
    assert (answer.saved, answer.said) == (
        False, 'Not taken back: "2025/2025-03-18.toml" was changed in the same place since.',
    )  # fmt: skip
    assert files(folder) == before


def test_a_put_is_not_taken_back_once_the_task_was_moved_on(tmp_path: Path) -> None:
    """It would stand on two days."""
    folder = written(tmp_path, {}, TIN)
    first = put(folder, offered(folder), "undated/u2p5", "2025-03-18")
    second = put(folder, offered(folder), "2025-03-18/u2p5", "2025-03-21")
    before = files(folder)
    answer = undone(folder, first.undo)
    assert not answer.saved and answer.problems[0].message.startswith('Not taken back: "Sort the tin" was moved on')
    assert files(folder) == before
    assert undone(folder, second.undo).saved and undone(folder, first.undo).saved
    assert open_on(folder, "Sort the tin") == ["undated"]
