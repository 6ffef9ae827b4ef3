"""The contents of a year: numbers counted again from the files with the standard library, and nothing lost by the cut.

The example year's files are the outside here: they are read with tomllib, and counted without any of our measures.
"""

from __future__ import annotations

import datetime as dt
import statistics
import tomllib
from typing import Any

import pytest

from journal import Journal
from journal.entry import Answer, Entry, Hours, Page, Review, Span, Task
from journal.export.chapters import methods
from journal.export.document import Block, Document, Facts, Grid, Lines, Picture, Reflection, Sentences, Words
from journal.export.year_data import YearData
from journal.export.year_document import contents
from journal.sections import care_box, link_cards, sleep_cards, task_cards
from journal.settings import Category, Habit
from tests.export.books import book
from tests.export.conftest import EXAMPLE

pytestmark = pytest.mark.xdist_group("retrospective")

MONTHS = [f"2025-{month:02d}" for month in range(1, 13)]


@pytest.fixture(scope="module")
def files() -> dict[str, dict[str, Any]]:
    return {path.stem: tomllib.loads(path.read_text("utf-8")) for path in EXAMPLE.glob("2025/2025-??-??.toml")}


def of(document: Document, key: str) -> tuple[Block, ...]:
    """The blocks of a chapter."""
    (chapter,) = [chapter for chapter in document.chapters if chapter.key == key]
    return chapter.blocks


def facts(blocks: tuple[Block, ...]) -> dict[str, str]:
    return {term: said for block in blocks if isinstance(block, Facts) for term, said in block.facts}


def lines(blocks: tuple[Block, ...], kind: str) -> list[tuple[str, str]]:
    found = [block.lines for block in blocks if isinstance(block, Lines) and block.kind == kind]
    return [(str(line.date), line.text) for some in found for line in some]


def test_the_chapters_and_their_order(year: Document) -> None:
    after = ["habits", "sleep", "hours", "tasks", "links", "lot", "back", "counting"]
    assert [chapter.key for chapter in year.chapters] == ["year", *MONTHS, *after]
    assert (year.title, year.subtitle, year.year) == ("Spine and thread", "2025", 2025)
    keys = [b.figure.key for chapter in year.chapters for b in chapter.blocks if isinstance(b, Picture)]
    assert len(set(keys)) == len(keys) and {f"month-grid-{month}" for month in MONTHS} <= set(keys)
    assert [b.figure.key for b in of(year, "year") if isinstance(b, Picture) and b.spread] == ["year-pixels"]


def test_the_year_in_numbers(year: Document, files: dict[str, dict[str, Any]]) -> None:
    logged = sum("mood" in page or "habits" in page for page in files.values())
    moods = [page["mood"] for page in files.values() if "mood" in page]
    told = facts(of(year, "year"))
    assert told["Days logged"] == f"{logged} of 365, {round(100 * logged / 365)}\N{NO-BREAK SPACE}%"
    mean, spread = statistics.mean(moods), statistics.stdev(moods)
    assert told["Mood, mean"] == f"{mean:.1f} over {len(moods)} of 365 days, spread {spread:.2f}"
    assert told["Low days"].startswith(f"{sum(mood <= 2 for mood in moods)} of {len(moods)}, ")
    written = [sum(len(page.get(kind, ())) for page in files.values()) for kind in ("gratitude", "notes")]
    memories = sum("memory" in page for page in files.values())
    assert told["Written"] == f"{memories} memories, {written[0]} lines of gratitude, {written[1]} notes"


