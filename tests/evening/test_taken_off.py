"""A task taken off the next day is nowhere lost: it goes back where it came from, or to the tasks without a day."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path
from typing import Any

import pytest

from journal.evening import save_evening
from tests.evening.evenings import DAY, NEXT, NOW, entered, fields, offered, opened, saved, text, written
from tests.evening.test_save_evening import page

NONE_LEFT: dict[str, Any] = {"tasks": []}


def undated(folder: Path) -> list[dict[str, Any]]:
    path = folder / "undated.toml"
    tasks = tomllib.loads(path.read_text(encoding="utf-8")).get("tasks", []) if path.exists() else []
    assert isinstance(tasks, list)
    return tasks


def without_id(task: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in task.items() if name != "id"}


@pytest.mark.parametrize(
    ("task", "after"),
    [
        ({"title": "Quote"}, {"title": "Quote", "since": DAY}),
        ({"title": "Quote", "estimate": 45, "rank": 1}, {"title": "Quote", "estimate": 45, "since": DAY}),
        ({"title": "Quote", "since": NEXT}, {"title": "Quote", "since": DAY}),
        ({"title": "Quote", "since": NEXT, "id": "t7k2"}, {"title": "Quote", "since": DAY}),
        ({"title": "Quote", "since": dt.date(2025, 3, 11)}, {"title": "Quote", "since": dt.date(2025, 3, 11)}),
    ],
)
def test_it_goes_to_the_tasks_without_a_day(tmp_path: Path, task: dict[str, Any], after: dict[str, Any]) -> None:
    folder = written(tmp_path, {NEXT: {"tasks": [task, {"title": "Sew"}]}})
    raw = entered(offered(folder))
    raw["tomorrow"]["tasks"] = [one for one in raw["tomorrow"]["tasks"] if one["title"] == "Sew"]
    for _ in range(2):  # and a second click
        assert saved(folder, raw).saved
        assert [one["title"] for one in page(folder, NEXT)["tasks"]] == ["Sew"]
        (only,) = undated(folder)
        assert without_id(only) == after
        assert only["id"] == task.get("id", only["id"])
    assert not opened(folder).problems


def test_one_that_was_only_typed_goes_there_too(tmp_path: Path) -> None:
    folder = written(tmp_path)
    raw = entered(offered(folder), tomorrow={"set_aside": [{"title": " Quote ", "estimate": 45}, {"title": "Sew"}]})
    assert saved(folder, raw).saved and saved(folder, raw).saved
    assert [without_id(one) for one in undated(folder)] == [
        {"title": "Quote", "estimate": 45, "since": DAY},
        {"title": "Sew", "since": DAY},
    ]
    wrong = entered(offered(folder), tomorrow={"set_aside": [{"title": "Cut", "estimate": -1}, {"title": "x\ud800"}]})
    assert list(fields(save_evening.save(opened(folder), wrong, now=NOW))) == [
        "tomorrow.set_aside.1.title",
        "tomorrow.set_aside.0.estimate",
    ]


def test_a_routine_comes_round_again_and_leaves_nothing(tmp_path: Path) -> None:
    folder = written(tmp_path, {NEXT: {"tasks": [{"title": "Sweep", "estimate": 30}, {"title": "Sew"}]}})
    offer = offered(folder)
    assert [task["comes_round"] for task in offer["tomorrow"]["tasks"]] == [True, False]
    assert saved(folder, entered(offer, tomorrow=NONE_LEFT)).saved
    assert [one["title"] for one in undated(folder)] == ["Sew"]
    assert "Sweep" in [one["title"] for one in offered(folder)["tomorrow"]["routines"]]


def test_one_of_a_routine_that_waits_since_an_earlier_day_is_kept(tmp_path: Path) -> None:
    task = {"title": "Sweep", "since": dt.date(2025, 3, 7), "id": "r2d2"}
    folder = written(tmp_path, {NEXT: {"tasks": [task]}})
    assert saved(folder, entered(offered(folder), tomorrow=NONE_LEFT)).saved
    assert undated(folder) == [task]


@pytest.mark.parametrize("status", ["done", "dropped", "carried"])
def test_what_is_settled_stays_on_its_page(tmp_path: Path, status: str) -> None:
    folder = written(tmp_path, {NEXT: {"tasks": [{"title": "Quote", "status": status}]}})
    assert saved(folder, entered(offered(folder), mood=3, tomorrow=NONE_LEFT)).saved
    assert page(folder, NEXT)["tasks"] == [{"title": "Quote", "status": status}]
    assert undated(folder) == []


@pytest.mark.parametrize("key", ["project", "took"])
def test_a_key_that_would_be_lost_stops_it(tmp_path: Path, key: str) -> None:
    folder = written(tmp_path, {NEXT: {"tasks": [{"title": "Quote", key: 20}]}})
    before = text(folder, NEXT)
    answer = saved(folder, entered(offered(folder), tomorrow=NONE_LEFT))
    assert fields(answer) == {
        "tomorrow.tasks": f'"Quote" has "{key}" in 2025/2025-03-14.toml, which would be lost; move it by hand.'
    }
    assert text(folder, NEXT) == before


@pytest.mark.parametrize("key", ["project", "took"])
def test_a_key_of_a_task_without_a_day_that_would_be_lost_stops_its_pull(tmp_path: Path, key: str) -> None:
    folder = written(tmp_path, {}, f'[[tasks]]\ntitle = "Jig"\n{key} = 20\n')
    before = (folder / "undated.toml").read_text(encoding="utf-8")
    pulled = {"ref": None, "title": "Jig", "from": "undated", "source_ref": "Jig"}
    answer = saved(folder, entered(offered(folder), tomorrow={"tasks": [pulled]}))
    assert fields(answer) == {
        "tomorrow.tasks.0": f'"Jig" has "{key}" in undated.toml, which would be lost; move it by hand.'
    }
    assert (folder / "undated.toml").read_text(encoding="utf-8") == before


def test_one_that_was_moved_elsewhere_meanwhile_stays_there(tmp_path: Path) -> None:
    note = "The paper merchant comes at nine with the samples for the guest books."
    folder = written(tmp_path, {NEXT: {"notes": [note], "tasks": [{"title": "Quote"}]}})
    stale = entered(offered(folder), tomorrow=NONE_LEFT)
    moved = entered(offered(folder, NEXT), tasks=[{"ref": "Quote", "title": "Quote", "what": "carry"}])
    assert saved(folder, moved, day=NEXT).saved
    path = folder / "2025" / f"{NEXT}.toml"
    path.write_text(path.read_text(encoding="utf-8").partition("\n[[tasks]]")[0] + "\n", encoding="utf-8")
    assert saved(folder, stale).saved
    assert [one["title"] for one in page(folder, NEXT + dt.timedelta(1))["tasks"]] == ["Quote"]
    assert undated(folder) == []


def test_a_title_that_it_got_on_the_next_day_comes_back_with_it(tmp_path: Path) -> None:
    task = {"title": "Quote", "since": DAY, "id": "t7k2", "estimate": 30}
    smaller = task | {"title": "Quote, first page", "estimate": 10}
    for what, title in [("carry", "Quote, first page"), ("done", "Quote, first page"), ("move", "Quote")]:
        folder = written(tmp_path / what, {DAY: {"tasks": [task | {"status": "carried"}]}, NEXT: {"tasks": [smaller]}})
        row = {"ref": "t7k2", "title": "Quote", "what": what, "to": "2025-03-20"}
        assert saved(folder, entered(offered(folder), tasks=[row], tomorrow=NONE_LEFT)).saved
        assert [(one["title"], one["estimate"]) for one in page(folder, DAY)["tasks"]] == [(title, 30)]
        assert undated(folder) == [] and "tasks" not in page(folder, NEXT)
    assert page(folder, dt.date(2025, 3, 20))["tasks"] == [smaller | {"status": "open"}]


def test_one_whose_day_is_not_sent_is_kept(tmp_path: Path) -> None:
    """The day's own row is carried, and the form says nothing of it."""
    task = {"title": "Quote", "since": DAY, "id": "t7k2"}
    folder = written(tmp_path, {DAY: {"tasks": [task | {"status": "carried"}]}, NEXT: {"tasks": [task]}})
    assert saved(folder, entered(offered(folder), tasks=[], tomorrow=NONE_LEFT)).saved
    assert undated(folder) == [task]


