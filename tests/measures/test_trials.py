"""Trials of a journal, from its files to the result: what counts, what is hidden until when, and what weakens it."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from statistics import NormalDist
from typing import Any

import pytest

import journal
from journal import Journal, lots
from journal.settings import Trial
from tests import journals

FIRST = dt.date(2025, 3, 1)
DAY = dt.timedelta(days=1)
WALK = {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": dt.date(2025, 1, 1)}
READ = WALK | {"key": "read", "name": "Read", "target": 20}
PLAN: dict[str, Any] = {
    "key": "walking", "question": "Does a walk lift the day?", "habit": "walk", "from": FIRST, "days": 32, "seed": 4711,
}  # fmt: skip
END = FIRST + 31 * DAY


def typed(plan: dict[str, Any]) -> Trial:
    return Trial(start=plan["from"], **{key: value for key, value in plan.items() if key != "from"})


def page(lot: lots.Lot, *, lift: float = 1, **more: Any) -> dict[str, Any]:
    """A closed day on which the habit was done as drawn. Without it, mood goes up and down by less than it adds."""
    return {"mood": 3 + lot.date.day**2 % 7 / 10 + lift * lot.is_on, "habits": {"walk": lot.is_on}} | more


def opened(folder: Path, pages: dict[dt.date, dict[str, Any]], today: dt.date, **changes: Any) -> Journal:
    plan = {key: value for key, value in (PLAN | changes).items() if value is not None}
    journals.write(folder, pages, habits=[WALK, READ], trials=[plan])
    book = journal.open(folder, today=today, cache=False)
    assert not book.problems
    return book


def row(book: Journal) -> dict[str, Any]:
    return book.trial_results.row(0, named=True)


def as_drawn(**changes: Any) -> dict[dt.date, dict[str, Any]]:
    return {lot.date: page(lot) for lot in lots.lots(typed(PLAN | changes))}


def test_a_trial_that_is_over(tmp_path: Path) -> None:
    found = row(opened(tmp_path, as_drawn(), END + DAY))
    assert (found["n_on"], found["n_off"], found["kept"], found["days"]) == (16, 16, 1, 32)
    assert (found["finished"], found["state"], found["assignments"], found["pairs"]) == (True, "finished", 256, 8)
    assert found["mean_on"] - found["mean_off"] == pytest.approx(1, abs=0.2)
    assert found["low"] < 1 < found["high"] and found["p"] == found["p_adjusted"] == 2 / 256
    assert (found["missing_on"], found["missing_off"], found["looks"], found["changed"]) == (0, 0, 0, False)


def test_a_day_done_otherwise_counts_as_it_was_drawn(tmp_path: Path) -> None:
    pages = as_drawn()
    for lot in lots.lots(typed(PLAN))[:4]:
        pages[lot.date]["habits"] = {"walk": not lot.is_on}
    book = opened(tmp_path, pages, END + DAY)
    as_it_was = row(opened(tmp_path / "as drawn", as_drawn(), END + DAY))
    found = row(book)
    assert (found["kept"], found["otherwise"]) == (28 / 32, 4)
    assert (found["effect"], found["p"]) == (as_it_was["effect"], as_it_was["p"])
    assert book.lots.select("arm", "done").rows()[:4] == [("on", False), ("on", False), ("off", True), ("off", True)]


def test_rest_and_unwritten_days(tmp_path: Path) -> None:
    """A rest is not done. A day without a page says nothing, and is missing where its outcome is."""
    pages = as_drawn()
    on, off = FIRST, FIRST + 2 * DAY
    pages[on]["habits"] = {"walk": "rest"}
    del pages[off], pages[off + DAY]["mood"]
    book = opened(tmp_path, pages, END + DAY)
    found = row(book)
    assert (found["n_on"], found["n_off"], found["missing_on"], found["missing_off"]) == (16, 14, 0, 2)
    assert (found["known"], found["kept"]) == (31, 30 / 31)
    assert book.lots.select("done", "outcome").rows()[0][0] is False
    assert book.lots.select("done", "outcome").rows()[2] == (None, None)


def test_the_result_is_hidden_until_the_last_outcome(tmp_path: Path) -> None:
    pages = as_drawn(lag=1)
    hidden = ("effect", "low", "high", "p", "mean_on", "mean_off", "p_adjusted")
    running = row(opened(tmp_path / "a", pages, END, lag=1))
    assert (running["state"], running["finished"]) == ("running", False)
    assert [running[name] for name in hidden] == [None] * 7
    assert running["n_on"] + running["n_off"] == 31
    on_the_day = row(opened(tmp_path / "b", pages, END + DAY, lag=1))
    assert (on_the_day["state"], on_the_day["p"]) == ("running", None)
    with_it = pages | {END + DAY: {"mood": 3}}
    assert row(opened(tmp_path / "c", with_it, END + DAY, lag=1))["state"] == "finished"
    assert row(opened(tmp_path / "d", pages, END + 2 * DAY, lag=1))["p"] is not None


def test_it_is_shown_on_a_day_on_which_it_was_asked_for(tmp_path: Path) -> None:
    today = FIRST + 25 * DAY
    asked = opened(tmp_path, as_drawn(), today, looked=[FIRST + 20 * DAY, today, today + DAY])
    found = row(asked)
    assert (found["finished"], found["looks"]) == (False, 2)
    assert found["p"] is not None and found["effect"] is not None
    assert row(asked.as_of(today - DAY))["p"] is None
    assert row(asked.as_of(END + DAY))["looks"] == 3


def test_looks_are_tests_that_could_have_ended_it(tmp_path: Path) -> None:
    """Half way, 11 % of the 5 % may be used, and 89 % are left for the end. On the day of a stop a look is the same."""
    pages, half = as_drawn(), FIRST + 16 * DAY
    spent = 2 * (1 - NormalDist().cdf(1.959964 / 0.5**0.5)) / 0.05
    assert spent == pytest.approx(0.1115, abs=1e-4)
    plain = row(opened(tmp_path / "a", pages, half, stopped=half))
    looked = row(opened(tmp_path / "b", pages, half, stopped=half, looked=[half]))
    assert (plain["state"], plain["finished"], plain["days"]) == ("stopped", True, 16)
    assert looked["p"] == pytest.approx(min(plain["p"] / spent, 1))
    whole = row(opened(tmp_path / "d", pages, END + DAY, looked=[half]))
    unseen = row(opened(tmp_path / "e", pages, END + DAY))
    assert whole["p"] == pytest.approx(unseen["p"] / (1 - spent))
    assert whole["low"] <= unseen["low"] <= unseen["high"] <= whole["high"]
    late = row(opened(tmp_path / "f", pages, END + DAY, looked=[END, END + DAY]))
    assert late["p"] == unseen["p"]
    twice = row(opened(tmp_path / "g", pages, FIRST + 24 * DAY, stopped=FIRST + 24 * DAY, looked=[half]))
    assert twice["p"] > row(opened(tmp_path / "h", pages, FIRST + 24 * DAY, stopped=FIRST + 24 * DAY))["p"]


def test_a_changed_plan_has_no_p(tmp_path: Path) -> None:
    sealed = lots.digest(typed(PLAN))
    assert row(opened(tmp_path / "a", as_drawn(), END + DAY, plan=sealed))["p"] == 2 / 256
    changed = row(opened(tmp_path / "b", as_drawn(), END + DAY, plan=sealed, seed=5))
    assert (changed["changed"], changed["p"], changed["low"], changed["high"]) == (True, None, None, None)
    assert changed["effect"] is not None


def test_washout_days_are_left_out(tmp_path: Path) -> None:
    plan = {"block": 3, "washout": 1, "days": 48}
    found = row(opened(tmp_path, as_drawn(**plan), FIRST + 48 * DAY, **plan))
    assert (found["days"], found["n_on"], found["n_off"], found["known"]) == (48, 16, 16, 32)


@pytest.mark.parametrize(
    ("outcome", "pages"),
    [
        ("energy", {"energy": 2}),
        ("read", {"habits": {"read": 2}}),
        ("sleep", {"hours": {"actual": {"sleep": ["00:00-06:00", "23:00-24:00"]}}}),
    ],
)
def test_other_outcomes(tmp_path: Path, outcome: str, pages: dict[str, Any]) -> None:
    days = dict.fromkeys(journals.days_between(FIRST, END + DAY), pages)
    book = opened(tmp_path, days, END + 2 * DAY, outcome=outcome, lag=1)
    expected = {"energy": 2, "read": 2, "sleep": 420}[outcome]
    outcomes = book.lots.get_column("outcome").to_list()
    assert outcomes[:28] == [expected] * 28  # on 30 March the clocks change
    found = row(book)
    assert outcome == "sleep" or (found["effect"], found["p"]) == (0, 1)


def test_low_days_interrupt_a_trial_and_what_comes_after_is_not_drawn(tmp_path: Path) -> None:
    pages = as_drawn()
    for date in journals.days_between(FIRST + 4 * DAY, FIRST + 17 * DAY):
        pages[date]["mood"] = 1
    book = opened(tmp_path, pages, END + DAY)
    # The 14 days from the third hold 12 low ones.
    assert book.trials[0].interrupted == FIRST + 16 * DAY
    assert lots.lot_on(book.trials[0], FIRST + 16 * DAY) is None
    found = row(book)
    assert (found["state"], found["finished"], found["days"]) == ("interrupted", True, 16)
    assert row(book.as_of(FIRST + 10 * DAY))["state"] == "running"
    # The day after is due again, as the days before the trial are.
    free = [lot.date for lot in lots.lots(typed(PLAN)) if not lot.is_on and lot.date > FIRST + 16 * DAY]
    assert not book.marks.filter(book.marks["date"].is_in(free), book.marks["off"]).height


def test_a_day_that_the_lot_leaves_free_breaks_no_streak(tmp_path: Path) -> None:
    book = opened(tmp_path, as_drawn(), END)
    states = book.states.filter(book.states["habit"] == "walk", book.states["date"].is_between(FIRST, END))
    free = [not lot.is_on for lot in lots.lots(typed(PLAN))]
    assert [state == "rest" for state in states.get_column("state")] == free
    from journal.measures import streaks

    running = streaks.streaks(book.occasions, today=END, blank="breaks")
    assert running.filter(running["habit"] == "walk").get_column("current").to_list() == [16]


def test_a_trial_that_is_to_come(tmp_path: Path) -> None:
    book = opened(tmp_path, {FIRST - DAY: {"mood": 3}}, FIRST - DAY)
    found = row(book)
    assert (found["state"], found["kept"], found["n_on"], found["finished"]) == ("coming", None, 0, False)
    assert book.lots.get_column("done").null_count() == 32


def test_several_trials_are_corrected_together(tmp_path: Path) -> None:
    plans = [PLAN, PLAN | {"key": "reading", "habit": "read", "seed": 12}]
    journals.write(tmp_path, as_drawn(), habits=[WALK, READ], trials=plans)
    rows = journal.open(tmp_path, today=END + DAY, cache=False).trial_results.to_dicts()
    assert rows[0]["p_adjusted"] == pytest.approx(2 * rows[0]["p"])
    assert rows[1]["p_adjusted"] == max(rows[1]["p"], rows[0]["p_adjusted"])
