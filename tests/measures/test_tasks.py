"""The lives of tasks from journal folders, against other implementations and published values."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.duration.survfunc import SurvfuncRight

import journal
from journal.measures import tasks as measure
from tests import journals
from tests.references import load

FIRST = dt.date(2025, 1, 1)


def day(number: int) -> dt.date:
    return FIRST + dt.timedelta(number)


def lives(folder: Path, pages: dict[int, list[dict[str, Any]]], today: int) -> pl.DataFrame:
    """The lives of the tasks of some pages, by the number of their day."""
    journals.write(folder, {day(number): {"tasks": tasks} for number, tasks in pages.items()})
    book = journal.open(folder, today=day(today), cache=False)
    assert not book.problems
    return measure.lives(book.tables.tasks, today=day(today))


def test_rows_with_one_id_are_one_task_whatever_their_titles(tmp_path: Path) -> None:
    found = lives(
        tmp_path,
        {
            0: [{"title": "Quote", "status": "carried", "estimate": 30, "id": "t7"}],
            1: [
                {
                    "title": "Quote for the choir",
                    "status": "carried",
                    "since": day(0),
                    "id": "t7",
                    "took": 20,
                    "rank": 2,
                }
            ],
            4: [
                {
                    "title": "Quote for the choir",
                    "status": "done",
                    "since": day(0),
                    "id": "t7",
                    "took": 40,
                    "estimate": 45,
                }
            ],
        },
        9,
    )
    (row,) = found.rows(named=True)
    assert row == {
        "title": "Quote for the choir", "since": day(0), "status": "done", "last": day(4), "days": 4, "carried": 2,
        "rank": None, "estimate": 45, "took": 60, "id": "t7", "was_ranked": True,
    }  # fmt: skip


def test_rows_without_an_id_match_by_title_and_first_day(tmp_path: Path) -> None:
    pages: dict[int, list[dict[str, Any]]] = {
        0: [{"title": "Fold", "status": "carried"}, {"title": "Sew", "status": "carried"}],
        1: [
            {"title": "Fold", "since": day(0), "status": "done"},
            {"title": "Sew", "since": day(0), "id": "s1", "status": "carried"},
        ],
        2: [{"title": "Sew it", "since": day(0), "id": "s1"}, {"title": "Fold"}],
    }
    found = lives(tmp_path, pages, 5).select("title", "since", "status", "days", "carried").rows()
    assert found == [
        ("Fold", day(0), "done", 1, 1),
        ("Sew it", day(0), "open", 5, 2),
        ("Fold", day(2), "open", 3, 0),
    ]


def test_a_task_planned_for_a_later_day_is_open(tmp_path: Path) -> None:
    pages: dict[int, list[dict[str, Any]]] = {
        0: [{"title": "A", "status": "carried", "id": "a"}],
        7: [{"title": "A", "since": day(0), "id": "a", "status": "done"}],
    }
    assert lives(tmp_path, pages, 3).select("status", "last", "days").row(0) == ("open", day(0), 3)
    assert lives(tmp_path, pages, 7).select("status", "last", "days").row(0) == ("done", day(7), 7)


def test_dropped_ends_a_task_and_carried_without_a_later_row_does_not(tmp_path: Path) -> None:
    pages = {
        0: [{"title": "A", "status": "dropped"}, {"title": "B", "status": "carried"}, {"title": "C", "status": "done"}]
    }
    found = lives(tmp_path, pages, 4).select("title", "status", "days").rows()
    assert found == [("A", "dropped", 0), ("B", "open", 4), ("C", "done", 0)]


def test_a_look_back_knows_nothing_of_later_pages(tmp_path: Path) -> None:
    pages = {
        0: [{"title": "Quote", "id": "q", "status": "carried", "estimate": 30, "rank": 3, "took": 5}],
        2: [{"title": "Quote 2", "id": "q", "since": day(0), "status": "done", "estimate": 90, "rank": 1, "took": 40}],
    }
    columns = ("title", "status", "rank", "estimate", "took", "was_ranked")
    assert lives(tmp_path, pages, 1).select(columns).rows() == [("Quote", "open", 3, 30.0, 5.0, True)]
    assert lives(tmp_path, pages, 2).select(columns).rows() == [("Quote 2", "done", 1, 90.0, 45.0, True)]
    later = {2: [{"title": "Later", "id": "l", "status": "open", "rank": 2, "estimate": 10}]}
    later |= {4: [{"title": "Latest", "id": "l", "since": day(2), "status": "open", "took": 9}]}
    assert lives(tmp_path, later, 1).select(columns).rows() == [("Later", "open", 2, 10.0, None, True)]


@pytest.mark.parametrize("check", load("kaplan-meier"), ids=lambda check: str(check["name"]))
def test_waiting_matches_the_references(tmp_path: Path, check: dict[str, Any]) -> None:
    """Each subject is a task: done after its time, or dropped (censored) then."""
    times, events = check["inputs"]["time"], check["inputs"]["event"]
    pages: dict[int, list[dict[str, Any]]] = {}
    for i, (time, event) in enumerate(zip(times, events, strict=True)):
        status = "done" if event else "dropped"
        pages.setdefault(time, []).append({"title": f"Task {i}", "since": day(0), "status": status})
    curve = measure.waiting(lives(tmp_path, pages, max(times)))
    wanted = check["expected"]
    assert curve.height == len(wanted["table"])
    for row, step in zip(curve.rows(named=True), wanted["table"], strict=True):
        assert (row["days"], row["at_risk"], row["done"]) == (step["time"], step["at_risk"], step["events"])
        assert row["survival"] == pytest.approx(step["survival"], abs=check["tolerance"]["survival"])
        if step["greenwood_se"] is None:
            assert row["se"] is None
        else:
            assert row["se"] == pytest.approx(step["greenwood_se"], abs=check["tolerance"]["se"])
    assert set(curve.get_column("median_days")) <= {wanted["median"]}


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 30), st.booleans()), min_size=1, max_size=40).filter(
        lambda x: any(e for _, e in x)
    )
)
def test_waiting_matches_statsmodels(subjects: list[tuple[int, bool]]) -> None:
    frame = pl.DataFrame(
        {"days": [time for time, _ in subjects], "status": ["done" if event else "open" for _, event in subjects]},
        schema_overrides={"days": pl.Int64},
    )
    curve = measure.waiting(frame)
    other = SurvfuncRight([time for time, _ in subjects], [int(event) for _, event in subjects])
    assert curve.get_column("days").to_list() == list(other.surv_times)
    assert curve.get_column("survival").to_list() == pytest.approx(list(other.surv_prob))
    last = curve.height - (curve.item(-1, "se") is None)
    assert curve.get_column("se").to_list()[:last] == pytest.approx(list(other.surv_prob_se)[:last])


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 30), st.booleans()), min_size=1, max_size=40))
def test_the_curve_and_its_median_match_lifelines(subjects: list[tuple[int, bool]]) -> None:
    from lifelines import KaplanMeierFitter  # takes two seconds, so only the worker of this test imports it

    times, events = [time for time, _ in subjects], [event for _, event in subjects]
    frame = pl.DataFrame(
        {"days": times, "status": ["done" if event else "open" for event in events]},
        schema_overrides={"days": pl.Int64},
    )
    curve = measure.waiting(frame)
    other = KaplanMeierFitter().fit(times, event_observed=events)
    assert curve.get_column("survival").to_list() == pytest.approx(
        [float(other.predict(days)) for days in curve.get_column("days")]
    )
    median = other.median_survival_time_
    assert set(curve.get_column("median_days")) <= {None if median == float("inf") else median}


@pytest.mark.parametrize("check", load("estimate-actual")[1:], ids=lambda check: str(check["name"]))
def test_estimates_match_the_references(tmp_path: Path, check: dict[str, Any]) -> None:
    pairs = zip(check["inputs"]["estimated"], check["inputs"]["actual"], strict=True)
    tasks = [{"title": f"Task {i}", "status": "done", "estimate": e, "took": t} for i, (e, t) in enumerate(pairs)]
    ratios = measure.ratios(lives(tmp_path, {0: tasks}, 0))
    wanted, tolerance = dict(check["expected"]), check["tolerance"]
    assert ratios.get_column("ratio").to_list() == pytest.approx(wanted.pop("ratio"), abs=tolerance)
    found = measure.estimates(ratios).row(0, named=True)
    assert {name: found[name] for name in wanted} == pytest.approx(wanted, abs=tolerance)


def test_the_overrun_of_a_thesis(tmp_path: Path) -> None:
    """Buehler, Griffin and Ross (1994), study 1, with days as minutes: the mean forecast against the mean time."""
    (check,) = [check for check in load("estimate-actual") if "thesis" in check["name"]]
    given_, wanted = check["inputs"], check["expected"]
    task = {"title": "Thesis", "status": "done", "estimate": given_["predicted"], "took": given_["actual"]}
    found = measure.estimates(measure.ratios(lives(tmp_path, {0: [task]}, 0))).row(0, named=True)
    assert found["median_ratio"] == pytest.approx(wanted["ratio"], abs=check["tolerance"]["ratio"])
    assert found["mean_error"] == pytest.approx(wanted["overrun_days"], abs=check["tolerance"]["days"])


def test_tasks_without_a_time_have_no_ratio(tmp_path: Path) -> None:
    found = measure.estimates(measure.ratios(lives(tmp_path, {0: [{"title": "A", "status": "done", "took": 5}]}, 0)))
    assert found.row(0) == (0, *[None] * 7)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 20), st.booleans()), min_size=4, max_size=40).filter(
        lambda x: any(e for _, e in x)
    )
)
def test_the_interval_crosses_one_half_at_the_median_interval_of_statsmodels(
    subjects: list[tuple[int, bool]],
) -> None:
    frame = pl.DataFrame(
        {"days": [time for time, _ in subjects], "status": ["done" if event else "open" for _, event in subjects]},
        schema_overrides={"days": pl.Int64},
    )
    curve = measure.waiting(frame)
    told = curve.filter(pl.col("se").is_not_null())
    assert ((told["low"] <= told["survival"]) & (told["survival"] <= told["high"])).all()
    assert told["low"].min() is None or (told["low"].min() >= 0 and told["high"].max() <= 1)  # type: ignore[operator]
    if told.height < curve.height:
        return  # the last step, where survival is 0, has no interval
    other = SurvfuncRight([time for time, _ in subjects], [int(event) for _, event in subjects])
    low, high = other.quantile_ci(0.5, method="cloglog")
    inside = curve.filter(pl.col("low") <= 0.5, pl.col("high") >= 0.5)["days"].to_list()
    assert (min(inside) if inside else None) == (low if inside else None)
    if inside and high != float("inf"):
        assert max(inside) <= high


def test_trailing_ratios_use_a_window_of_days_and_need_enough_tasks(tmp_path: Path) -> None:
    pages = {n: [{"title": f"Task {n}", "status": "done", "estimate": 10, "took": 10 * (n + 1)}] for n in (0, 1, 2, 40)}
    found = measure.trailing_ratios(measure.ratios(lives(tmp_path, pages, 40)), days=28, least=3)
    assert found.select("ratio", "trailing_n", "trailing_median").rows() == [
        (1.0, 1, None), (2.0, 2, None), (3.0, 3, 2.0), (41.0, 1, None)
    ]  # fmt: skip
    assert measure.trailing_ratios(found.clear().select("last", "ratio")).columns == [
        "last", "ratio", "trailing_n", "trailing_median"
    ]  # fmt: skip


def test_ranked_against_unranked(tmp_path: Path) -> None:
    ranked: dict[int, list[dict[str, Any]]]
    ranked = {n: [{"title": f"Ranked {n}", "rank": 1, "status": "done" if n < 56 else "dropped"}] for n in range(70)}
    others: list[dict[str, Any]]
    others = [{"title": f"Other {n}", "status": "done" if n < 48 else "dropped"} for n in range(80)]
    late: list[dict[str, Any]]
    late = [{"title": "Today's", "status": "open"}, {"title": "Today's, done", "status": "done"}]
    pages = ranked | {0: ranked[0] + others, 80: late}
    first, second = measure.by_rank(lives(tmp_path, pages, 80), today=day(80)).iter_rows(named=True)
    assert (first["ranked"], first["tasks"], first["done"], first["dropped"], first["rate"]) == (True, 70, 56, 14, 0.8)
    # An open task of today does not count yet, a done one does.
    assert (second["tasks"], second["done"], second["open"]) == (81, 49, 0)
    # Newcombe (1998), 56 of 70 against 48 of 80, method 10: 0.0524 to 0.3339; one more of each moves it a little.
    assert first["difference_low"] == pytest.approx(0.0524, abs=0.01)
    assert first["difference_high"] == pytest.approx(0.3339, abs=0.01)


def test_no_task_has_no_rate(tmp_path: Path) -> None:
    nothing = measure.by_rank(lives(tmp_path, {0: [{"title": "A", "status": "open"}]}, 0), today=day(0))
    assert nothing.select("tasks", "rate", "low", "difference").rows() == [(0, None, None, None)] * 2