@pytest.mark.parametrize("month", ["2025-02", "2025-08", "2025-12"])
def test_a_month_has_the_contents_of_its_pages(year: Document, files: dict[str, dict[str, Any]], month: str) -> None:
    pages = {day: page for day, page in sorted(files.items()) if day.startswith(month)}
    blocks = of(year, month)
    memories = [(day, page["memory"]) for day, page in pages.items() if "memory" in page]
    assert lines(blocks, "memory") == memories
    for kind, key in (("gratitude", "gratitude"), ("note", "notes")):
        assert lines(blocks, kind) == [(day, line) for day, page in pages.items() for line in page.get(key, ())]
    tasks = [task for page in pages.values() for task in page.get("tasks", ())]
    done = [task for task in tasks if task["status"] == "done"]
    assert facts(blocks)["Tasks"].startswith(f"{len(done)} done, ")
    ranked = {task["title"] for task in done if "rank" in task}
    shown = [text for _, text in lines(blocks, "done")]
    assert len(shown) == len(ranked) and all(any(text.startswith(title) for title in ranked) for text in shown)
    review = tomllib.loads((EXAMPLE / "2025" / f"{month}.toml").read_text("utf-8"))
    answers = [answer.text for block in blocks if isinstance(block, Reflection) for answer in block.answers]
    assert answers == [entry["answer"] for entry in review["reflection"]] + list(review.get("notes", ()))
    decided = {term: said.count(",") + 1 for term, said in facts(blocks).items() if term in ("Keep", "Change")}
    assert sum(decided.values()) == len(review["decisions"])


def test_streaks_rates_links_and_care(year: Document, opened: Journal) -> None:
    streaks, rates, _ = [block for block in of(year, "habits") if isinstance(block, Grid)]
    assert streaks.header[2] == "At the end of 2025"
    assert rates.header[:4] == ("Habit", "Done of due", "Rate", "95\N{NO-BREAK SPACE}% interval")
    assert [row[0] for row in rates.rows] == [opened.settings.habit_name(key) for key in opened.settings.habit_keys]
    (clear,) = [block for block in of(year, "links") if isinstance(block, Sentences)]
    assert [text.partition(":")[0] for text, _ in clear.sentences] == ["Walk by the river", "Swim", "Screen after nine"]
    words = {block.title: " ".join(block.paragraphs) for block in of(year, "links") if isinstance(block, Words)}
    assert "need not bring about the other" in words[link_cards.TITLE]
    slept = " ".join(p for block in of(year, "sleep") if isinstance(block, Words) for p in block.paragraphs)
    assert "Watson et al. 2015" in slept and "Windred et al. 2024" in slept and "no diagnosis" in slept
    assert of(year, "counting")[-1] == Words(
        title="A journal, no diagnosis", paragraphs=(methods.JOURNAL, care_box.IN_DANGER), care=True
    )


def test_progress_names_each_chapter() -> None:
    said: list[str] = []
    contents(book({dt.date(2025, 3, 14): Entry(mood=4)}), 2025, said.append)
    assert said[:2] == ["The year", "March 2025"] and said[-1] == "How it is counted"


# Other years ------------------------------------------------------------------------------------------------------

WALK = Habit(key="walk", name="Walk", every="FREQ=DAILY", start=dt.date(2023, 1, 1))
ASLEEP = Category(key="sleep", name="Sleep", sleep=True)


def three_years() -> Journal:
    """Every day of 2023 to 2025 with a mark, hours across New Year, and tasks carried across it."""
    days = {}
    for n in range(3 * 365 + 1):
        day = dt.date(2023, 1, 1) + dt.timedelta(days=n)
        asleep = (Span(0, 360 + n % 50), Span(1320 + n % 70, 1440))
        task = Task(title=f"Task {n // 9}", id=f"i{n // 9}", since=day - dt.timedelta(days=n % 9), rank=1,
                    estimate=30, took=10 + n % 40, status="done" if n % 9 == 8 else "carried")  # fmt: skip
        mark = not (day.month == 6 and day.day == 1)
        days[day] = Entry(
            mood=1 + n * 7 % 5, habits={"walk": mark}, tasks=(task,), hours=Hours(actual={"sleep": asleep})
        )
    return book(days, habits=(WALK,), categories=(ASLEEP,))