def test_undated_is_broken_and_it_stays_where_it_stands(tmp_path: Path) -> None:
    folder = written(tmp_path, {NEXT: {"tasks": [{"title": "Quote"}]}}, "[[tasks]\n")
    answer = saved(folder, entered(offered(folder), mood=3, tomorrow=NONE_LEFT | {"set_aside": [{"title": "Sew"}]}))
    assert (answer.saved, answer.partly) == (False, True)
    assert page(folder, NEXT)["tasks"] == [{"title": "Quote"}]
    assert page(folder, DAY) == {"mood": 3}


def test_one_of_the_same_title_comes_in_its_place(tmp_path: Path) -> None:
    """In two writes, the one that comes was taken for the one that goes, and its id stood twice."""
    folder = written(
        tmp_path,
        {NEXT: {"tasks": [{"title": "Sweep"}]}},
        '[[tasks]]\ntitle = "Sweep"\nsince = 2025-03-01\nid = "9m76"\n',
    )
    pulled = {"ref": None, "title": "Sweep", "from": "undated", "source_ref": "9m76"}
    raw = entered(offered(folder), tomorrow={"tasks": [pulled], "set_aside": [{"title": "Sew"}]})
    assert saved(folder, raw).saved
    assert [one["id"] for one in page(folder, NEXT)["tasks"]] == ["9m76"]
    assert [one["title"] for one in undated(folder)] == ["Sew"]


