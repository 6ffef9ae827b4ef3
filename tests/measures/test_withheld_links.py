"""A link of the pair that a trial looks at: left out everywhere until the trial is over, there before and after."""

from __future__ import annotations

import datetime as dt
import html
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from click.testing import CliRunner
from msgspec.structs import replace

import journal
from journal import Journal, lots, periods
from journal.cli import duskbook
from journal.export.audience import seen_by
from journal.export.chapters import tasks_and_links
from journal.export.year_data import YearData
from journal.measures import findings
from journal.sections import link_cards
from journal.settings import Trial
from tests import journals

DAY = dt.timedelta(days=1)
BEGUN, FIRST, DAYS = dt.date(2025, 1, 1), dt.date(2025, 3, 16), 60
LIFT = 0.6
LAST = FIRST + (DAYS - 1) * DAY
PLAN: dict[str, Any] = {
    "key": "w", "question": "Does a walk lift the day?", "habit": "walk", "from": FIRST, "days": DAYS, "seed": 4711,
}  # fmt: skip
HABITS = [
    {"key": key, "name": key.capitalize(), "every": "FREQ=DAILY", "from": BEGUN} for key in ("walk", "read")
]  # fmt: skip
SAID = "“Walk” is left out until its trial by lot is over: its link with mood would be a look at the result."


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Both habits go with a higher mood. The walk is done by lot from 16 March, and its link would be told of March."""
    place = tmp_path_factory.mktemp("withheld")
    trial = Trial(key="w", question="?", habit="walk", start=FIRST, days=DAYS, seed=4711)
    drawn = {lot.date: lot.is_on for lot in lots.lots(trial)}
    pages = {}
    for i, day in enumerate(journals.days_between(BEGUN, LAST + 40 * DAY)):
        walks, reads = drawn.get(day, i**3 % 31 < 15), i**3 % 37 < 18
        pages[day] = {
            "mood": 2 + LIFT * walks + reads + i * 7 % 5 / 10,
            "habits": {"walk": walks, "read": reads},
        }
    journals.write(place, pages, habits=HABITS, trials=[PLAN])
    return place


def on(folder: Path, day: dt.date) -> Journal:
    return journal.open(folder, today=day, cache=False)


def page(book: Journal, month: str) -> str:
    chapter = link_cards.chapter(book, periods.parse(month, "month", week_starts="monday"))
    return html.unescape(f"{chapter.sentence} {chapter.draw()}")


def told(book: Journal, month: str) -> list[str]:
    """The findings of links on the page of a month."""
    period = periods.parse(month, "month", week_starts="monday")
    return findings.findings(book.facts, [period]).filter(pl.col("measure") == "links").get_column("text").to_list()


@pytest.mark.parametrize("today", [FIRST + 35 * DAY, LAST])
def test_while_it_runs_the_pair_is_nowhere_and_a_sentence_says_so(folder: Path, today: dt.date) -> None:
    book = on(folder, today)
    march = page(book, "2025-03")
    assert SAID in march
    assert "Read" in march and "Walk: " not in march and "Walk, the day" not in march
    assert not any("Walk" in text for month in ("2025-03", "2025-04") for text in told(book, month))
    assert book.link_events.filter(pl.col("habit") == "walk", pl.col("date") >= FIRST).is_empty()
    year = tasks_and_links.links(YearData(book, 2025))
    assert "Walk" not in str(year).replace(SAID, "") and SAID in str(year)


def test_the_command_leaves_it_out_and_says_so_beside_its_rows(folder: Path) -> None:
    def shown(*options: str) -> Any:
        return CliRunner().invoke(duskbook, ["show", "links", str(folder), "--format", "csv", *options])

    running = shown("--today", "2025-04-05")
    assert "read,0" in running.stdout and "walk" not in running.stdout
    assert running.stderr == f"duskbook: {SAID}\n"
    before = shown("--today", "2025-04-05", "--to", "2025-02-28")
    assert "walk,0" in before.stdout and not before.stderr
    over = shown("--today", str(LAST + DAY))
    assert "walk,0" in over.stdout and not over.stderr


def test_months_before_it_and_all_months_after_it_have_the_pair(folder: Path) -> None:
    running, over = on(folder, FIRST + 35 * DAY), on(folder, LAST + 30 * DAY)
    assert page(running, "2025-02") == page(on(folder, FIRST - DAY), "2025-02")
    assert "Walk" in page(over, "2025-03") and "left out" not in page(over, "2025-03")
    assert any("Walk" in text for month in ("2025-03", "2025-04") for text in told(over, month))


def test_a_look_that_is_noted_shows_it_for_its_day(folder: Path) -> None:
    today = FIRST + 35 * DAY
    book = on(folder, today)
    (trial,) = book.settings.trials
    looked = replace(book, settings=replace(book.settings, trials=(replace(trial, looked=(today,)),)))
    assert book.withheld and not looked.withheld and looked.as_of(today + DAY).withheld


@pytest.mark.parametrize("audience", ["friend", "anyone"])
def test_a_book_for_others_has_neither_the_link_nor_a_word_of_the_trial(folder: Path, audience: Any) -> None:
    """Else a book for a friend would be a look that nobody counts."""
    running, over = (seen_by(on(folder, day), audience) for day in (FIRST + 35 * DAY, LAST + 30 * DAY))
    name = "Walk" if audience == "friend" else "Habit A"
    assert name in str(tasks_and_links.links(YearData(over, 2025)))
    blocks = str(tasks_and_links.links(YearData(running, 2025)))
    assert name not in blocks and "trial" not in blocks
