"""The trials of a page: what stands in the heading, which results are shown, and the links that lead to a trial."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path
from typing import Any

import pytest

import journal
from journal import lots, periods
from journal.measures import trial_sentences
from journal.sections import link_cards, trial_cards
from journal.settings import Settings, Trial
from tests import journals

FIRST = dt.date(2025, 3, 1)
QUESTION = "<b>Does</b> :walk: $help$?"
PLAN = Trial(key="w", question=QUESTION, habit="walk", lag=1, start=FIRST, days=32, seed=4711)
TABLE: dict[str, Any] = {
    "key": "w", "question": QUESTION, "habit": "walk", "lag": 1, "from": FIRST, "days": 32, "seed": 4711,
}  # fmt: skip
HABIT = {"key": "walk", "name": "Walk & talk", "every": "FREQ=DAILY", "from": dt.date(2025, 1, 1)}


def opened(folder: Path, today: dt.date, *tables: dict[str, Any], days: int = 34) -> Any:
    """A journal in which every day went as drawn, with a mood of 4 the day after "on", else of 3."""
    on = {lot.date: lot.is_on for lot in lots.lots(PLAN)}
    pages: dict[dt.date, Any] = {}
    for place in range(days):
        day = FIRST + dt.timedelta(days=place)
        pages[day] = {
            "mood": 4 if on.get(day - dt.timedelta(days=1)) else 3,
            "habits": {"walk": on.get(day, place % 2 > 0)},
        }
    journals.write(folder, pages, habits=[HABIT], trials=[TABLE | table for table in tables])
    return journal.open(folder, today=today, cache=False)


@pytest.mark.parametrize(
    ("day", "heading", "is_shown"),
    [
        (dt.date(2025, 2, 28), "Begins on 1 March 2025.", False),
        (dt.date(2025, 3, 20), "Day 20 of 32, until 1 April 2025.", False),
        (dt.date(2025, 4, 3), "Over since 1 April 2025.", True),
    ],
)
def test_the_heading_says_how_far_it_is_and_the_result_waits_for_the_end(
    tmp_path: Path, day: dt.date, heading: str, is_shown: bool
) -> None:
    book = opened(tmp_path, day, {})
    assert trial_cards.sentence(book) == f"By lot: {QUESTION} {heading}"
    shown = trial_cards.results(book)
    assert bool(shown) is is_shown
    assert "<b>" not in shown and ":walk:" not in shown


def test_a_look_shows_the_result_of_its_own_day_only(tmp_path: Path) -> None:
    looked = dt.date(2025, 3, 20)
    book = opened(tmp_path, looked, {"looked": [looked]})
    ((trial, row),) = trial_cards.shown(book)
    lines = trial_cards.result_lines(book, trial, row)
    assert re.match(r"On days drawn on, mood the day after was 1\.0 higher", lines[0])
    assert trial_cards.STILL_RUNS in lines[2]
    assert trial_cards.results(opened(tmp_path, looked + dt.timedelta(days=1), {"looked": [looked]})) == ""


def test_several_results_are_adjusted_together_and_a_changed_plan_has_no_p(tmp_path: Path) -> None:
    other = {"key": "x", "question": "Again?", "from": dt.date(2025, 4, 2), "seed": 12, "days": 28}
    book = opened(tmp_path, dt.date(2025, 5, 20), {}, other, days=70)
    newest, oldest = trial_cards.shown(book)
    assert [newest[0].key, oldest[0].key] == ["x", "w"]
    assert "Among your 2 trials with a result p = 0.02 (Holm 1979)" in trial_cards.result_lines(book, *oldest)[1]
    changed = opened(tmp_path, dt.date(2025, 5, 20), {"plan": "0123456789ab"})
    ((trial, row),) = trial_cards.shown(changed)
    effect, allowed, said = trial_cards.result_lines(changed, trial, row)
    assert "p =" not in effect and "interval" not in effect
    assert allowed == trial_sentences.ALLOWED
    assert said.count("The plan is not the one that was drawn") == 1


def test_without_a_trial_the_heading_says_what_one_is_for(tmp_path: Path) -> None:
    book = opened(tmp_path, FIRST)
    assert (trial_cards.sentence(book), trial_cards.results(book)) == (trial_cards.NO_TRIAL, "")


@pytest.mark.parametrize(
    ("outcome", "lag", "effect", "said"),
    [
        ("sleep", 1, -23.4, "On days drawn on, sleep the day after was 23 min shorter"),
        ("energy", 0, 0.26, "On days drawn on, energy was 0.3 higher"),
        ("mood", 1, 0.04, "On days drawn on, mood the day after was the same"),
    ],
)
def test_the_effect_has_the_words_of_what_is_looked_at(outcome: str, lag: Any, effect: float, said: str) -> None:
    trial = Trial(key="w", question="?", habit="walk", outcome=outcome, lag=lag, start=FIRST, days=32, seed=1)
    assert trial_sentences.headline({"effect": effect}, trial, Settings(title="Small", places=())) == said


def test_a_link_leads_to_the_form_on_this_page_or_on_the_page_of_the_month(tmp_path: Path) -> None:
    book = opened(tmp_path, dt.date(2025, 4, 3))
    month, year = (periods.parse(name, week_starts="monday") for name in ("2025-03", "2025"))
    here = link_cards.chapter(book, month).draw()
    assert 'href="&#35;chapter&#45;lot" data-goes="chapter&#45;lot" data-pair="walk&#44;mood&#44;' in here
    there = link_cards.chapter(book, year).draw()
    assert 'href="&#46;&#46;&#47;month&#47;&#63;pair&#61;walk&#37;2Cmood&#37;2C' in there
