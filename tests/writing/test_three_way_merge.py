"""The three-way merge against a slow, obvious model: each key of each page by itself, in dictionaries."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.errors import UsageError
from journal.folder.applied_changes import changed, rows_kept
from journal.folder.identity import is_same
from journal.folder.three_way_merge import REMOVE, Changes, merged
from tests.choosing import Chooser
from tests.writing.documents import values

Flat = dict[tuple[str, ...], Any]

_LEAVES = [1, 2, True, "x", [1], ["x", "y"]]
_NAMES = ["mood", "memory", "place", "later"]
_KEYS = ["walk", "read", "swim"]
_IDS = ["a1", "b2", "c3", "d4"]


@st.composite
def flat_pages(draw: st.DrawFn) -> dict[str, Any]:
    """Pages that always have all tables, so that the model can treat each key by itself."""
    choose = Chooser(draw)
    full = choose.one([1, 2, 3])  # how many of four are present

    def some(names: list[str]) -> list[str]:
        return [name for name in choose.order(names) if choose.one(range(4)) >= 4 - full]

    def table(names: list[str]) -> dict[str, Any]:
        return {name: choose.one(_LEAVES) for name in some(names)}

    def task(own: str) -> dict[str, Any]:
        more = {"title": choose.one([None, None, "Fold", "Sew"]), "rank": choose.one([None, None, None, 1, 2, 3])}
        return {"id": own} | {name: value for name, value in more.items() if value is not None}

    tasks = [task(own) for own in some(_IDS)]
    return table(_NAMES) | {"habits": table(_KEYS), "hours": {"actual": table(_KEYS)}, "tasks": tasks}


@pytest.mark.parametrize(
    ("base", "theirs", "mine", "clashing"),
    [
        ({"memory": "A"}, {"memory": "B"}, {"memory": "A", "share": True}, {("share",)}),
        ({"memory": "A"}, {"memory": "A", "share": True}, {"memory": "B"}, {("share",)}),
        ({"memory": "A", "share": True}, {"memory": "B", "share": True}, {"memory": "A"}, {("share",)}),
        ({"memory": "A"}, {"memory": "B"}, {"memory": "C", "share": True}, {("memory",), ("share",)}),
        ({"memory": "A"}, {"memory": "A"}, {"memory": "B", "share": True}, set()),
        ({"memory": "A"}, {"memory": "B", "share": True}, {"memory": "A"}, set()),
        ({"memory": "A"}, {"memory": "B", "share": True}, {"memory": "B"}, set()),
        ({"memory": "A"}, {"memory": "A", "mood": 3}, {"memory": "A", "share": True}, set()),
    ],
)
def test_memory_and_share_come_from_one_side(
    base: dict[str, Any], theirs: dict[str, Any], mine: dict[str, Any], clashing: set[tuple[str]]
) -> None:
    assert {clash.path for clash in merged(base, theirs, mine)[1]} == clashing
    assert {clash.path for clash in merged(base, mine, theirs)[1]} == clashing


def test_a_reworded_task_without_an_id_is_still_the_one_that_they_removed() -> None:
    """By its values alone it was a new task, and was added to a page that had let it go."""
    base = {"tasks": [{"title": "Fold"}, {"title": "Sew"}]}
    changes: Changes = {("tasks", "Sew", "title"): "Sew ten"}
    values, clashes = merged(
        base, {"tasks": [{"title": "Fold"}]}, changed(base, changes), kept=rows_kept(base, changes)
    )
    assert values == {"tasks": [{"title": "Fold"}]}
    assert [(clash.theirs, clash.mine) for clash in clashes] == [(None, {"title": "Sew ten"})]


@pytest.mark.parametrize("more", [{}, {"id": "t7k2"}])
def test_a_task_that_both_reworded_alike_is_reworded_once(more: dict[str, str]) -> None:
    """As by an earlier write of the same save: it was told as removed elsewhere."""
    base = {"tasks": [{"title": "Fold"}, {"title": "Sew"}]}
    reworded: Changes = {("tasks", "Fold", name): value for name, value in ({"title": "Fold ten"} | more).items()}
    changes = {**reworded, ("tasks", "Sew"): REMOVE}
    result = merged(base, changed(base, reworded), changed(base, changes), kept=rows_kept(base, changes))
    assert result == ({"tasks": [{"title": "Fold ten"} | more]}, [])


def flat(page: dict[str, Any]) -> Flat:
    result: Flat = {(name,): value for name, value in page.items() if name not in ("habits", "hours", "tasks")}
    result |= {("habits", name): value for name, value in page["habits"].items()}
    return result | {("hours", "actual", name): value for name, value in page["hours"]["actual"].items()}


def model(base: Flat, theirs: Flat, mine: Flat) -> tuple[Flat, set[tuple[str, ...]]]:
    result: Flat = {}
    clashes = set()
    for path in base.keys() | theirs.keys() | mine.keys():
        b, t, m = (repr(page[path]) if path in page else None for page in (base, theirs, mine))
        winner = mine if t == b and m != b else theirs
        if t not in (b, m) and m != b:
            clashes.add(path)
        if path in winner:
            result[path] = winner[path]
    return result, clashes


def model_of_tasks(base: Any, theirs: Any, mine: Any) -> tuple[dict[str, Any], set[tuple[str, ...]]]:
    b, t, m = ({task["id"]: task for task in page["tasks"]} for page in (base, theirs, mine))
    result, clashes = {}, set()
    for own in b.keys() | t.keys() | m.keys():
        if own in t and own in m:
            parts: list[Flat] = [{(name,): value for name, value in page.get(own, {}).items()} for page in (b, t, m)]
            merged_task, clashing = model(*parts)
            result[own] = {name: value for (name,), value in merged_task.items()}
            clashes |= {("tasks", own, *path) for path in clashing}
        elif own in t:
            if own not in b or b[own] != t[own]:
                result[own] = t[own]
            clashes |= {("tasks", own)} if own in b and b[own] != t[own] else set()
        elif own in m:
            if own not in b:
                result[own] = m[own]
            clashes |= {("tasks", own)} if own in b and b[own] != m[own] else set()
    return result, clashes


@given(flat_pages(), flat_pages(), flat_pages())
@settings(max_examples=400, deadline=None)
def test_every_key_agrees_with_the_model(base: Any, theirs: Any, mine: Any) -> None:
    page, clashes = merged(base, theirs, mine)
    wanted, clashing = model(flat(base), flat(theirs), flat(mine))
    tasks, clashing_tasks = model_of_tasks(base, theirs, mine)
    assert {clash.path for clash in clashes} == clashing | clashing_tasks
    assert is_same({repr(k): v for k, v in flat(page).items()}, {repr(k): v for k, v in wanted.items()})
    assert {task["id"]: task for task in page["tasks"]} == tasks
    assert len(page["tasks"]) == len(tasks)


@given(flat_pages(), flat_pages(), flat_pages())
@settings(max_examples=200, deadline=None)
def test_picking_mine_for_every_clash_keeps_all_my_values(base: Any, theirs: Any, mine: Any) -> None:
    clashes = merged(base, theirs, mine)[1]
    decided, left = merged(base, theirs, mine, [clash.pick("mine") for clash in clashes])
    assert left == []
    for path, value in flat(mine).items():
        if not is_same(value, flat(base).get(path)):
            assert is_same(flat(decided)[path], value)


@given(values, values)
@settings(max_examples=200, deadline=None)
def test_a_change_on_one_side_alone_is_taken_exactly(base: Any, other: Any) -> None:
    for theirs, mine in ((base, other), (other, base), (other, other)):
        page, clashes = merged(base, theirs, mine)
        assert clashes == []
        assert is_same(page, other)


@pytest.mark.parametrize(
    ("base", "theirs", "mine", "result"),
    [
        ([], ["t"], ["m"], ["t", "m"]),
        (["a"], ["a", "t"], ["a", "m", "n"], ["a", "t", "m", "n"]),
        (["a"], ["a", "x"], ["a", "x"], ["a", "x"]),
        (["a", "b"], ["A", "b"], ["a", "B", "c"], ["A", "B", "c"]),
        (["a", "b"], ["b"], ["a", "b", "c"], ["b", "c"]),
        (["a", "b"], ["a", "b", "c"], ["a"], ["a", "c"]),
        (["a", "b", "c"], ["b", "c"], ["a", "b"], ["b"]),
        (["a", "b"], ["b"], ["a"], []),
        (["a", "b"], ["b"], ["A", "b"], None),  # removed there, changed here
        (["a"], ["t"], ["m"], None),
    ],
)
def test_lines(base: list[str], theirs: list[str], mine: list[str], result: list[str] | None) -> None:
    page, clashes = merged({"notes": base}, {"notes": theirs}, {"notes": mine})
    assert bool(clashes) == (result is None)
    assert page["notes"] == (theirs if result is None else result)


@given(*[st.lists(st.sampled_from("abcd"), max_size=4)] * 3)
@settings(max_examples=300, deadline=None)
def test_no_added_line_is_lost(base: list[str], theirs: list[str], mine: list[str]) -> None:
    page, clashes = merged({"notes": base}, {"notes": theirs}, {"notes": mine})
    if not clashes:
        assert set(theirs) | set(mine) >= set(page.get("notes", []))
        assert set(page.get("notes", [])) >= (set(theirs) | set(mine)) - set(base)


def titles(*names: str) -> dict[str, Any]:
    return {"tasks": [{"title": name} for name in names]}


@pytest.mark.parametrize(
    ("base", "theirs", "mine", "result"),
    [
        ("a b", "a b t", "a b m", "a b t m"),
        ("a b", "t a b", "a m b", "t a m b"),
        ("a b c", "a b c", "c a m b", "c a m b"),
        ("a b c", "a b c t", "c b a", "c b a t"),
        ("a b c", "b c", "a c m", "c m"),
        ("", "t", "m n", "t m n"),
        ("a", "", "a m", "m"),
    ],
)
def test_tasks_keep_their_order_and_new_ones_their_position(base: str, theirs: str, mine: str, result: str) -> None:
    page, clashes = merged(titles(*base.split()), titles(*theirs.split()), titles(*mine.split()))
    assert (page, clashes) == (titles(*result.split()), [])


def test_a_task_is_matched_after_a_new_id_day_or_position() -> None:
    base = {"tasks": [{"title": "Fold"}, {"title": "Sew", "since": dt.date(2025, 3, 1)}], "appointments": []}
    theirs = {"tasks": [{"title": "Sew", "since": dt.date(2025, 3, 1), "id": "a1"}, {"title": "Fold", "id": "b2"}]}
    mine = changed(base, {("tasks", "Fold", "since"): dt.date(2025, 3, 2), ("tasks", "Sew 2025-03-01", "rank"): 1})
    page, clashes = merged(base, theirs, mine)
    assert clashes == []
    assert page["tasks"] == [
        {"title": "Sew", "since": dt.date(2025, 3, 1), "id": "a1", "rank": 1},
        {"title": "Fold", "id": "b2", "since": dt.date(2025, 3, 2)},
    ]


def test_appointments_of_one_title_at_two_times_are_different() -> None:
    post = {"title": "Post", "start": "09:00"}
    base = {"appointments": [post, post | {"start": "15:00"}]}
    mine = changed(base, {("appointments", "Post 15:00", "end"): "15:30"})
    theirs = changed(base, {("appointments", "Post 09:00"): REMOVE})
    assert merged(base, theirs, mine) == ({"appointments": [post | {"start": "15:00", "end": "15:30"}]}, [])


def test_both_is_for_text_only() -> None:
    clashes = merged({"mood": 1}, {"mood": 2}, {"mood": 3})[1]
    with pytest.raises(UsageError, match='"mood" cannot be both'):
        merged({"mood": 1}, {"mood": 2}, {"mood": 3}, [clashes[0].pick("both")])
