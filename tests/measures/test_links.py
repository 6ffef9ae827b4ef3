"""Links between habits and mood: which days count, the columns of a row, and the planted links of the example year."""

from __future__ import annotations

import datetime as dt
import itertools
from fractions import Fraction
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal.measures.compared_days import compared
from journal.measures.correlates import drivers, recorded, weekday
from journal.measures.false_discovery import together
from journal.measures.half_shift import arrangements, days_for_one
from journal.measures.link_sentences import WHAT_IT_SHOWS, driver_link, habit_link, weekday_link
from journal.measures.links import LINKS, links, sizes
from journal.measures.states import State, states
from tests.journals import days_between, write

EXAMPLE = Path(__file__).parents[2] / "example_year"
NEW_YEAR = dt.date(2025, 1, 1)
LATER = dt.date(2026, 6, 1)
PLANTED = {("walk", 0): 0.60, ("swim", 1): 0.50, ("screen", 1): 0.40}
Row = dict[str, Any]


def span(n: int, first: dt.date = NEW_YEAR) -> list[dt.date]:
    return [first + dt.timedelta(days=i) for i in range(n)]


def marked(found: list[str], habit: str = "walk", **more: Any) -> pl.DataFrame:
    """A frame of states, one per day from New Year on."""
    return pl.DataFrame(
        {"habit": habit, "date": span(len(found)), "asked": True, "per": None, "mark": None, "state": found} | more,
        schema_overrides={"date": pl.Date, "per": pl.String, "mark": pl.String, "state": State},
    )


def felt(moods: list[float | None]) -> pl.DataFrame:
    return pl.DataFrame(
        {"date": span(len(moods)), "mood": moods}, schema_overrides={"date": pl.Date, "mood": pl.Float64}
    )


def only(frame: pl.DataFrame, **columns: Any) -> Row:
    return frame.row(by_predicate=pl.all_horizontal(pl.col(c) == v for c, v in columns.items()), named=True)


# --- Which days count


def test_rest_blank_pending_and_not_due_days_are_excluded() -> None:
    kinds = ["done", "missed", "partial", "rest", "blank", "pending", "not due"]
    found = compared(marked(kinds), felt([5.0] * 7), today=LATER)
    assert found.select("date", "done").rows() == [(span(7)[0], True), (span(7)[1], False), (span(7)[2], False)]


def test_a_day_without_a_mood_is_excluded_and_the_next_day_is_the_next_date() -> None:
    kept = marked(["done", "missed", "done", "missed"])
    moods = felt([1.0, None, 3.0, 4.0])
    assert compared(kept, moods, today=LATER).select("done", "value").rows() == [
        (True, 1.0),
        (True, 3.0),
        (False, 4.0),
    ]
    assert compared(kept, moods, today=LATER, lag=1).select("done", "value").rows() == [(False, 3.0), (True, 4.0)]


def test_a_quota_habit_is_compared_on_every_asked_day_in_force() -> None:
    kept = marked(
        ["done", "not due", "not due", "rest", "partial", "not due"],
        per="week",
        asked=[True, True, False, True, True, True],
        mark=["done", None, None, "rest", "number", None],
    )
    moods = felt([1.0, 2.0, 3.0, 4.0, 5.0, 6.0])
    found = compared(kept, moods, today=LATER)
    assert found.select("done", "value").rows() == [(True, 1.0), (False, 2.0), (False, 5.0), (False, 6.0)]
    assert found.get_column("quota").all()
    # Today is not over: a missing mark is not yet a miss.
    assert compared(kept, moods, today=span(6)[5]).get_column("value").to_list() == [1.0, 2.0, 5.0]


def test_a_habit_of_sundays_is_compared_among_sundays(tmp_path: Path) -> None:
    pages = {
        day: {"mood": 5 if day.weekday() == 6 else 2}
        | ({"habits": {"call": day.day % 2 == 0}} if day.weekday() == 6 else {})
        for day in days_between(NEW_YEAR, dt.date(2025, 12, 31))
    }
    call = {"key": "call", "name": "Call", "every": "FREQ=WEEKLY;BYDAY=SU", "from": NEW_YEAR, "until": max(pages)}
    tables = journal.open(write(tmp_path, pages, habits=[call]), today=LATER, cache=False).tables
    row = only(links(states(tables.marks, today=LATER), tables.days, today=LATER), lag_days=0)
    assert row["n_done"] + row["n_missed"] == 52
    assert (row["difference"], row["superiority"], row["p"], row["clear"]) == (0.0, 0.5, 1.0, False)


