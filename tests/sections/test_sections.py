"""Sections on findings, nights, links, hours, tasks and care, of the example year and of an empty journal."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import polars as pl
import pytest

import journal
from journal import periods
from journal.export.audience import seen_by
from journal.measures import challenges, links
from journal.sections import (
    care_box,
    day_cards,
    finding_cards,
    habit_cards,
    habit_grids,
    hours_cards,
    line_cards,
    link_cards,
    mood_cards,
    pixel_cards,
    search_cards,
    sleep_cards,
    task_cards,
)
from journal.settings import Settings
from journal.tables import build, record
from tests import journals
from tests.charts import frames
from tests.journals import of_tables
from tests.sections.test_escape import Reader

TODAY = dt.date(2026, 3, 10)
EMPTY = Settings(title="Empty", places=())
MARCH, WEEK, YEAR = (periods.parse(name, week_starts="monday") for name in ("2025-03", "2025-W11", "2025"))
NOTHING = build(record([]), EMPTY, TODAY)
NO_BOOK = of_tables(NOTHING, EMPTY)


@pytest.fixture(scope="module")
def book() -> journal.Journal:
    return journal.open(Path(__file__).parents[2] / "example_year", today=TODAY, cache=False)


def text(html: str) -> str:
    return Reader(html).text


def test_findings_have_their_days(book: journal.Journal) -> None:
    shown = text(finding_cards.card(book.facts, WEEK))
    assert "Read: 10 in a row, longer than any of 14 earlier runs; it ended on Sunday 16 March (not done)" in shown
    assert "March 2025: 6, 7, 8, 9, 10, 11, 12, 13, 14, 15" in shown


def test_without_a_finding_there_is_no_card() -> None:
    assert finding_cards.card(NO_BOOK.facts, MARCH) == ""


def test_days_are_grouped_by_month() -> None:
    days = [dt.date(2026, 1, 2), dt.date(2025, 12, 31), dt.date(2025, 12, 7)]
    assert text(finding_cards.by_month(days)) == "December 2025: 7, 31January 2026: 2"


def test_nights_of_a_week_are_a_table(book: journal.Journal) -> None:
    # 2025/2025-03-13.toml ends at "22:25-24:00" the day before and "00:00-06:15" on the day.
    assert "Thursday 13 March22:2506:157 h 50 min" in text(sleep_cards.week(book, WEEK))


def test_a_month_of_nights_cites_the_recommendation(book: journal.Journal) -> None:
    shown = text(sleep_cards.chapter(book, MARCH).draw())
    short = book.nights.filter(
        pl.col("date").dt.strftime("%Y-%m") == "2025-03", pl.col("minutes") + pl.col("nap_minutes") < 420
    )
    assert f"{short.height} of 31 nights were under 7 hours, naps of the day added." in shown
    assert "7 hours or more a night" in shown
    assert "Watson et al. 2015" in shown


def test_without_hours_there_are_no_nights() -> None:
    for period in (WEEK, MARCH, YEAR):
        chapter = sleep_cards.chapter(NO_BOOK, period)
        assert chapter.sentence == text(chapter.draw()) == "No night was written here."


def test_the_heading_of_links_is_the_title_of_their_figure_and_needs_no_shifts(
    book: journal.Journal, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn = {}
    for last in (YEAR.last, MARCH.last, YEAR.first):
        result = link_cards.linked(book, first=YEAR.first, last=last)
        drawn[last] = result.drawn.title if result else ""
    monkeypatch.setattr(links, "shift_p", None)  # a closed chapter does not count them
    for last, title in drawn.items():
        assert link_cards.heading(book, first=YEAR.first, last=last) == title
    assert str(link_cards.chapter(book, YEAR).sentence) == drawn[YEAR.last]


def test_a_year_shows_its_planted_links_and_a_quarter_none(book: journal.Journal) -> None:
    chapter = link_cards.chapter(book, YEAR)
    assert str(chapter.sentence).startswith("Walk by the river goes with higher mood the same day; ")
    year = text(chapter.draw())
    assert "Walk by the river: mood averaged 3.2 on 237 days with it and 2.6 on 87 due days without" in year
    assert "What goes together need not bring about the other" in year
    assert "Without, 87 days, mood 2.6 on average" in year
    chapter = link_cards.chapter(book, MARCH, first=YEAR.first)
    assert chapter.sentence == "No link with mood is clear in these 89 days"
    quarter = text(chapter.draw())
    assert chapter.sentence in quarter, "the figure says the same to who cannot see it"
    assert "Over 1 January to 31 March 2025" in quarter
    assert "The day's high" not in quarter, "only a year has the measured values"
    assert "Open a clear link" not in quarter


def test_correlates_of_mood(book: journal.Journal) -> None:
    shown = text(link_cards.measured(book.tables, book.nights, book.settings, period=YEAR, today=TODAY))
    assert "Sleep of the night" in shown
    assert "Hours of Workshop" in shown
    assert "Hours of Sleep" not in shown
    assert "Day length and mood: one year holds one winter; to tell, 3 years with a mood" in shown
    assert "Mean mood was highest in May, 3.6, and lowest in February, 2.4" in shown
    assert "The day's high" in shown
    assert link_cards.measured(NOTHING, NO_BOOK.nights, EMPTY, period=YEAR, today=TODAY) == ""


def test_a_month_without_habits_has_a_line_instead_of_a_grid(book: journal.Journal) -> None:
    without = habit_grids.month(book, periods.parse("2024-05", week_starts="monday"))
    assert (without.title, without.empty, without.rows) == ("Habits in May 2024", habit_cards.NO_HABITS, [])
    assert not habit_grids.month(book, MARCH).empty


def test_a_row_of_a_month_says_its_rate_its_streak_and_the_month_before(book: journal.Journal) -> None:
    grid = habit_grids.month(book, MARCH)
    assert grid.title == "Read held 24 of 31 days; Leave the bench clear held 5 of 21 times"
    rows = {row.key: row for row in grid.rows}
    assert list(rows) == ["walk", "read", "stretch", "practise", "bench", "call", "stock", "exhibition", "screen"]
    read, bench = rows["read"], rows["bench"]
    assert (read.counted, read.streak, read.before) == ("24 of 31 days", "3 days", "February: up from 8 of 25")
    assert read.rate_words == "77\xa0%, 95\xa0% interval 58 to 89\xa0%"
    assert (bench.streak, bench.before) == ("none", "February: 10 of 16")
    assert 'aria-label="Read: 24 done, 7 partly done"' in read.wide
    assert "Read, 3 March: partly done" in read.wide


def test_values_removed_for_a_reader_are_omitted(book: journal.Journal) -> None:
    theirs = seen_by(book, "friend")
    drawn = link_cards.measured_drawn(theirs.tables, theirs.nights, theirs.settings, period=YEAR, today=TODAY)
    assert drawn is not None
    assert "Energy" in drawn.table.get_column("driver")
    assert drawn.table.get_column("n").min() > 0  # type: ignore[operator]
    assert not {"The day's high", "Day length"} & set(drawn.table.get_column("driver"))
    assert "too little to tell" not in drawn.alt


def test_a_month_with_a_challenge_draws_its_days(book: journal.Journal) -> None:
    march = habit_cards.challenges(book, MARCH)
    # 26 pages of March have "letters = true".
    assert march.sentence == "Thirty letters: 26 of 30 days"
    assert "26 of 30 ticked" in text(march.draw())
    january = habit_cards.challenges(book, periods.parse("2025-01", week_starts="monday"))
    assert january.sentence == text(january.draw()) == "No challenge ran in January 2025."


def test_a_logged_day_without_a_tick_is_not_drawn_as_a_day_without_a_page(tmp_path: Path) -> None:
    day = dt.date(2025, 3, 1)
    pages: dict[dt.date, dict[str, object]] = {day: {"challenges": {"letters": True}, "mood": 3}}
    pages |= {day + dt.timedelta(1): {"mood": 4}, day + dt.timedelta(2): {"notes": ["Only planned."]}}
    letters = {"key": "letters", "name": "Letters", "from": day, "until": day.replace(day=30)}
    book = journal.open(journals.write(tmp_path, pages, challenges=[letters]), today=day + dt.timedelta(5), cache=False)
    ticked = challenges.totals(book.tables.ticks, today=book.today)
    drawn = habit_cards.challenge_days_drawn(book.tables, ticked, MARCH, book.settings, book.today)
    assert drawn is not None
    hovers = frames.hovers(drawn.svg())
    assert "Letters, 2 March, day 2: logged without a tick" in hovers
    assert "Letters, 3 March, day 3: not recorded" in hovers
    marks = {shape: len(frames.layer(drawn.wide, shape)) - 1 for shape in ("done", "missed", "blank")}  # one in the key
    assert marks == {"done": 1, "missed": 1, "blank": 3}


def test_an_empty_journal_has_no_links_hours_or_tasks() -> None:
    for chapter in (
        link_cards.chapter(NO_BOOK, YEAR), hours_cards.chapter(NO_BOOK, MARCH), task_cards.of_the_week(NO_BOOK, WEEK),
        task_cards.carried(NO_BOOK, MARCH), task_cards.through_the_year(NO_BOOK, YEAR),
        mood_cards.chapter(NO_BOOK, WEEK), day_cards.appointment_chapter(NO_BOOK, WEEK),
        line_cards.read_again_chapter(NO_BOOK, WEEK), line_cards.memory_chapter(NO_BOOK, YEAR),
        search_cards.earlier_years(NO_BOOK, WEEK),
    ):  # fmt: skip
        assert str(chapter.sentence).startswith(("No ", "Nothing ")), chapter.key
        assert text(chapter.draw()).startswith(("No ", "Nothing ")), chapter.key


def test_hours_have_two_figures_and_tasks_three(book: journal.Journal) -> None:
    def figures(html: str) -> list[str | None]:
        found = Reader(html).elements
        return [dict(attrs).get("id") for name, attrs in found if name == "section"]

    month, week = (hours_cards.chapter(book, period) for period in (MARCH, WEEK))
    assert figures(month.draw()) == ["category-hours", "planned-went"]
    assert figures(week.draw()) == ["category-hours", "week-strips", "planned-went"]
    assert month.sentence == "Workshop went as planned most, 96\xa0% of 146\xa0h; Outside least, 27\xa0% of 31\xa0h"
    assert figures(task_cards.through_the_year(book, YEAR).draw()) == [
        "waiting-curve", "ranked-share", "estimates-over-time",
    ]  # fmt: skip


def test_strips_have_daylight_if_there_is_a_place(book: journal.Journal) -> None:
    assert "sunrise to sunset" in hours_cards.strips(book.tables, book.settings, WEEK).subtitle
    assert "sunrise to sunset" not in hours_cards.strips(book.tables, EMPTY, WEEK).subtitle


def test_an_unavailable_quantity_is_shown_as_mood(book: journal.Journal) -> None:
    available = {"mood": "Mood", "walk": "Walk"}
    mood, other = (pixel_cards.draw(book, YEAR, chosen, available) for chosen in ("mood", "swim in the dark"))
    assert mood.title == other.title
    assert "Walk" in pixel_cards.draw(book, YEAR, "walk", available).title


def test_the_profile_of_the_week_states_whether_days_differ(book: journal.Journal) -> None:
    chapter = mood_cards.chapter(book, YEAR)
    assert "No weekday stands out: mean mood from 2.9 to" in text(chapter.draw())
    assert chapter.sentence == "Mood was 3.0 on average over 351 of 365 days; 114 high days, 96 low days"
    assert "weekday" not in text(mood_cards.chapter(book, MARCH).draw())


def test_a_year_has_its_best_streaks_and_its_logged_days(book: journal.Journal) -> None:
    assert "Best streaksWalk by the river30 in a row" in text(habit_cards.through_the_year(book, YEAR).draw())
    logged = day_cards.logged_chapter(book, YEAR)
    assert logged.sentence == "358 of 365 days logged, at most 7 days missing in a row"
    assert "January31 of 31" in text(logged.draw())


def test_a_week_says_below_a_habit_what_is_left_and_its_streak(book: journal.Journal) -> None:
    alt = habit_grids.week(book, WEEK)
    # Due twice a month; February and January met it.
    assert "See an exhibition: nothing counted, streak of 2 months · 2 due a month" in alt
    assert "Call home: 1 of 1, streak of 4" in alt


def test_each_habit_of_a_month_stands_once_with_all_its_numbers(book: journal.Journal) -> None:
    shown = text(habit_grids.month(book, MARCH).numbers)
    row = shown.partition("Read540 pages")[2] or shown.partition("Read ")[2]
    assert "24 of 31, 77\xa0% (58\xa0to\xa089\xa0%)77\xa0%streak of 3 longest 10 in a row, 6 to 15 March 2025" in row
    assert "up from 8 of 25 to 24 of 31, clear" in row


@pytest.mark.parametrize(("days_on", "there"), [(0, True), (7, True), (8, False)])
def test_the_care_box_shows_up_to_a_week_after_the_period(days_on: int, there: bool) -> None:
    dates = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 31), eager=True)
    low = pl.DataFrame({"date": dates, "mood": 2.0})
    nights = NO_BOOK.nights
    shown = text(care_box.box(care_box.signs(low, nights, EMPTY, MARCH, MARCH.last + dt.timedelta(days=days_on))))
    assert ("Mood was low on 14 of the last 14 days on which it was noted." in shown) is there
    if there:
        assert "This is a journal and no diagnosis." in shown
        assert "112 in the European Union" in shown
        assert "NICE guideline NG222 (2022)" in shown
    better = low.with_columns(mood=pl.lit(3.0))
    assert care_box.box(care_box.signs(better, nights, EMPTY, MARCH, MARCH.last)) == ""


def test_words_of_a_month_are_compared_with_the_days_before() -> None:
    dates = pl.date_range(dt.date(2025, 2, 1), dt.date(2025, 3, 31), eager=True)
    text_of = ["Frost on paper." if date.month == 3 and date.day % 2 else "Glue and paper." for date in dates]
    shown = text(line_cards.words_of(pl.DataFrame({"date": dates, "text": text_of}), MARCH, EMPTY))
    assert "frost16 times on 16 days, new" in shown
    assert "glue" not in shown
    assert line_cards.words_of(NOTHING.lines, MARCH, EMPTY) == ""


def test_the_most_carried_task_has_its_days_and_its_end(book: journal.Journal) -> None:
    shown = text(task_cards.most_carried(book.tables.tasks, periods.parse("2025-06", week_starts="monday"), TODAY))
    # Open on four days from 3 June on, each time carried; done on 2025-06-12 (example_year/2025).
    assert "School registers: sew the secon" in shown
    assert "carried 4 times · done on Thursday 12 June, after 9 days" in shown
    assert "The days, 4June 2025: 3, 4, " in shown


def test_without_a_task_carried_twice_there_is_no_card(book: journal.Journal) -> None:
    assert task_cards.most_carried(NOTHING.tasks, MARCH, TODAY) == ""
    once = book.tables.tasks.filter(pl.col("date") == dt.date(2025, 3, 12))
    assert task_cards.most_carried(once, WEEK, TODAY) == ""
