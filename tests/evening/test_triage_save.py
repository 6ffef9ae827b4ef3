"""Saving triage decisions: a task is on the decided page and on no other."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from journal.measures import tasks as measure
from tests.evening.evenings import opened, text, written
from tests.evening.triage import BEFORE, FRIDAY, LATER, MONDAY, NEXT, QUOTE, TIN, TODAY, decided, offered, tasks


def test_the_list_shows_age_carries_and_place(tmp_path: Path) -> None:
    pages = BEFORE | {NEXT: {"tasks": [QUOTE]}, MONDAY: {"tasks": [QUOTE | {"status": "carried"}, {"title": "Fold"}]}}
    offer = offered(written(tmp_path, pages, TIN))
    assert [(task["title"], task["said"], task["where"], task["kind"]) for task in offer["tasks"]] == [
        ("Quote", "since 3 March, carried twice, 45 min", "tomorrow", "ahead"),
        ("Sort the tin", "since 2 January", "without a day", "undated"),
        ("Fold", "since Monday", "left on Monday 10 March", "behind"),
    ]
    assert (offer["day"], offer["tomorrow"], offer["more"]) == ("2025-03-16", "2025-03-17", 0)


def test_a_task_without_a_first_day_is_not_said_to_have_waited_long(tmp_path: Path) -> None:
    """Sort the tin has waited since January, Oil the press for nobody knows how long, Quote was carried on Friday."""
    quote = {"title": "Quote", "id": "t7k2", "since": dt.date(2025, 3, 12), "status": "carried"}
    undated = TIN + '[[tasks]]\ntitle = "Oil the press"\n[[tasks]]\ntitle = "Quote"\nid = "t7k2"\nsince = 2025-03-12\n'
    days = (dt.date(2025, 3, 12), dt.date(2025, 3, 13))
    offer = offered(written(tmp_path, {day: {"tasks": [quote]} for day in days}, undated))
    assert {task["title"]: (task["kind"], task["waits"]) for task in offer["tasks"]} == {
        "Quote": ("undated", "short"),
        "Sort the tin": ("undated", "long"),
        "Oil the press": ("undated", "unknown"),
    }


@pytest.mark.parametrize(("what", "to", "day"), [("do", None, NEXT), ("day", "2025-03-20", LATER)])
def test_a_task_of_a_past_day_moves_to_the_chosen_day(tmp_path: Path, what: str, to: str | None, day: dt.date) -> None:
    folder = written(tmp_path, {FRIDAY: {"tasks": [{"title": "Fold", "estimate": 20, "rank": 1}]}})
    assert decided(folder, offered(folder), {"of": "Fold", "what": what, "to": to}).saved
    (left,), (there,) = tasks(folder, FRIDAY), tasks(folder, day)
    own = {"since": FRIDAY, "id": left["id"]}
    assert left == {"title": "Fold", "estimate": 20, "rank": 1, "status": "carried"} | own
    assert there == {"title": "Fold", "status": "open", "estimate": 20} | own
    assert not opened(folder, TODAY).problems


def test_a_task_of_a_later_page_moves_to_tomorrow(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {LATER: {"tasks": [QUOTE | {"rank": 1}, {"title": "Sew"}]}})
    assert decided(folder, offered(folder), {"of": "Quote", "what": "do"}).saved
    assert tasks(folder, NEXT) == [QUOTE | {"status": "open"}]
    assert tasks(folder, LATER) == [{"title": "Sew"}]


def test_a_task_already_on_tomorrow_is_unchanged(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {NEXT: {"tasks": [QUOTE | {"rank": 1}]}})
    before = text(folder, NEXT)
    assert decided(folder, offered(folder), {"of": "Quote", "what": "do"}).said.startswith("Nothing to save")
    assert text(folder, NEXT) == before


def test_unknown_keys_are_not_lost(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {LATER: {"tasks": [QUOTE | {"colour": "grey"}]}})
    before = text(folder, LATER)
    (trouble,) = decided(folder, offered(folder), {"of": "Quote", "what": "do"}).problems
    assert trouble.field == "decisions.0"
    assert trouble.message == 'It has "colour" in 2025/2025-03-20.toml, which would be lost; move it by hand.'
    assert (text(folder, LATER), text(folder, NEXT)) == (before, "")
    assert decided(folder, offered(folder), {"of": "Quote", "what": "drop"}).saved
    assert tasks(folder, LATER)[0]["colour"] == "grey"


def test_a_shrunk_task_stays_on_its_page_and_keeps_its_id(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {NEXT: {"tasks": [QUOTE | {"rank": 2}]}}, TIN)
    smaller = {"of": "Quote", "what": "shrink", "title": "Ask the choir for its sizes", "estimate": 10}
    assert decided(folder, offered(folder), smaller).saved
    assert tasks(folder, NEXT) == [QUOTE | {"title": "Ask the choir for its sizes", "estimate": 10, "rank": 2}]
    tin = {"of": "Sort the tin", "what": "shrink", "title": "Sort the brass buttons", "estimate": None}
    assert decided(folder, offered(folder), tin).saved
    assert tasks(folder, None)[0]["title"] == "Sort the brass buttons"
    assert tasks(folder, None)[0]["id"] == "u2p5"
    assert (folder / "undated.toml").read_text(encoding="utf-8").startswith("# Some day.\n")


def test_a_shrunk_task_of_a_past_day_moves_to_tomorrow_and_the_day_keeps_the_old_title(tmp_path: Path) -> None:
    folder = written(tmp_path, {FRIDAY: {"tasks": [{"title": "Fold", "estimate": 90}]}})
    smaller = {"of": "Fold", "what": "shrink", "title": "Fold ten", "estimate": 15}
    assert decided(folder, offered(folder), smaller).saved
    (left,), (there,) = tasks(folder, FRIDAY), tasks(folder, NEXT)
    assert (left["title"], left["estimate"], left["status"]) == ("Fold", 90, "carried")
    assert (there["title"], there["estimate"], there["status"], there["id"]) == ("Fold ten", 15, "open", left["id"])


def test_a_task_carried_by_hand_stays_one_task_under_a_new_title(tmp_path: Path) -> None:
    row = {"title": "Fold", "since": MONDAY}
    pages: dict[dt.date, dict[str, Any]] = {
        MONDAY: {"tasks": [{"title": "Fold", "status": "carried"}]},
        FRIDAY: {"tasks": [row | {"status": "carried"}]},
    }
    folder = written(tmp_path, pages | {TODAY: {"tasks": [row]}})
    assert decided(folder, offered(folder), {"of": "Fold", "what": "shrink", "title": "Fold ten"}).saved
    (life,) = measure.lives(opened(folder, TODAY).tables.tasks, today=TODAY).iter_rows(named=True)
    assert (life["title"], life["since"], life["carried"]) == ("Fold ten", MONDAY, 2)


def test_a_drop_is_marked_on_its_page_and_an_undated_task_leaves_a_record(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {LATER: {"tasks": [QUOTE]}, MONDAY: {"tasks": [{"title": "Fold"}]}}, TIN)
    offer = offered(folder)
    drops = [{"of": title, "what": "drop"} for title in ("Fold", "Sort the tin")]
    assert decided(folder, offer, *drops).saved
    assert tasks(folder, MONDAY) == [{"title": "Fold", "status": "dropped"}]
    assert tasks(folder, TODAY) == [
        {"title": "Sort the tin", "status": "dropped", "since": dt.date(2025, 1, 2), "id": "u2p5"}
    ]
    assert tasks(folder, None) == []
    assert not offered(folder)["tasks"] or "Fold" not in {task["title"] for task in offered(folder)["tasks"]}


def test_a_drop_on_a_future_page_can_be_reversed(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {LATER: {"tasks": [QUOTE]}})
    assert decided(folder, offered(folder), {"of": "Quote", "what": "drop"}).saved
    assert tasks(folder, LATER) == [QUOTE | {"status": "dropped"}]
    assert offered(folder)["tasks"] == []
    path = folder / "2025" / f"{LATER}.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("dropped", "open"), encoding="utf-8")
    assert [task["title"] for task in offered(folder)["tasks"]] == ["Quote"]


def test_a_carried_task_that_is_on_no_later_page_can_be_decided(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE)
    offer = offered(folder)
    assert offer["tasks"][0]["ref"] == "2025-03-14/t7k2"
    assert decided(folder, offer, {"of": "Quote", "what": "day", "to": "2025-03-16"}).saved
    assert tasks(folder, TODAY) == [{"title": "Quote", "status": "open"} | QUOTE]


def test_a_task_on_two_pages_is_on_one_after_the_decision(tmp_path: Path) -> None:
    """As after an interrupted save: open on its old page and its new one, and in the undated list."""
    pages = BEFORE | {TODAY: {"tasks": [QUOTE]}, LATER: {"tasks": [QUOTE]}}
    undated = '[[tasks]]\ntitle = "Quote"\nsince = 2025-03-03\nid = "t7k2"\n'
    folder = written(tmp_path, pages, undated)
    assert decided(folder, offered(folder), {"of": "Quote", "what": "do"}).saved
    assert [one["status"] for one in tasks(folder, TODAY)] == ["carried"]
    assert [one["status"] for one in tasks(folder, NEXT)] == ["open"]
    assert (tasks(folder, LATER), tasks(folder, None)) == ([], [])
