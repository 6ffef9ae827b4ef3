"""Trials in the year's retrospective: the result with its picture and its report, for its owner alone."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

import journal
from journal import lots
from journal.export import audience, html, year_document
from journal.export.document import Grid, Picture, Words
from journal.sections import trial_cards
from journal.settings import Trial
from tests import journals

FIRST = dt.date(2025, 3, 1)
QUESTION = "Does an evening walk lift the next day?"
TRIAL: dict[str, Any] = {
    "key": "w", "question": QUESTION, "habit": "walk", "outcome": "mood", "lag": 1, "from": FIRST, "days": 32,
    "seed": 4711,
}  # fmt: skip
HABIT = {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": dt.date(2025, 1, 1)}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    plan = Trial(key="w", question=QUESTION, habit="walk", lag=1, start=FIRST, days=32, seed=4711)
    on = {lot.date: lot.is_on for lot in lots.lots(plan)}
    pages: dict[dt.date, Any] = {}
    for place in range(34):
        day = FIRST + dt.timedelta(days=place)
        before = on.get(day - dt.timedelta(days=1), False)
        pages[day] = {"mood": 4 if before else 3, "habits": {"walk": on.get(day, False)}}
    return journals.write(tmp_path_factory.mktemp("journal"), pages, habits=[HABIT], trials=[TRIAL])


def chapter(folder: Path, today: dt.date) -> tuple[Any, ...]:
    document = year_document.contents(journal.open(folder, today=today, cache=False), 2025)
    return next((chapter.blocks for chapter in document.chapters if chapter.key == "lot"), ())


def test_over_it_has_its_picture_its_sentence_and_every_item(folder: Path) -> None:
    picture, words, says, grid = chapter(folder, dt.date(2025, 4, 4))
    assert isinstance(picture, Picture) and isinstance(words, Words) and isinstance(grid, Grid)
    assert picture.figure.title == "On days drawn on, mood the day after was 1.0 higher"
    assert words.title == QUESTION and says.title == "What a trial says"
    # All 16 days on are a point above all 16 off. Of 256 draws, only this one and its opposite are so far apart.
    assert words.paragraphs[1].endswith("p = 0.008 of 256 draws.")
    assert words.paragraphs[3].startswith("16 days drawn on and 16 days drawn off have a value.")
    items = {item: here for item, _, here in grid.rows}
    assert len(items) == len(grid.rows) >= 40
    assert items["23"] == "in journal.toml, as “w”"


def test_before_its_end_the_result_is_hidden_wherever_it_could_stand(folder: Path) -> None:
    words, grid = chapter(folder, dt.date(2025, 3, 20))
    assert words.paragraphs[1] == trial_cards.HIDDEN
    assert {item: here for item, _, here in grid.rows}["17a.2"] == "not shown before the end"
    assert "higher" not in str(words) + str(grid)


def test_others_see_nothing_of_a_trial(folder: Path) -> None:
    book = journal.open(folder, today=dt.date(2025, 4, 4), cache=False)
    for reader in ("friend", "anyone"):
        seen = audience.seen_by(book, reader)
        assert "lot" not in [chapter.key for chapter in year_document.contents(seen, 2025).chapters]
        assert trial_cards.shown(seen) == []
    document = year_document.contents(book, 2025)
    page = html.write(document, "a4", lambda step: None).data
    assert isinstance(page, bytes) and QUESTION.encode() in page