# --- The columns of a row


def slow_p(done: list[bool], values: list[Fraction]) -> float:
    """The p of every shift in turn, in exact fractions."""
    n = len(done)

    def apart(shift: int) -> Fraction:
        kept = [values[(i + shift) % n] for i in range(n) if done[i]]
        left = [values[(i + shift) % n] for i in range(n) if not done[i]]
        return abs(sum(kept, Fraction()) / len(kept) - sum(left, Fraction()) / len(left))

    observed = apart(0)
    return sum(apart(shift) >= observed for shift in range(n)) / n


DAY = st.tuples(
    st.sampled_from(["done", "missed", "partial", "rest", "blank", "not due"]),
    st.one_of(st.none(), st.integers(10, 50)),
)


@settings(max_examples=150)
@given(st.lists(DAY, min_size=1, max_size=60), st.integers(0, 2))
def test_a_row_matches_a_plain_count(found: list[tuple[str, int | None]], lag: int) -> None:
    kinds, tenths = [kind for kind, _ in found], [tenth for _, tenth in found]
    pairs = []
    for kind, mood in zip(kinds, tenths[lag:], strict=False):
        if mood is not None and kind in {"done", "missed", "partial"}:
            pairs.append((kind == "done", Fraction(mood, 10)))
    moods = felt([None if tenth is None else tenth / 10 for tenth in tenths])
    row = links(marked(kinds), moods, today=LATER, lags=(lag,), least=1).row(0, named=True)
    kept, left = [v for done, v in pairs if done], [v for done, v in pairs if not done]
    assert (row["n_done"], row["n_missed"]) == (len(kept), len(left))
    if not kept or not left:
        assert row["p"] is row["q"] is row["clear"] is row["difference"] is row["mean_done"] is None
        return
    means = sum(kept, Fraction()) / len(kept), sum(left, Fraction()) / len(left)
    assert (row["mean_done"], row["mean_missed"]) == pytest.approx([float(mean) for mean in means], abs=1e-12)
    assert row["difference"] == pytest.approx(float(means[0] - means[1]), abs=1e-12)
    won = sum(Fraction(a > b) + Fraction(a == b, 2) for a, b in itertools.product(kept, left))
    assert row["superiority"] == pytest.approx(float(won / (len(kept) * len(left))), abs=1e-12)
    assert row["p"] == slow_p([done for done, _ in pairs], [value for _, value in pairs])
    assert row["q"] == row["p_fine"]
    assert row["p_fine"] >= (row["p"] if row["p"] > 0.05 else 1 / arrangements(len(pairs)))


SIZES = ("habit", "lag_days", "n_done", "n_missed", "mean_done", "mean_missed", "difference", "clear", "needed", "told")


@settings(max_examples=50)
@given(st.lists(DAY, min_size=1, max_size=60), st.integers(0, 2), st.booleans())
def test_the_sizes_are_those_of_the_links(found: list[tuple[str, int | None]], lag: int, higher: bool) -> None:
    states = marked([kind for kind, _ in found])
    moods = felt([None if tenth is None else tenth / 10 for _, tenth in found])
    stands = pl.DataFrame({"habit": "walk", "lag_days": [0, lag], "higher": higher, "told": LATER}).unique()
    whole = links(states, moods, today=LATER, lags=(lag,), least=3, standing=stands)
    quick = sizes(states, moods, today=LATER, lags=(lag,), least=3, standing=stands)
    assert quick.schema == whole.schema
    assert quick.select(SIZES).equals(whole.select(SIZES))


def alternating(n: int, every: int = 2) -> list[str]:
    return ["done" if i % every == 0 else "missed" for i in range(n)]


def test_columns_and_types_hold_even_for_an_empty_frame() -> None:
    keys = [
        "habit",
        "lag_days",
        "n_done",
        "n_missed",
        "mean_done",
        "mean_missed",
        "difference",
        "superiority",
        "p",
        "q",
        "clear",
    ]
    empty = links(marked([]), felt([]), today=LATER)
    assert list(LINKS)[: len(keys)] == keys
    assert empty.height == 0
    assert dict(empty.schema) == LINKS
    assert dict(links(marked(alternating(60)), felt([3.0, 4.0] * 30), today=LATER).schema) == LINKS


