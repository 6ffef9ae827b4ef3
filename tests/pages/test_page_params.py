"""Parameters of a page: journal, day, first period."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

import journal
from journal.errors import FolderError, UsageError
from journal.pages import page_params
from tests import journals

FRIDAY = dt.date(2025, 3, 14)


def book(tmp_path: Path, *written: dt.date, today: dt.date, **settings: object) -> journal.Journal:
    journals.write(tmp_path, {date: {"mood": 3} for date in written}, **settings)
    return journal.open(tmp_path, today=today, cache=False)


def test_the_folder_is_from_the_environment_else_the_example_year(tmp_path: Path) -> None:
    (tmp_path / "example_year").mkdir()
    assert page_params.folder(tmp_path / "notebooks", {}) == tmp_path / "example_year"
    assert page_params.folder(tmp_path / "notebooks", {page_params.FOLDER: str(tmp_path)}) == tmp_path
    with pytest.raises(FolderError, match=page_params.FOLDER):
        page_params.folder(tmp_path, {page_params.FOLDER: str(tmp_path / "nowhere")})


def test_an_invalid_date_in_the_environment_raises() -> None:
    with pytest.raises(UsageError, match='DUSKBOOK_TODAY: there is no date "soon"'):
        page_params.day(page_params.TODAY, {page_params.TODAY: "soon"})


def test_today_is_the_journals_own(tmp_path: Path) -> None:
    journals.write(tmp_path, {})
    late = dt.datetime(2025, 3, 15, 2, 30, tzinfo=dt.UTC)  # half past three in Ljubljana, before the day turns
    assert journal.open(tmp_path, today=page_params.today(late, {})).today == FRIDAY
    given = {page_params.TODAY: "2026-01-01"}
    assert journal.open(tmp_path, today=page_params.today(late, given)).today == dt.date(2026, 1, 1)


@pytest.mark.parametrize(
    ("query", "first"),
    [
        ({}, "2025-W11"),
        ({"week": "2025-W02"}, "2025-W02"),
        ({"on": "2025-02-05"}, "2025-W06"),
        ({"week": "2025-W02", "on": "2025-02-05"}, "2025-W02"),
        ({"week": "2025-W99", "on": "soon"}, "2025-W11"),
        ({"week": ["2025-W02", "2025-W03"]}, "2025-W11"),
    ],
)
def test_the_first_week_is_the_one_asked_for_else_todays(tmp_path: Path, query: dict[str, object], first: str) -> None:
    opened = book(tmp_path, FRIDAY - dt.timedelta(days=1), today=FRIDAY)
    assert page_params.first_shown("week", query, opened).key == first


def test_without_entries_today_the_last_logged_period_comes_first(tmp_path: Path) -> None:
    opened = book(tmp_path, FRIDAY, today=dt.date(2026, 5, 1))
    assert [page_params.first_shown(kind, {}, opened).key for kind in ("week", "month", "year")] == [
        "2025-W11", "2025-03", "2025",
    ]  # fmt: skip


def test_an_empty_journal_opens_at_today(tmp_path: Path) -> None:
    opened = book(tmp_path, today=FRIDAY)
    assert page_params.first_shown("month", {}, opened).key == "2025-03"
    assert [period.key for period in page_params.choices("month", opened)] == ["2025-03"]


def test_choices_extend_to_today_while_the_journal_is_in_use(tmp_path: Path) -> None:
    opened = book(tmp_path, dt.date(2025, 1, 30), FRIDAY, today=dt.date(2025, 4, 2))
    assert [period.key for period in page_params.choices("month", opened)] == [
        "2025-01",
        "2025-02",
        "2025-03",
        "2025-04",
    ]


def test_weeks_start_on_the_journal_s_day(tmp_path: Path) -> None:
    opened = book(tmp_path, FRIDAY, today=dt.date(2025, 3, 16), week_starts="sunday")
    assert page_params.first_shown("week", {"on": "2025-03-16"}, opened).first == dt.date(2025, 3, 16)
    assert {period.first.weekday() for period in page_params.choices("week", opened)} == {6}


def test_a_missing_journal_stays_with_a_problem(tmp_path: Path) -> None:
    opened = book(tmp_path, FRIDAY, today=FRIDAY)
    (tmp_path / "journal.toml").unlink()
    again = page_params.again(lambda: journal.open(tmp_path, today=FRIDAY, cache=False), opened)
    assert again.tables is opened.tables
    assert "there is no journal.toml" in again.problems[0].remedy


def test_the_time_of_saving_is_on_the_day_in_the_environment(tmp_path: Path) -> None:
    folder = journals.write(tmp_path / "journal", {})
    evening, night = dt.datetime(2026, 11, 25, 22, 4, tzinfo=dt.UTC), dt.datetime(2026, 11, 25, 0, 30, tzinfo=dt.UTC)
    given = {page_params.TODAY: "2025-03-13"}
    assert page_params.moment(folder, evening, {}) == evening
    assert page_params.moment(folder, evening, given) == evening.replace(2025, 3, 13)
    assert page_params.moment(folder, night, given) == night.replace(2025, 3, 14), (
        "half past midnight is still that evening"
    )


@pytest.mark.parametrize(
    ("on", "day"),
    [("2025-03-10", "2025-03-10"), ("2025-03-13", "2025-03-13"), ("2025-03-14", "2025-03-13"), ("soon", "2025-03-13")],
)
def test_the_evening_shown_is_never_in_the_future(on: str, day: str) -> None:
    assert page_params.evening({"on": on}, dt.date(2025, 3, 13)) == dt.date.fromisoformat(day)
