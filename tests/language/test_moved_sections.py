"""The words of sections: from the catalogue, on pages of a Greek journal whose charts are left out, and in German."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import polars as pl
import pytest

import journal
from journal.charts import (
    category_hours,
    challenge_days,
    correlates_chart,
    estimates_over_time,
    links_chart,
    mood_line,
    plan_outcomes,
    ranked_share,
    rates_by_month,
    season_chart,
    sleep_raster,
    trial_days,
    waiting_curve,
    week_strips,
    weekday_profile,
)
from journal.errors import PictureError, Problem
from journal.language.languages import GERMAN, Language
from journal.language.spoken import speaking
from journal.pictures import picture_files
from journal.sections import (
    cards,
    care_box,
    challenge_cards,
    column_headings,
    day_cards,
    finding_cards,
    habit_cards,
    habit_grids,
    hours_cards,
    line_cards,
    link_cards,
    mood_cards,
    page_chapters,
    picture_cards,
    search_cards,
    sleep_cards,
    task_cards,
    trial_cards,
)
from journal.sections.page_chapters import PageChapter
from tests import journals
from tests.language.test_moved_measures import assert_of_the_catalogue, care_signs
from tests.language.test_moved_parts import PSEUDO

FIRST, TODAY = dt.date(2025, 3, 1), dt.date(2025, 4, 24)
DAY = dt.timedelta(days=1)
CHARTS: Any = (
    category_hours, challenge_days, correlates_chart, estimates_over_time, links_chart, mood_line, plan_outcomes,
    ranked_share, rates_by_month, season_chart, sleep_raster, trial_days, waiting_curve, week_strips, weekday_profile,
)  # fmt: skip
HABITS = [
    {"key": "π", "name": "Περπάτημα", "every": "FREQ=DAILY", "from": FIRST},
    {"key": "κ", "name": "Κολύμπι", "times": 3, "per": "week", "from": FIRST},
    {"key": "τ", "name": "Τηλέφωνο", "times": 2, "per": "month", "from": FIRST},
]


class Drawn:
    """In place of a figure: her own words, and a table with a column of codes."""

    key, title, subtitle = "σ", "Σχέδιο", "Κάτω"
    table = pl.DataFrame(
        {"state": ["missed"], "unit": ["week"], "period": ["monday"], "lag_days": [1], "value": [1.5], "clear": [True]}
    )

    def svg(self, _size: str) -> str:
        return "<svg></svg>"


@pytest.fixture(autouse=True)
def no_charts(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in CHARTS:
        monkeypatch.setattr(module, "draw", lambda *_given, **_named: Drawn())
    monkeypatch.setattr(links_chart, "title", lambda *_given, **_named: "Σχέδιο")
    monkeypatch.setattr(challenge_days, "state", lambda *_given: {"text": "Κατάσταση"})
    monkeypatch.setattr(picture_files, "look", _look)


def _look(_path: Path) -> None:
    error = PictureError(expected="", got="", remedy="")
    error.args = ("λάθος",)
    raise error


def page(place: int) -> dict[str, Any]:
    """A day with something of everything: short nights, tasks of each end, and a week of low mood in April."""
    status = ("done", "carried", "dropped", "open")[place % 4]
    values: dict[str, Any] = {
        "mood": 1 if 44 <= place < 51 else 3 + place % 3,
        "energy": 1 + place % 4,
        "memory": "Χιόνι στο εργαστήριο.",
        "gratitude": ["Ψωμί."],
        "notes": ["Νήμα."],
        "habits": {"π": place % 3 > 0, "κ": place % 2 > 0, "τ": place % 9 == 0},
        "challenges": {"γ": place % 2 > 0},
        "hours": {"actual": {"υ": ["00:00-05:00", "13:00-13:30"]}, "planned": {"υ": ["00:00-07:00"]}},
        "tasks": [
            {"title": "Κόλλα", "status": "carried", "since": FIRST, "id": "a1a1"},
            {"title": f"Χαρτί {place}", "status": status, "estimate": 30, "took": 45},
        ],
        "appointments": [{"title": "Έμπορος", "start": "08:30", "end": "09:00"}, {"title": "Αγορά"}],
    }
    return values if place % 8 else {"mood": 4}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> journal.Journal:
    pages = {FIRST + place * DAY: page(place) for place in range((TODAY - FIRST).days + 1)}
    pages |= {dt.date(2024, day.month, day.day): {"memory": "Ψωμί."} for day in pages}
    pages[TODAY]["pictures"] = ["χαμένη.jpg"]
    folder = journals.write(
        tmp_path_factory.mktemp("greek"),
        pages,
        habits=HABITS,
        categories=[{"key": "υ", "name": "Ύπνος", "sleep": True}],
        challenges=[{"key": "γ", "name": "Γράμματα", "from": FIRST, "until": TODAY, "prompts": ["Α"]}],
        trials=[
            {"key": "β", "question": "Βοηθά;", "habit": "π", "from": FIRST, "days": 16, "seed": 4711},
            {
                "key": "θ",
                "question": "Αξίζει;",
                "habit": "π",
                "outcome": "energy",
                "from": dt.date(2025, 3, 20),
                "days": 48,
                "seed": 4711,
                "looked": [TODAY],
            },
        ],
    )
    return journal.open(folder, today=TODAY, cache=False)


def chapters(book: journal.Journal) -> Iterator[PageChapter]:
    week, month, year = (book.period(name) for name in ("2025-W16", "2025-04", "2025"))
    yield from (
        *(task_cards.of_the_week(book, week), challenge_cards.of_the_week(book, week)),
        *(line_cards.read_again_chapter(book, week), day_cards.appointment_chapter(book, week)),
        *(search_cards.earlier_years(book, week), sleep_cards.chapter(book, week)),
        *(task_cards.carried(book, month), task_cards.through_the_year(book, year)),
        *(habit_cards.through_the_year(book, year), day_cards.logged_chapter(book, year)),
    )
    for period in (week, month, year):
        yield mood_cards.chapter(book, period)
        yield hours_cards.chapter(book, period)
        yield picture_cards.chapter(book, period, lambda _folder, _file, _size: "")
    for period in (month, year):
        yield link_cards.chapter(book, period)
        yield habit_cards.challenges(book, period)
        yield line_cards.memory_chapter(book, period)
        yield sleep_cards.chapter(book, period)


def empty_chapters(book: journal.Journal) -> Iterator[PageChapter]:
    """Those of a time before the first page, for what is said where there is nothing."""
    week, month, year = (book.period(name) for name in ("2023-W16", "2023-04", "2023"))
    yield from (
        *(task_cards.of_the_week(book, week), challenge_cards.of_the_week(book, week), sleep_cards.chapter(book, week)),
        *(line_cards.read_again_chapter(book, week), day_cards.appointment_chapter(book, week)),
        *(search_cards.earlier_years(book, week), task_cards.carried(book, month), mood_cards.chapter(book, month)),
        *(link_cards.chapter(book, month), habit_cards.challenges(book, month), hours_cards.chapter(book, month)),
        *(line_cards.memory_chapter(book, month), sleep_cards.chapter(book, month)),
        *(task_cards.through_the_year(book, year), day_cards.logged_chapter(book, year)),
        picture_cards.chapter(book, year, lambda _folder, _file, _size: ""),
    )


class Texts(HTMLParser):
    """The texts of HTML, one by one, with those of the attributes that are read aloud."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.texts: list[str] = []
        self.feed(html)
        self.close()

    def handle_data(self, data: str) -> None:
        self.texts.append(data)

    def handle_starttag(self, _tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.texts += [value for name, value in attrs if name in ("aria-label", "alt", "placeholder") and value]


def shown(html: object) -> list[str]:
    return Texts(str(html)).texts


def rest_of_the_pages(book: journal.Journal) -> Iterator[object]:
    week, month = book.period("2025-W16"), book.period("2025-04")
    problem = Problem(path="χ.toml", line=1, column=1, where="ω", expected="ε", got="γ", remedy="ρ")
    yield from (cards.header("week", "Νήμα", today=TODAY, on=TODAY).replace("Duskbook", ""), care_box.box(care_signs()))
    yield from (cards.problems([problem] * 60, "Κλειστό"), cards.table("Τ", ["Α"], [["β"]]))
    yield from (finding_cards.card(book.facts, book.period(name)) for name in ("2025-W16", "2025-04", "2025"))
    yield from (search_cards.matches(book.tables.lines, text) for text in ("ψωμί", "ουδέν"))
    assert len(trial_cards.shown(book)) == 2  # one is over, one was looked at today
    yield from (trial_cards.sentence(book), trial_cards.results(book), page_chapters.drawing())
    yield from habit_grids._of_the_week(book, week, book.states_in(week)).values()
    yield habit_grids.in_full_table(
        book.rates(month),
        running=book.running_at_end(month),
        changed=book.changes(month),
        totals=pl.DataFrame(schema={"habit": pl.String}),
        settings=book.settings,
        period=month,
    )
    yield page_chapters.walk([*chapters(book)][:2], {"mood"})
    yield page_chapters.jumps([("α", "Α")])
    yield from habit_cards.quantities(book.states, book.settings).values()
    yield from link_cards.driver_names(book.settings).values()
    yield sleep_cards.short_nights({"under_recommended": 0, "nights": 2})
    every = pl.DataFrame(
        {"z": [3.0, 3.0], "days": [3, 1], "word": ["ψ", "χ"], "count": 2, "rest": 1, "new": [True, False]}
    )
    yield from map(line_cards._how_frequent, every.rows(named=True))


def assert_words(book: journal.Journal, language: Language = PSEUDO) -> None:
    with speaking(language):
        every = [*chapters(book), *empty_chapters(book)]
        texts = [text for one in every for text in (one.name, str(one.sentence), *shown(one.draw()))]
        texts += [text for part in rest_of_the_pages(book) for text in shown(part)]
    assert_of_the_catalogue(texts)


def test_sections_are_from_the_catalogue(book: journal.Journal) -> None:
    assert_words(book)


def test_a_chapter_in_german(book: journal.Journal) -> None:
    with speaking(GERMAN):
        tasks = task_cards.of_the_week(book, book.period("2025-W16"))
        assert "verschoben" in str(tasks.sentence)
        assert shown(tasks.draw())[0] == "Getan, 1"
        assert day_cards.appointment_chapter(book, book.period("2025-W16")).sentence == "12 Termine an 6 Tagen"
        table = shown(cards.of_frame("Τ", Drawn.table))
    assert table[2:] == [
        "Zustand",
        "Einheit",
        "Zeitraum",
        "Tage danach",
        "Wert",
        "klar",
        "nicht getan",
        "Woche",
        "Montag",
        "1",
        "1,5",
        "ja",
    ]


def test_each_column_of_a_figure_has_a_heading() -> None:
    columns = {column for module in CHARTS for column in getattr(module, "_COLUMNS", ())}
    assert len(columns) > 25
    with speaking(PSEUDO):
        assert_of_the_catalogue([column_headings.heading(column) for column in sorted(columns)])


def test_her_own_words_stay_in_a_table() -> None:
    with speaking(GERMAN):
        table = shown(cards.of_frame("Τ", pl.DataFrame({"habit": ["done"], "Call home": ["done"]})))
    assert table[2:] == ["Gewohnheit", "Call home", "done", "done"]