@pytest.mark.parametrize(("n", "testable"), [(27, False), (28, True)])
def test_fourteen_days_on_each_side_are_needed(n: int, testable: bool) -> None:
    kinds = ["done" if i * i % 53 < 26 else "missed" for i in range(n)]
    row = links(marked(kinds), felt([4.0, 2.0, 3.0] * 10), today=LATER).row(0, named=True)
    assert (row["n_done"], row["n_missed"], row["needed"]) == (14, n - 14, 14)
    for key in ("mean_done", "mean_missed", "difference", "superiority", "p", "q", "clear", "low", "high"):
        assert (row[key] is not None) == testable, key


def test_rows_with_too_few_days_do_not_raise_the_q_of_others() -> None:
    """q ignores rows that cannot be tested."""
    walk = marked(alternating(100, 3))
    moods = felt([4.0 + (i % 5) / 10 if i % 3 == 0 else 2.0 for i in range(100)])
    alone = links(walk, moods, today=LATER).filter(pl.col("habit") == "walk")
    beside = links(pl.concat([walk, marked(alternating(9), "new")]), moods, today=LATER)
    assert beside.filter(pl.col("habit") == "walk").equals(alone)
    assert beside.filter(pl.col("habit") == "new").get_column("q").to_list() == [None, None]


@pytest.mark.parametrize("moods", [[3.0] * 200, [3.3] * 200])
def test_a_constant_mood_has_no_links(moods: list[float]) -> None:
    row = links(marked(alternating(200, 3)), felt(list(moods)), today=LATER).row(0, named=True)
    assert row["difference"] == pytest.approx(0, abs=1e-12)
    assert (row["superiority"], row["p"], row["q"], row["clear"]) == (0.5, 1.0, 1.0, False)
    assert (row["low"], row["high"]) == pytest.approx((0, 0), abs=1e-9)


def test_a_habit_that_is_always_done_has_no_comparison() -> None:
    found = links(marked(["done"] * 365), felt([1.0, 5.0] * 183), today=LATER)
    assert found.select("n_done", "n_missed", "p", "clear").rows() == [(365, 0, None, None), (365, 0, None, None)]


def test_a_year_with_two_entries() -> None:
    moods: list[float | None] = [None] * 365
    moods[3], moods[200] = 2.0, 5.0
    found = links(marked(alternating(365)), felt(moods), today=LATER)
    assert found.select("n_done", "n_missed").row(0) == (1, 1)
    assert found.get_column("p").null_count() == 2


def test_a_habit_with_only_a_weekly_cycle_is_not_called_clear() -> None:
    """Every seventh shift is the same, so good weekends are no evidence for a weekend habit."""
    kinds = ["done" if day.weekday() >= 5 else "missed" for day in span(364)]
    moods: list[float | None] = [4.0 if day.weekday() >= 5 else 2.0 + day.day % 2 for day in span(364)]
    row = links(marked(kinds), felt(moods), today=LATER, lags=(0,)).row(0, named=True)
    assert row["difference"] > 1 and row["superiority"] > 0.9
    assert row["p"] >= 1 / 7 and not row["clear"]


def test_results_are_reproducible_and_independent_of_the_scale() -> None:
    kinds = ["done" if i * 7 % 11 < 5 else "missed" for i in range(150)]
    values = [float(i * i % 7) for i in range(150)]
    once, again = (links(marked(kinds), felt(list(values)), today=LATER) for _ in range(2))
    assert once.equals(again)
    tenths = links(marked(kinds), felt([v / 10 + 1.3 for v in values]), today=LATER)
    for key in ("p", "q", "superiority", "clear"):
        assert tenths.get_column(key).to_list() == once.get_column(key).to_list()
    assert tenths.get_column("low").to_list() == pytest.approx([low / 10 for low in once.get_column("low")], abs=1e-9)
    turned = links(marked(kinds), felt([-v for v in values]), today=LATER)
    assert turned.get_column("difference").to_list() == pytest.approx([-d for d in once.get_column("difference")])
    assert turned.get_column("p").to_list() == once.get_column("p").to_list()