@pytest.mark.parametrize("what", ["undated", "move", "carry"])
def test_a_task_that_another_window_moved_meanwhile_is_not_doubled(tmp_path: Path, what: str) -> None:
    folder = written(tmp_path, {DAY: {"tasks": [{"title": "Quote"}]}}, '[[tasks]]\ntitle = "Jig"\nid = "u2"\n')
    offer = offered(folder)
    first = entered(offer, tasks=[{"ref": "Quote", "title": "Quote", "what": "move", "to": "2025-03-20"}])
    second = entered(offer, tasks=[{"ref": "Quote", "title": "Quote", "what": what, "to": "2025-03-21"}])
    assert saved(folder, first).saved and saved(folder, first).saved, "the same twice is once"
    assert fields(saved(folder, second)) == {
        "tasks.0": '"Quote" stands on 2025-03-20 by now; look at what changed, then save again.'
    }
    jig = (folder / "undated.toml").read_text(encoding="utf-8")
    (folder / "undated.toml").write_text("", encoding="utf-8")
    (folder / "2025" / "2025-03-18.toml").write_text(jig, encoding="utf-8")
    pulled = {"ref": None, "title": "Jig", "from": "undated", "source_ref": "u2"}
    assert list(fields(saved(folder, entered(offer, tomorrow={"tasks": [pulled]})))) == ["tomorrow.tasks.0"]


def test_a_task_that_another_window_has_done_is_not_put_anywhere(tmp_path: Path) -> None:
    task = {"title": "Quote", "since": DAY, "id": "t7k2"}
    folder = written(tmp_path, {DAY: {"tasks": [task | {"status": "carried"}]}, NEXT: {"tasks": [task]}})
    offer = offered(folder)
    rows = {what: [{"ref": "t7k2", "title": "Quote", "what": what}] for what in ("done", "undated")}
    done, stale = (entered(offer, tasks=row, tomorrow=NONE_LEFT) for row in rows.values())
    assert saved(folder, done).saved and saved(folder, done).saved
    assert "done or dropped by now" in fields(saved(folder, stale))["tasks.0"]
    assert undated(folder) == []


def test_a_task_comes_back_to_a_page_that_had_let_it_go(tmp_path: Path) -> None:
    """It was pulled to a page that had it as carried, and stood open nowhere."""
    task = {"title": "Quote", "since": DAY, "id": "t7k2"}
    text_of = '[[tasks]]\ntitle = "Quote"\nsince = 2025-03-13\nid = "t7k2"\n'
    folder = written(tmp_path, {NEXT: {"tasks": [task | {"status": "carried"}]}}, text_of)
    pulled = {"ref": None, "title": "Quote", "from": "undated", "source_ref": "t7k2"}
    offer = offered(folder, DAY, today=NEXT)
    rows = [one | {"from": "page"} for one in offer["tomorrow"]["tasks"]]
    assert saved(folder, entered(offer, tomorrow={"tasks": [*rows, pulled]}), day=NEXT).saved
    assert [one["status"] for one in page(folder, NEXT)["tasks"]] == ["open"]
    assert undated(folder) == []


def test_a_carried_task_that_nobody_touched_stays_where_another_window_put_it(tmp_path: Path) -> None:
    """The stale form says "carry", which was taken for a wish to have it on the next day."""
    task = {"title": "Quote", "since": DAY, "id": "t7k2"}
    later = dt.date(2025, 3, 20)
    folder = written(tmp_path, {DAY: {"tasks": [task | {"status": "carried"}]}, later: {"tasks": [task]}})
    stale = entered(offered(folder), mood=3)
    back = entered(offered(folder), tasks=[{"ref": "t7k2", "title": "Quote", "what": "open"}])
    assert saved(folder, back).saved and saved(folder, stale).saved
    assert [one.get("status", "open") for one in page(folder, DAY)["tasks"]] == ["open"]
    assert "tasks" not in page(folder, NEXT)


def test_a_task_of_the_list_goes_to_one_place_only(tmp_path: Path) -> None:
    """It was set on a day, and taken in for tomorrow from the tasks without a day, in one form."""
    task = {"title": "Quote", "since": DAY, "id": "t7k2"}
    without_day = '[[tasks]]\ntitle = "Quote"\nsince = 2025-03-13\nid = "t7k2"\n'
    folder = written(tmp_path, {DAY: {"tasks": [task | {"status": "carried"}]}}, without_day)
    row = {"ref": "t7k2", "title": "Quote", "what": "move", "to": "2025-03-20"}
    pulled = {"ref": None, "title": "Quote", "from": "undated", "source_ref": "t7k2"}
    answer = saved(folder, entered(offered(folder), tasks=[row], tomorrow={"tasks": [pulled]}))
    assert list(fields(answer)) == ["tomorrow.tasks.0"] and text(folder, NEXT) == ""


def test_a_done_task_that_is_open_elsewhere_is_not_opened_too(tmp_path: Path) -> None:
    task = {"title": "Quote", "since": DAY, "id": "t7k2"}
    folder = written(tmp_path, {DAY: {"tasks": [task | {"status": "done"}]}, dt.date(2025, 3, 20): {"tasks": [task]}})
    row = {"ref": "t7k2", "title": "Quote", "what": "open"}
    assert "stands on 2025-03-20" in fields(saved(folder, entered(offered(folder), tasks=[row])))["tasks.0"]
