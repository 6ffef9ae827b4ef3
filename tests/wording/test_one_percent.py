"""Every output of the same rate shows the same percent."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import polars as pl
from hypothesis import example, given, settings
from hypothesis import strategies as st

from journal import Journal, tables
from journal.charts import challenge_days, month_grid, ranked_share, rates_by_month
from journal.commands import print_frame, show
from journal.entry import Entry, Page, Task, Undated
from journal.export.chapters import habits_of_year
from journal.export.document import Grid
from journal.export.year_data import YearData
from journal.measures import challenges, completion, finding_facts, finding_sentences, streaks
from journal.measures.tasks import by_rank, lives
from journal.periods import Period
from journal.sections import habit_grids
from journal.settings import Challenge, Habit, Settings
from tests.sections.test_escape import Reader

FIRST = dt.date(2025, 1, 1)
DAY = dt.timedelta(days=1)
DAYS = 365  # the greatest number of days, a year


def exact_percent(done: int, counted: int) -> str:
    """The percent by integer arithmetic: half up, and 0 or 100 only if exact.

    >>> exact_percent(5, 8), exact_percent(1, 400), exact_percent(399, 400), exact_percent(0, 3)
    ('63', '1', '99', '0')
    """
    whole = (200 * done + counted) // (2 * counted)
    return str(whole if done in (0, counted) else min(max(whole, 1), 99))


def journal_of(done: int, counted: int) -> Journal:
    """A journal of `counted` days from 1 January: a walk, a tick and a ranked task a day, done on the first `done`."""
    pages = [
        Page(
            path=f"{date}.toml",
            kind="day",
            key=str(date),
            content=Entry(
                mood=3,
                habits={"walk": nth < done},
                challenges={"letters": nth < done},
                tasks=(Task(title=f"Task {nth}", rank=1, status="done" if nth < done else "dropped"),),
            ),
        )
        for nth, date in enumerate(FIRST + nth * DAY for nth in range(counted))
    ]
    last = FIRST + (counted - 1) * DAY
    walk = Habit(key="walk", name="Walk", start=FIRST, every="FREQ=DAILY", until=last)
    letters = Challenge(key="letters", name="Letters", start=FIRST, until=last)
    known = Settings(title="Small", places=(), habits=(walk,), challenges=(letters,))
    today = last + DAY
    return Journal(Path(), known, today, tables.build(tables.record(pages), known, today), Undated(), ())


def percents(text: str) -> set[str]:
    """All percents of a text except interval ends and confidence levels.

    >>> sorted(percents("5 of 8, 63\\xa0%, 95\\xa0% interval 31 to 86\\xa0%; 62 % (31 to 86 %)"))
    ['62', '63']
    """
    text = re.sub(r"95\s% interval|\d+\sto\s\d+\s%", "", text)
    return set(re.findall(r"(\d+)\s%", text))


def places(journal: Journal) -> dict[str, str]:
    """The text of each output for the one habit, the one challenge or the ranked tasks of a journal."""
    settings, today = journal.settings, journal.today
    stated, occasions = journal.states, journal.occasions
    rates = completion.rates(occasions, week_starts=settings.week_starts)
    totals = completion.totals(stated, week_starts=settings.week_starts)
    month = Period(FIRST, today - DAY, "month", "2025-01")  # as long as the journal
    running = streaks.streaks(occasions, today=today)
    in_full = habit_grids.in_full_table(
        rates, running=running, changed=journal.changes(month), totals=totals, settings=settings, period=month
    )
    ticks = journal.tables.ticks.with_columns(logged=pl.lit(True))
    series = finding_facts.series(journal.facts, "year")
    blocks = habits_of_year.blocks(YearData(journal, FIRST.year))
    book = next(block.rows[0] for block in blocks if isinstance(block, Grid) and block.title == "Rates of the year")
    shown = show.rows(journal, "rates", (FIRST, today), "all", against=None, search=None)
    return {
        "grid": month_grid.draw(stated, rates, running, month, {"walk": "Walk"}, today=today).alt,
        "card": Reader(in_full).text,
        "months": rates_by_month.draw(
            rates.with_columns(period=pl.lit("2025-01")), {"walk": "Walk"}, 2025, apart={"walk"}
        ).alt,
        "challenges": challenge_days.draw(ticks, challenges.totals(ticks, today=today), {}, today=today).alt,
        "ranked": ranked_share.draw(by_rank(lives(journal.tables.tasks, today=today), today=today)).alt,
        "findings": " ".join(
            finding_sentences.value_text(row, settings).claim
            for row in series.filter(pl.col("measure") == "rates").iter_rows(named=True)
        ),
        "book": f"{book[2]}, of logged days {book[4]}",
        "show": print_frame.as_text(shown, "table", ["habit", "rate", "logged_rate"]),
    }


def test_the_grid_and_the_card_of_a_month_agree_on_5_of_8() -> None:
    texts = places(journal_of(5, 8))
    assert percents(texts["grid"]) == percents(texts["card"]) == {"63"}


@settings(max_examples=40)
@given(st.integers(1, DAYS).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
@example((5, 8))
@example((1, 8))
@example((1, 365))
@example((364, 365))
@example((29, 200))  # 0.145 in binary is less than 14.5 hundredths
@example((0, 3))
@example((3, 3))
def test_all_outputs_show_the_same_percent(counts: tuple[int, int]) -> None:
    texts = places(journal_of(*counts))
    if counts[1] < finding_facts.LEAST_OCCASIONS["year"]:
        assert texts.pop("findings") == ""  # too few days to compare
    assert {place: percents(text) for place, text in texts.items()} == {key: {exact_percent(*counts)} for key in texts}
