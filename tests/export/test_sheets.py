"""The contents of the paper sheets of the next day, month and year."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import polars as pl
import pytest

import journal
from journal import Journal, periods
from journal.export import day_sheet, month_sheet, sheets, year_sheet
from journal.export.day_sheet import DaySheet
from journal.export.month_sheet import MonthSheet
from journal.export.sheets import PaperSheet
from journal.paper import upcoming
from journal.settings import Habit, Settings, Trial
from journal.sun import rise_set
from tests import journals
from tests.cli.conftest import Typed, small_journal, typed
from tests.export import books
from tests.export.crowded import LONG, crowded
from tests.export.printed import leaves

__all__ = ["crowded", "small_journal", "typed"]  # fixtures

THURSDAY, FRIDAY = dt.date(2025, 3, 13), dt.date(2025, 3, 14)
HOURS = "Hours: a line through each half hour; "


@pytest.fixture(scope="module")
def year() -> Journal:
    return journal.open("example_year", today=THURSDAY, cache=False)


@pytest.fixture(scope="module")
def day(year: Journal) -> day_sheet.DaySheetData:
    return words(day_sheet.of(year, FRIDAY)[0])


def words(sheet: PaperSheet) -> day_sheet.DaySheetData:
    assert isinstance(sheet, DaySheet)
    return sheet.words


def month(book: Journal, key: str) -> MonthSheet:
    (sheet,) = month_sheet.of(book, periods.parse(key, week_starts="monday"))
    return sheet


def whole(*some: PaperSheet) -> str:
    """All text of the sheets."""
    return " ".join(" ".join(leaf.text for leaf in leaves(sheets.make(some).data)).split())


def of(days: Any = None, **settings: Any) -> Journal:
    return books.book(days or {}, **settings)


def test_the_day_has_the_contents_of_its_page(year: Journal, day: day_sheet.DaySheetData) -> None:
    text = whole(*day_sheet.of(year, FRIDAY))
    assert [(task.rank, task.title) for task in day.tasks] == [
        ("1", "Corners on the menu covers"),
        ("2", ""),  # carried to another day
        ("3", "Test the new glue on scrap"),
        ("", "Sweep and oil the press"),  # the stock count was dropped
    ]
    assert day.hours_from == f"{HOURS}the bar below is what was planned"
    for said in (
        "Friday", "14 March 2025, week 11", "Cloudy, 5 to 19 °C", "08:30 to 09:00", "Paper merchant, by phone",
        "Workshop", "Corners on the menu covers", "every Friday, 30 min", "Walk by the river", "at most 30 minutes",
        "To the maker of a tool you", "heavy", "bright", "To remember",
    ):  # fmt: skip
        assert said in text, said


def test_sun_times_match_the_evening_page(year: Journal, day: day_sheet.DaySheetData) -> None:
    row = rise_set.for_journal(year.tables.days, year.settings, FRIDAY, FRIDAY).row(0, named=True)
    rise, set_, change = rise_set.words(row)
    assert day.sun == (f"{rise} · {set_}", f"11 h 50 min of daylight · {change}")
    assert day.strip.light == ((row["rise_minute"], row["set_minute"]),)


def test_a_day_without_a_page_has_routines_and_usual_hours() -> None:
    book = journal.open("example_year", today=dt.date(2026, 1, 1), cache=False)
    day = words(sheets.chosen(book, dt.date(2026, 1, 1), "day", "a5")[0])
    assert [(task.title, task.detail) for task in day.tasks[3:]] == [
        ("Sweep and oil the press", "every Friday, 30 min"),
        ("Stock count", "every other Friday, 1 h"),
    ]
    assert (day.hours_from, day.habits, day.appointments) == (f"{HOURS}the bar below is the usual", (), ())


def test_a_midnight_sun_is_stated(tmp_path: Path) -> None:
    places = [{"key": "home", "name": "Tromsø", "latitude": 69.65, "longitude": 18.96, "timezone": "Europe/Oslo"}]
    mood = {"low": 1, "high": 10}
    folder = journals.write(tmp_path / "north", {}, places=places, mood=mood)
    book = journal.open(folder, today=dt.date(2024, 6, 20), cache=False)
    for day, said, light in (
        (dt.date(2024, 6, 21), ("The sun stays up all day",), ((0.0, 1440.0),)),
        (dt.date(2024, 12, 21), ("The sun stays down all day",), ()),
    ):
        (sheet,) = day_sheet.of(book, day)
        assert (sheet.words.sun, sheet.words.strip.light) == (said, light)
        assert said[0] in whole(sheet)
    assert sheet.words.mood == tuple(map(str, range(1, 11)))


def test_an_empty_journal_has_sheets(tmp_path: Path) -> None:
    book = journal.open(journals.write(tmp_path / "empty", {}), today=THURSDAY, cache=False)
    found = sheets.chosen(book, THURSDAY, "all", "a5")
    assert len(leaves(sheets.make(found).data)) == 3
    assert (words(found[0]).habits, words(found[0]).hours_from) == ((), f"{HOURS}nothing is planned yet")
    assert "No habit is due." in whole(*found) and "No habit is due." in found[1].alt


@pytest.mark.parametrize("key", ["2025-01", "2025-04", "2025-09", "2025-12"])
def test_due_days_match_the_tables(year: Journal, key: str) -> None:
    over = journal.open("example_year", today=dt.date(2025, 12, 31), cache=False)
    period = periods.parse(key, week_starts="monday")
    marks = over.tables.marks.filter(pl.col("date").is_between(period.first, period.last))
    names = {over.settings.habit_name(str(key)): rows for (key,), rows in marks.group_by("habit", maintain_order=True)}
    columns = {column.name: column for column in month(year, key).words.columns}
    assert list(names) == [name for name in columns if name in names]
    for name, rows in names.items():
        asked = {row["date"]: row for row in rows.iter_rows(named=True)}
        for date, mark in zip(period.dates, columns[name].days, strict=True):
            row = asked.get(date, {"due": False, "mark": None, "per": None})
            expected = "rest" if row["mark"] == "rest" else "any" if row["per"] else "due" if row["due"] else ""
            assert mark == expected, (name, date)


def test_quotas_have_a_bracket_for_each_week(year: Journal, crowded: Journal) -> None:
    (swim,) = [column for column in month(year, "2025-05").words.columns if column.name == "Swim"]
    assert (swim.detail, set(swim.days)) == ("3 times a week", {"any"})
    # The habit is in force from 1 May 2025, a Thursday; its last week continues in June.
    assert [(b.start, b.end) for b in swim.brackets] == [(0, 3), (4, 10), (11, 17), (18, 24), (25, 30)]
    assert [(b.from_before, b.into_next) for b in swim.brackets] == [
        (False, False),
        *[(False, False)] * 3,
        (False, True),
    ]
    first = month_sheet.of(crowded, periods.parse("2025-04", week_starts="monday"))[0].words.columns[1].brackets
    assert [(b.start, b.end) for b in first] == [(0, 4), (5, 11), (12, 18), (19, 25), (26, 29)]  # weeks from Sunday


def test_rest_days_show_and_a_changed_habit_has_one_column() -> None:
    start = dt.date(2025, 3, 1)
    change = (
        Habit(key="walk", name="Walk", start=start, every="FREQ=DAILY"),
        Habit(key="walk", name="Walk", start=dt.date(2025, 3, 20), times=2, per="week"),
    )
    book = of(habits=change)
    mood, column = month(book, "2025-03").words.columns
    assert (mood.field, mood.values, set(mood.days)) == ("mood", (1, 2, 3, 4, 5), {"due"})
    assert column.days == ("due",) * 19 + ("any",) * 12
    assert [(b.start, b.end, b.times) for b in column.brackets] == [(19, 22, 2), (23, 29, 2), (30, 30, 2)]
    assert upcoming.marks(book, start, start).get_column("rest").to_list() == [False]


def test_a_day_that_a_lot_leaves_free_is_not_due() -> None:
    """By hand: `printf '4711:0' | sha256sum` begins with an odd byte, so the first block of the pair is on."""
    plan = Trial(key="walking", question="?", habit="walk", start=dt.date(2025, 3, 20), days=4, block=2, seed=4711)
    walk = Habit(key="walk", name="Walk", start=dt.date(2025, 3, 1), every="FREQ=DAILY")
    book = of(habits=(walk,), trials=(plan,))
    _, column = month(book, "2025-03").words.columns
    assert column.days[18:25] == ("due", "due", "due", "", "", "due", "due")
    due = upcoming.marks(book, dt.date(2025, 3, 21), dt.date(2025, 3, 24)).get_column("date")
    assert [date.day for date in due] == [21, 24]


def test_too_many_habits_for_a_sheet_make_two_sheets() -> None:
    habits = [Habit(key=f"h{n}", name=f"H{n}", start=dt.date(2025, 1, 1), every="FREQ=DAILY") for n in range(41)]
    found = month_sheet.of(of(habits=tuple(habits)), periods.parse("2025-04", week_starts="monday"))
    assert [(sheet.words.part, len(sheet.words.columns)) for sheet in found] == [
        ("1 of 3", 12),
        ("2 of 3", 15),
        ("3 of 3", 15),
    ]


def test_prompts_are_beside_their_days(crowded: Journal) -> None:
    sheet = month(journal.open("example_year", today=dt.date(2025, 2, 10), cache=False), "2025-03")
    prompts = [day.prompts for day in sheet.words.days]
    assert prompts[0] == ("To the one who taught you to sew a book",)
    assert (prompts[29], prompts[30]) == (("To the one who reads these last",), ())
    assert "1, To the one who taught you to sew a book" in sheet.alt
    text = whole(sheet)
    assert "To whoever finds this binding in a hundred years" in text
    listed = whole(*month_sheet.of(crowded, periods.parse("2025-04", week_starts="monday")))
    assert "Prompts of April 2025" in listed and f"{LONG} 29" in listed


def test_a_year_has_a_field_for_each_day() -> None:
    sizes = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    for key, days in (("2025", sizes), ("2024", [31, 29, *sizes[2:]]), ("1900", sizes), ("2000", [31, 29, *sizes[2:]])):
        sheet = year_sheet.of(Settings(title="Small", places=()), periods.parse(key, week_starts="monday"))
        assert [len(one.weekends) for one in sheet.words.months] == days
    # 1 January 2000 was a Saturday.
    assert sheet.words.months[0].weekends[:8] == (True, True, False, False, False, False, False, True)


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        ("2025-03-14", ("Saturday", "April 2025", "2025")),
        ("2025-11-30", ("Monday", "December 2025", "2025")),
        ("2025-12-31", ("Thursday", "January 2026", "2026")),
        ("2024-02-28", ("Thursday", "March 2024", "2024")),
    ],
)
def test_the_sheets_that_follow_on_a_day(year: Journal, day: str, expected: tuple[str, ...]) -> None:
    found = sheets.chosen(year, dt.date.fromisoformat(day), "all", "a5")
    assert tuple(sheet.words.title for sheet in found) == expected


def test_the_command_writes_one_file_and_does_not_change_the_journal(
    typed: Typed, small_journal: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    before = {path: path.read_bytes() for path in small_journal.rglob("*") if path.is_file()}
    for kind, name in (
        ("day", "page-2025-04-01"),
        ("month", "page-2025-04"),
        ("year", "page-2025"),
        ("all", "pages-2025-04-01"),
    ):
        result = typed("export", "pages", small_journal, "--date", "2025-03-31", "--sheet", kind)
        assert (result.exit_code, result.stderr) == (0, "")
        assert result.stdout.startswith(f"{name}.pdf  ")
    assert sorted(path.name for path in here.iterdir()) == [
        "page-2025-04-01.pdf", "page-2025-04.pdf", "page-2025.pdf", "pages-2025-04-01.pdf",
    ]  # fmt: skip
    assert typed("export", "pages", small_journal, "--paper", "a4", "--to", "mine.pdf").exit_code == 0
    after = {
        path: path.read_bytes() for path in small_journal.rglob("*") if path.is_file() and ".cache" not in path.parts
    }
    assert after == before


def test_the_command_reports_errors_and_says_that_sheets_are_for_the_owner(typed: Typed, small_journal: Path) -> None:
    wrong = typed("export", "pages", small_journal, "--sheet", "weak")
    assert (wrong.exit_code, "Traceback" in wrong.output) == (2, False)
    assert 'there is no sheet "weak"' in wrong.output
    assert "for you alone" in " ".join(typed("export", "pages", "--help").output.split())