def test_the_cut_loses_nothing() -> None:
    """Nights, tasks and streaks of a middle year equal those of the whole journal."""
    opened = three_years()
    subject = YearData(opened, 2024)
    assert subject.narrowed.nights.height < opened.nights.height
    assert sleep_cards.summary_row(subject.narrowed, subject.year).equals(sleep_cards.summary_row(opened, subject.year))
    assert [
        (one.key, one.title, one.table.rows()) for one in task_cards.figures(subject.tasks, subject.year, opened.today)
    ] == [
        (one.key, one.title, one.table.rows())
        for one in task_cards.figures(opened.tables.tasks, subject.year, opened.today)
    ]  # fmt: skip
    streaks = next(block for block in of(contents(opened, 2024), "habits") if isinstance(block, Grid))
    # 1 June is missed in each year, so the longest run within 2024 begins on the 2nd.
    assert streaks.rows == (("Walk", "213 in a row, 2 June to 31 December", "streak of 213, since 2 June"),)
    january = next(b for b in of(contents(opened, 2024), "2024-01") if isinstance(b, Picture))
    assert january.figure.table["streak"].to_list() == [
        244
    ]  # from 2 June 2023 on: 29 + 31 + 31 + 30 + 31 + 30 + 31 + 31


def test_years_before_and_after_the_journal() -> None:
    opened = three_years()
    assert [chapter.key for chapter in contents(opened, 2022).chapters] == ["year"]
    assert [chapter.key for chapter in contents(opened, 2026).chapters] == ["year"]
    grids = [block for block in of(contents(opened, 2025), "habits") if isinstance(block, Grid)]
    assert [grid.title for grid in grids] == ["Best streaks", "Rates of the year", "2025 against 2024"]


def test_a_year_with_only_a_reflection_has_its_chapter() -> None:
    review = Review(reflection=(Answer(prompt="How was it?", answer="Short."), Answer(prompt="And?")), notes=("Kept.",))
    pages = [Page(path="2024.toml", kind="year", key="2024", content=review)]
    document = contents(book({dt.date(2023, 5, 1): Entry(mood=3), dt.date(2025, 5, 1): Entry(mood=3)}, pages), 2024)
    (reflection,) = of(document, "back")
    assert isinstance(reflection, Reflection)
    assert [(answer.prompt, answer.text) for answer in reflection.answers] == [("How was it?", "Short."), ("", "Kept.")]
    assert not any(chapter.key.startswith("2024-") for chapter in document.chapters)


def test_a_current_year_states_its_range() -> None:
    days = {dt.date(2025, 7, 20) + dt.timedelta(days=i): Entry(mood=3) for i in range(20)}
    document = contents(book(days), 2025)
    assert document.subtitle == "20 July to 8 August 2025"
    assert [chapter.key for chapter in document.chapters][:3] == ["year", "2025-07", "2025-08"]


def test_plans_of_future_days_are_not_counted() -> None:
    task = Task(title="Ahead", status="open")
    days = {dt.date(2025, 12, 31): Entry(mood=3), dt.date(2026, 1, 1): Entry(tasks=(task,), notes=("Ahead.",))}
    opened = book(days).as_of(dt.date(2025, 12, 31))
    assert [chapter.key for chapter in contents(opened, 2026).chapters] == ["year"]
    assert [chapter.key for chapter in contents(opened, 2025).chapters] == ["year", "2025-12", "counting"]


def test_a_year_before_the_first_page_may_have_a_reflection() -> None:
    review = Review(reflection=(Answer(prompt="How was it?", answer="Before all this."),))
    pages = [Page(path="2024.toml", kind="year", key="2024", content=review)]
    document = contents(book({dt.date(2025, 5, 1): Entry(mood=3)}, pages), 2024)
    assert [chapter.key for chapter in document.chapters] == ["back", "counting"]


def test_the_care_box_shows_while_the_year_is_current() -> None:
    days = {dt.date(2025, 12, 1) + dt.timedelta(days=i): Entry(mood=1) for i in range(31)}
    low = [block for block in of(contents(book(days), 2025), "year") if isinstance(block, Words)]
    assert [block.title for block in low] == ["", care_box.TITLE] and low[1].care
    assert {care_box.NO_DIAGNOSIS, care_box.IN_DANGER} <= set(low[1].paragraphs)
    later = book(days | {dt.date(2026, 1, 20): Entry(mood=4)})
    assert not any(isinstance(b, Words) and b.care for b in of(contents(later, 2025), "year"))