def test_the_order_of_input_rows_does_not_matter() -> None:
    kinds = ["done" if i % 20 < 9 else "missed" for i in range(150)]
    both = pl.concat([marked(kinds), marked(alternating(150, 3), "read")])
    moods = felt([float(i * i % 7 + i % 20 // 5) for i in range(150)])
    mixed = both.sample(fraction=1, shuffle=True, seed=4)
    assert (
        links(mixed, moods.reverse(), today=LATER)
        .sort("habit", "lag_days")
        .equals(links(both, moods, today=LATER).sort("habit", "lag_days"))
    )


# --- The example year


@pytest.fixture(scope="module")
def year() -> journal.Journal:
    return journal.open(EXAMPLE, today=dt.date(2025, 12, 31), cache=False)


@pytest.fixture(scope="module")
def everything(year: journal.Journal) -> tuple[pl.DataFrame, ...]:
    tables = year.tables
    habits = links(states(tables.marks, today=year.today), tables.days, today=year.today)
    return together(habits, drivers(tables.days, recorded(tables.days, tables.hours)), weekday(tables.days))


def test_exactly_the_planted_links_are_clear_with_their_sign_and_size(
    everything: tuple[pl.DataFrame, ...], year: journal.Journal
) -> None:
    alone = links(states(year.tables.marks, today=year.today), year.tables.days, today=year.today)
    for habits in (alone, everything[0]):  # q over the habits alone, and over all comparisons
        clear = habits.filter("clear").select("habit", "lag_days").rows()
        assert set(clear) == set(PLANTED)
        for (habit, lag), planted in PLANTED.items():
            row = only(habits, habit=habit, lag_days=lag)
            assert abs(row["difference"] - planted) < 0.15
            assert row["low"] < planted < row["high"]
            assert row["low"] > 0 and row["superiority"] > 0.55
        for row in habits.iter_rows(named=True):
            if (row["habit"], row["lag_days"]) not in PLANTED and row["low"] is not None:
                assert row["low"] < 0 < row["high"], row
    assert only(alone, habit="stock", lag_days=0)["clear"] is None


def test_energy_is_linked_to_mood_and_the_weekday_is_not(everything: tuple[pl.DataFrame, ...]) -> None:
    _, measured, weekdays = everything
    energy = only(measured, driver="energy", lag_days=0)
    assert energy["clear"] and 0.3 < energy["correlation"] < 0.6
    assert weekdays.get_column("clear").to_list() == [False]


def test_sentences_use_goes_with_and_never_claim_a_cause(everything: tuple[pl.DataFrame, ...]) -> None:
    habits, measured, weekdays = everything
    pairs = sum(frame.get_column("p").count() for frame in everything)
    said = [habit_link(row, row["habit"]) for row in habits.iter_rows(named=True)]
    said += [driver_link(row, row["driver"], pairs=pairs) for row in measured.iter_rows(named=True)]
    said += [weekday_link(row) for row in weekdays.iter_rows(named=True)]
    clear = sum(frame.get_column("clear").sum() for frame in everything)
    assert sum("goes with" in sentence for sentence in said) == habits.get_column("clear").sum() == len(PLANTED)
    assert sum("goes with" in s or "went with" in s for s in said) == clear
    assert sum("no clear link" in s or "no link seen" in s for s in said) == pairs - clear
    assert not any("clear" in s for s in said[habits.height :]), "clear is said of links of habits only"
    assert all(sentence.endswith(".") for sentence in said)
    for word in ("cause", "because", "make", "improve", "lead", "effect", "thanks to", "should"):
        assert not any(word in sentence for sentence in [*said, WHAT_IT_SHOWS]), word
    assert said[0] == (
        "walk: mood averaged 3.2 on 237 days with it and 2.7 on 103 due days without; it goes with higher mood."
    )
    assert "too little to tell, with 19 days with it and 4 due days without; 14 of each are needed." in said[12]


def test_the_sentence_of_a_single_comparison_has_the_days_it_needs() -> None:
    row = {"lag_days": 0, "n": 28, "correlation": 0.7, "p": 1 / 28, "p_fine": 1 / 196, "clear": False, "needed": 28}
    assert days_for_one(20) == 40
    assert driver_link(row, "Energy", pairs=20).endswith(
        "; no link seen yet: alone among 20 comparisons it would take 40 days."
    )
    assert driver_link(row | {"p_fine": 2 / 196}, "Energy", pairs=20).endswith("; no link seen.")
    assert driver_link(row, "Energy", pairs=4).endswith("; no link seen.")


def test_the_sentence_of_a_link_that_one_look_would_call_clear_says_what_is_wanting() -> None:
    row = {
        "lag_days": 0, "n_done": 34, "n_missed": 30, "mean_done": 4.0, "mean_missed": 2.0, "difference": 2.0,
        "p": 0.02, "q": 0.04, "clear": False, "needed": 14, "quota": False,
    }  # fmt: skip
    assert habit_link(row, "Walk").endswith("; no clear link yet: a look at every month's end needs more days.")
    assert habit_link(row | {"q": 0.06}, "Walk").endswith("; no clear link.")
