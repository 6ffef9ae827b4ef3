"""Edits of a day's page: exact changes, problems beside their fields, clashes, and undoing."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path
from typing import Any

import pytest

from journal.planning import day_edits
from tests.evening.evenings import opened
from tests.planning.days import NOW, PAGE, PAGE_OF, TODAY, TOMORROW, changes, edited, files, journal_at, shown, undone

PASTE, QUOTE, POST = "Cook wheat paste", "t7k2", "Post the order to Graz"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return journal_at(tmp_path / "journal")


def tasks(**changed: dict[str, Any]) -> list[dict[str, Any]]:
    """The tasks of the page, each with its changes by the first word of its title."""
    rows = tomllib.loads(PAGE)["tasks"]
    return [row | changed.get(row["title"].split()[0], {}) for row in rows]


NOTE = "Ask about the grey thread."
PHONE = {"title": "Paper merchant, by phone", "start": "08:30", "end": "09:00"}
ONE_EDIT: list[tuple[dict[str, Any], dict[str, Any], str]] = [
    (
        {"what": "task", "ref": QUOTE, "status": "done"},
        {"tasks": tasks(Quote={"status": "done"})},
        "Quote for the choir folders: done",
    ),
    (
        {"what": "task", "ref": POST, "title": "Post it"},
        {"tasks": tasks(Post={"title": "Post it"})},
        "Post it: reworded",
    ),
    (
        {"what": "task", "ref": POST, "rank": 1},
        {
            "tasks": [
                {k: v for k, v in row.items() if k != "rank" or row["title"] != PASTE}
                for row in tasks(Post={"rank": 1})
            ]
        },
        "Post the order to Graz: changed",
    ),
    (
        {"what": "task", "ref": POST, "rank": 3, "took": 12.5},
        {"tasks": tasks(Post={"rank": 3, "took": 12.5})},
        "Post the order to Graz: changed",
    ),
    (
        {"what": "task", "ref": QUOTE, "rank": 1},
        {"tasks": tasks(Cook={"rank": 2}, Quote={"rank": 1})},
        "Quote for the choir folders: changed",
    ),
    (
        {"what": "add task", "title": "Call\nthe bindery", "estimate": 10},
        {"tasks": [*tasks(), {"title": "Call the bindery", "status": "open", "estimate": 10}]},
        "Call the bindery: added",
    ),
    ({"what": "habit", "key": "walk", "mark": True}, {"habits": {"walk": True}, "asked": False}, "Walk: done"),
    ({"what": "habit", "key": "read", "mark": 12}, {"habits": {"read": 12}, "asked": False}, "Read: 12 pages"),
    ({"what": "habit", "key": "swim", "mark": "rest"}, {"habits": {"swim": "rest"}, "asked": False}, "Swim: rest"),
    ({"what": "challenge", "key": "letters", "tick": True}, {"challenges": {"letters": True}}, "Thirty letters: done"),
    (
        {"what": "line", "list": "notes", "text": "Thread came."},
        {"notes": [NOTE, "Thread came."]},
        "Note: Thread came.",
    ),
    ({"what": "line", "list": "notes", "at": 0, "text": "Ask."}, {"notes": ["Ask."]}, "Note reworded: Ask."),
    ({"what": "line", "list": "notes", "at": 0, "text": " "}, {"notes": None}, f"Note taken out: {NOTE}"),
    (
        {"what": "line", "list": "gratitude", "text": "Warm bread."},
        {"gratitude": ["Warm bread."]},
        "Good thing: Warm bread.",
    ),
    (
        {"what": "quote", "text": "Make haste slowly.", "by": "Aldus"},
        {"notes": [NOTE, "“Make haste slowly.” (Aldus)"]},
        "Quote: “Make haste slowly.” (Aldus)",
    ),
    (
        {"what": "appointment", "ref": None, "title": "Delivery", "start": "14:00", "end": None},
        {"appointments": [PHONE, {"title": "Delivery", "start": "14:00"}]},
        "Delivery: added",
    ),
    (
        {
            "what": "appointment",
            "ref": "Paper merchant, by phone 08:30",
            "title": "Paper merchant",
            "start": "08:45",
            "end": "09:00",
        },
        {"appointments": [{"title": "Paper merchant", "start": "08:45", "end": "09:00"}]},
        "Paper merchant: corrected",
    ),
    (
        {"what": "appointment", "ref": "Paper merchant, by phone 08:30", "remove": True},
        {"appointments": None},
        "Paper merchant, by phone: taken out",
    ),
    (
        {"what": "fields", "weather": {"sky": "rain", "high": 9, "low": None}},
        {"weather": {"sky": "rain", "high": 9}},
        "Weather: corrected",
    ),
    ({"what": "place", "key": "home"}, {"place": None}, "Place: Ljubljana"),
    (
        {"what": "hours", "planned": {"sleep": ["00:00-06:15"]}},
        {"hours": {"planned": {"sleep": ["00:00-06:15"]}}},
        "Hours of Thursday 13 March: planned",
    ),
]


@pytest.mark.parametrize(("edit", "changed", "did"), ONE_EDIT, ids=[did for *_, did in ONE_EDIT])
def test_an_edit_changes_this_and_nothing_else_and_its_undoing_gives_the_bytes_back(
    folder: Path, edit: dict[str, Any], changed: dict[str, Any], did: str
) -> None:
    before = files(folder)
    result = edited(folder, edit)
    assert (result.answer.saved, result.did) == (True, did), result.answer
    assert changes(folder, before) == {PAGE_OF: changed}
    assert result.answer.said == f"Saved to {PAGE_OF} at 12:20."
    assert undone(folder, result.undo).answer.said == f"Taken back. {PAGE_OF} as before."
    assert files(folder) == before


SORT = {"title": "Sort the button tin", "estimate": 20, "since": dt.date(2025, 3, 2), "id": "u2p5"}
BOJAN = {"title": "Ask Bojan about a lid"}
QUOTE_ROW = {"title": "Quote for the choir folders", "estimate": 45, "since": dt.date(2025, 3, 11), "id": QUOTE}
MOVES: list[tuple[dict[str, Any], dict[str, Any]]] = [
    (
        {"what": "take in", "ref": "undated/u2p5"},
        {PAGE_OF: [*tasks(), SORT | {"status": "open"}], "undated.toml": [BOJAN]},
    ),
    (
        {"what": "move", "ref": QUOTE, "to": "2025-03-20"},
        {PAGE_OF: tasks(Quote={"status": "carried"}), "2025/2025-03-20.toml": [QUOTE_ROW | {"status": "open"}]},
    ),
    ({"what": "move", "ref": QUOTE, "drop": True}, {PAGE_OF: tasks(Quote={"status": "dropped"})}),
    (
        {"what": "put away", "ref": QUOTE},
        {PAGE_OF: tasks(Quote={"status": "carried"}), "undated.toml": [SORT, BOJAN, QUOTE_ROW]},
    ),
    (
        {"what": "add undated", "title": "Oil the press", "estimate": 15},
        {"undated.toml": [SORT, BOJAN, {"title": "Oil the press", "estimate": 15, "since": TODAY}]},
    ),
]


@pytest.mark.parametrize(("edit", "rows"), MOVES, ids=[f"{edit['what']} {edit.get('ref')}" for edit, _ in MOVES])
def test_a_task_comes_and_goes_with_its_id_and_first_day(
    folder: Path, edit: dict[str, Any], rows: dict[str, Any]
) -> None:
    before = files(folder)
    result = edited(folder, edit)
    assert result.answer.saved, result.answer
    assert changes(folder, before) == {name: {"tasks": row} for name, row in rows.items()}
    assert undone(folder, result.undo).answer.saved
    assert files(folder) == before


def test_an_undated_task_whose_first_day_nobody_noted_is_taken_in(folder: Path) -> None:
    assert edited(folder, {"what": "take in", "ref": "undated/Ask Bojan about a lid"}).answer.saved
    assert [task["title"] for task in shown(folder)["tasks"]][-1] == "Ask Bojan about a lid"
    assert [task["title"] for task in shown(folder)["undated"]] == ["Sort the button tin"]


def test_a_task_left_open_yesterday_is_taken_in_and_named_on_both_pages(folder: Path) -> None:
    (left,) = shown(folder)["left"]
    before = files(folder)
    assert edited(folder, {"what": "take in", "ref": left["ref"]}).answer.saved
    changed = changes(folder, before)
    (fold,) = changed["2025/2025-03-12.toml"]["tasks"]
    assert fold["status"] == "carried"
    assert changed[PAGE_OF]["tasks"][-1] == fold | {"status": "open"}


def test_a_task_that_was_carried_by_hand_keeps_its_life_under_another_title(folder: Path) -> None:
    """Without an id, the title is all that joins its two days."""
    page = folder / "2025" / "2025-03-13.toml"
    page.write_text('[[tasks]]\ntitle = "Fold the menu covers"\nsince = 2025-03-12\n', encoding="utf-8")
    (task,) = shown(folder)["tasks"]
    assert edited(folder, {"what": "task", "ref": task["ref"], "title": "Fold"}).answer.saved
    (today,) = tomllib.loads(page.read_text())["tasks"]
    (yesterday,) = tomllib.loads((folder / "2025" / "2025-03-12.toml").read_text())["tasks"]
    assert (today["title"], yesterday["title"]) == ("Fold", "Fold the menu covers")
    assert today["id"] == yesterday["id"]


def test_a_coming_day_is_planned_on_a_page_of_its_own_that_undoing_takes_away(folder: Path) -> None:
    before, monday = files(folder), dt.date(2025, 3, 17)
    results = [
        edited(folder, edit, on=shown(folder, monday))
        for edit in (
            {"what": "add task", "title": "Sew", "rank": 1, "estimate": 60},
            {"what": "appointment", "ref": None, "title": "Delivery", "start": "10:00", "end": "10:30"},
            {"what": "hours", "planned": {"workshop": ["09:00-11:00"], "sleep": ["00:00-09:00", "11:00-24:00"]}},
        )
    ]
    assert all(result.answer.saved for result in results)
    assert (
        "1 h of tasks in 0 min of open time and 1 h 30 min of planned work" in shown(folder, monday)["fit"]["sentence"]
    )
    for result in reversed(results):
        assert undone(folder, result.undo).answer.saved
    assert files(folder) == before


def test_a_task_of_a_coming_day_leaves_it_only_for_the_undated_ones_or_as_dropped(folder: Path) -> None:
    assert edited(folder, {"what": "move", "ref": QUOTE, "to": "2025-03-14"}).answer.saved
    for title in ("Sew", "Cut"):
        assert edited(folder, {"what": "add task", "title": title}, on=shown(folder, TOMORROW)).answer.saved
    for ref in (QUOTE, "Sew"):
        assert edited(folder, {"what": "put away", "ref": ref}, on=shown(folder, TOMORROW)).answer.saved
    assert edited(folder, {"what": "move", "ref": "Cut", "drop": True}, on=shown(folder, TOMORROW)).answer.saved
    assert [(one["title"], one["status"]) for one in shown(folder, TOMORROW)["tasks"]] == [("Cut", "dropped")]
    assert [one["title"] for one in shown(folder)["undated"]][2:] == ["Quote for the choir folders", "Sew"]


WRONG: list[tuple[dict[str, Any], str, str]] = [
    ({"what": "habit", "key": "walk", "mark": 3}, "mark", "it has no target"),
    ({"what": "habit", "key": "reed", "mark": True}, "mark", 'got "reed"'),
    ({"what": "habit", "key": "read", "mark": -1}, "mark", "a number from 0 up"),
    ({"what": "challenge", "key": "letters", "tick": "2025-03-15"}, "tick", "still to come"),
    ({"what": "task", "ref": QUOTE, "title": " "}, "title", "no title"),
    ({"what": "task", "ref": QUOTE, "estimate": -5}, "estimate", "minutes, more than 0"),
    ({"what": "task", "ref": QUOTE, "rank": 9}, "rank", "a rank from 1 to 3"),
    ({"what": "task", "ref": "nobody", "status": "done"}, "", "not on the page any more"),
    ({"what": "add task", "title": ""}, "title", "no title"),
    ({"what": "add task", "title": "Sew", "rank": 1}, "rank", "no other task has"),
    ({"what": "add task", "title": "Sew", "estimate": "soon"}, "estimate", "a number"),
    ({"what": "add undated", "title": "Sew", "estimate": -1}, "estimate", "minutes, more than 0"),
    ({"what": "line", "list": "notes", "text": " "}, "text", "nothing written yet"),
    ({"what": "line", "list": "notes", "at": 4, "text": "x"}, "", "not on the page any more"),
    ({"what": "appointment", "ref": None, "title": "Call", "start": "25:00"}, "start", "no time of day"),
    (
        {"what": "appointment", "ref": None, "title": "Call", "start": "09:00", "end": "08:00"},
        "end",
        "an end after 09:00",
    ),
    ({"what": "appointment", "ref": None, "title": "", "start": "09:00"}, "title", "no title"),
    ({"what": "fields", "weather": {"high": 1, "low": 5}}, "high", "at least the low of 5"),
    ({"what": "fields", "weather": {"high": "warm"}}, "weather.high", "a number"),
    ({"what": "place", "key": "moon"}, "place", 'got "moon"'),
    (
        {"what": "hours", "planned": {"sleep": ["00:00-07:00"], "music": ["06:00-08:00"]}},
        "planned",
        "hours that are not taken",
    ),
    ({"what": "hours", "planned": {"sleep": ["7ish"]}}, "planned.sleep.0", "7ish"),
    ({"what": "move", "ref": QUOTE, "to": "2025-03-13"}, "to", "still to come"),
    ({"what": "take in", "ref": "undated/none"}, "", "open the page anew"),
    ({"what": "take out", "ref": QUOTE}, "", "no such edit"),
    ({"what": "dance"}, "", "no such edit"),
]


@pytest.mark.parametrize(("edit", "field", "message"), WRONG, ids=[f"{edit} {field}" for edit, field, _ in WRONG])
def test_what_is_wrong_is_told_at_its_field_and_nothing_is_written(
    folder: Path, edit: dict[str, Any], field: str, message: str
) -> None:
    before = files(folder)
    result = edited(folder, edit)
    assert not result.answer.saved and not result.undo
    assert [trouble.field for trouble in result.answer.problems] == [field], result.answer.problems
    assert message in result.answer.problems[0].message
    assert files(folder) == before


@pytest.mark.parametrize(
    "raw",
    [
        None,
        {},
        {"edit": {}},
        {"edit": {}, "day": "soon"},
        {"edit": {}, "day": "2025-03-13"},
        {"edit": {}, "day": "9999-12-31"},
    ],
)
def test_input_that_no_page_sends_is_refused(folder: Path, raw: Any) -> None:
    assert day_edits.save(opened(folder, TODAY), raw, now=NOW).answer.problems
    assert day_edits.undo(opened(folder, TODAY), raw, now=NOW).answer.problems


def test_a_base_of_another_day_is_refused(folder: Path) -> None:
    page = shown(folder) | {"day": "2025-03-14"}
    assert (
        "of another day"
        in edited(folder, {"what": "habit", "key": "walk", "mark": True}, on=page).answer.problems[0].message
    )
