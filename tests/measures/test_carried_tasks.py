"""Tasks carried most and tasks that need a decision, from journal folders, against a simple slow count."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal.measures import carried_tasks
from tests import journals

TODAY = dt.date(2025, 3, 16)
FIRST = dt.date(2025, 3, 3)
NO_UNDATED = pl.DataFrame(schema=carried_tasks.UNDATED)


def day(number: int) -> dt.date:
    return FIRST + dt.timedelta(number)


def rows(folder: Path, pages: dict[int, list[dict[str, Any]]]) -> pl.DataFrame:
    """The tasks of some pages, by the number of their day; 13 is today."""
    journals.write(folder, {day(number): {"tasks": tasks} for number, tasks in pages.items()})
    book = journal.open(folder, today=TODAY, cache=False)
    assert not book.problems
    return book.tables.tasks


def listed(tasks: pl.DataFrame, undated: pl.DataFrame = NO_UNDATED) -> list[tuple[Any, ...]]:
    found = carried_tasks.to_decide(tasks, undated, today=TODAY)
    return found.select("title", "carried", "on").rows()


def quote(status: str = "open", **more: Any) -> dict[str, Any]:
    return {"title": "Quote", "since": FIRST, "id": "t7", "status": status} | more


def test_a_task_carried_twice_needs_a_decision_and_one_carried_once_does_not(tmp_path: Path) -> None:
    once = {7: [quote("carried")], 13: [quote()]}
    assert listed(rows(tmp_path / "once", once)) == []
    for number in (13, 14, 20):
        twice = {5: [quote("carried")], 7: [quote("carried")], number: [quote()]}
        assert listed(rows(tmp_path / str(number), twice)) == [("Quote", 2, day(number))]


def test_an_open_task_on_a_past_page_needs_a_decision_even_if_never_carried(tmp_path: Path) -> None:
    pages = {7: [{"title": "Left"}, quote("carried")], 13: [{"title": "Of today"}], 14: [{"title": "Of tomorrow"}]}
    assert listed(rows(tmp_path, pages)) == [("Quote", 1, day(7)), ("Left", 0, day(7))]


@pytest.mark.parametrize("end", ["done", "dropped"])
def test_an_ended_task_needs_no_decision_even_if_it_ended_on_a_future_page(tmp_path: Path, end: str) -> None:
    for number in (12, 13, 17):
        pages = {5: [quote("carried")], 7: [quote("carried")], number: [quote(end)]}
        assert listed(rows(tmp_path / str(number), pages)) == []


def test_an_undated_task_needs_a_decision_after_four_weeks_or_without_a_start_date(tmp_path: Path) -> None:
    undated = pl.DataFrame(
        [
            ("Old", 20.0, TODAY - dt.timedelta(28), "u1"),
            ("New", None, TODAY - dt.timedelta(27), "u2"),
            ("To come", None, TODAY + dt.timedelta(1), None),
            ("Unknown", None, None, None),
            ("Quote, put by", 30.0, FIRST, "t7"),
        ],
        schema=carried_tasks.UNDATED,
        orient="row",
    )
    tasks = rows(tmp_path, {5: [quote("carried", estimate=45)], 7: [quote("carried")]})
    found = carried_tasks.to_decide(tasks, undated, today=TODAY)
    assert found.select("title", "days", "carried", "estimate", "on", "id").rows() == [
        ("Quote, put by", 13, 2, 30.0, None, "t7"),
        ("Old", 28, 0, 20.0, None, "u1"),
        ("Unknown", None, 0, None, None, None),
    ]


def test_an_undated_task_without_an_id_matches_its_rows_on_pages(tmp_path: Path) -> None:
    plain = {"title": "Fold", "status": "carried"}
    tasks = rows(tmp_path, {0: [plain], 7: [plain | {"since": FIRST}]})
    undated = pl.DataFrame([("Fold", None, FIRST, None)], schema=carried_tasks.UNDATED, orient="row")
    assert listed(tasks, undated) == [("Fold", 2, None)]


def test_a_renamed_task_has_its_newest_title_and_all_its_pages(tmp_path: Path) -> None:
    tasks = rows(tmp_path, {5: [quote("carried")], 7: [quote("carried")], 13: [quote()], 14: [quote(title="Ask")]})
    (row,) = carried_tasks.to_decide(tasks, NO_UNDATED, today=TODAY).iter_rows(named=True)
    assert (row["title"], row["on"], row["pages"]) == ("Ask", day(14), [TODAY, day(14)])


def test_no_tasks_need_no_decision() -> None:
    tasks = journal.tables.build(journal.tables.record([]), journal.settings.Settings(title="", places=()), TODAY).tasks
    assert carried_tasks.to_decide(tasks, NO_UNDATED, today=TODAY).is_empty()
    assert carried_tasks.carried_most(tasks, FIRST, TODAY, today=TODAY).is_empty()


@settings(max_examples=20, deadline=None)
@given(st.lists(st.lists(st.sampled_from(["carried", "open", "done", "none"]), min_size=18, max_size=18), max_size=4))
def test_counts_match_a_count_from_the_pages(tmp_path_factory: pytest.TempPathFactory, lives: list[list[str]]) -> None:
    """Each task is a list of days; on each day it has a status or is absent."""
    pages: dict[int, list[dict[str, Any]]] = {}
    for name, states in enumerate(lives):
        for number, state in enumerate(states):
            if state != "none":
                row = {"title": f"Task {name}", "id": f"t{name}", "since": FIRST, "status": state}
                pages.setdefault(number, []).append(row)
    tasks = rows(tmp_path_factory.mktemp("counts"), pages)
    first, last = day(4), day(16)
    expected = {}
    for name, states in enumerate(lives):
        dates = [day(n) for n, state in enumerate(states) if state == "carried" and 4 <= n <= 13]  # today is the 13th
        if dates:
            expected[f"Task {name}"] = (len(dates), dates, sum(state == "carried" for state in states[:14]))
    found = carried_tasks.carried_most(tasks, first, last, today=TODAY)
    assert {title: rest for title, *rest in found.select("title", "carried", "dates", "in_all").rows()} == {
        title: list(rest) for title, rest in expected.items()
    }
    assert found.get_column("carried").to_list() == sorted(found.get_column("carried").to_list(), reverse=True)
    asking = {}
    for name, states in enumerate(lives):
        stood = [n for n, state in enumerate(states) if state != "none"]
        past = [n for n in stood if n <= 13]
        ended = any(states[max(some)] == "done" for some in (past, stood) if some)
        opens = [n for n in stood if states[n] == "open"]
        carried = sum(states[n] == "carried" for n in past)
        if stood and not ended and (carried >= 2 or max(opens or stood) < 13):
            asking[f"Task {name}"] = (carried, day(max(opens or stood)))
    assert {title: (carried, on) for title, carried, on in listed(tasks)} == asking
