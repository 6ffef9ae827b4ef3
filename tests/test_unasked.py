"""Unmarked is not missed where nobody asked: imports, filled months and single marks, from the file to the counts."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path
from typing import Any

import polars as pl
import pytest

import journal
from journal.commands import log as logging
from journal.evening import form_build, month_fill, save_evening
from journal.measures import compared_days, completion
from tests.importing.tables import imported
from tests.journals import write

MONDAY = dt.date(2025, 3, 3)
TODAY = dt.date(2025, 3, 14)
NOW = dt.datetime(2025, 3, 14, 21, 4, tzinfo=dt.UTC)
HABITS: list[dict[str, Any]] = [
    {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": MONDAY},
    {"key": "read", "name": "Read", "every": "FREQ=DAILY", "from": MONDAY, "target": 20, "unit": "pages"},
    {"key": "swim", "name": "Swim", "times": 3, "per": "week", "from": MONDAY},
]


def opened(folder: Path, today: dt.date = TODAY) -> journal.Journal:
    book = journal.open(folder, today=today, cache=False)
    assert book.problems == ()
    return book


def written(folder: Path, days: dict[dt.date, dict[str, Any]] | None = None, **settings: Any) -> Path:
    return write(folder, days or {}, habits=HABITS, **settings)


def states_of(book: journal.Journal, habit: str, days: int) -> str:
    """The states of the first days, by their first letters."""
    last = MONDAY + dt.timedelta(days=days - 1)
    rows = book.states.filter(pl.col("date").is_between(MONDAY, last), habit=habit)
    return " ".join(state[0] for state in rows.get_column("state").to_list())


def page(folder: Path, day: dt.date) -> dict[str, Any]:
    return tomllib.loads((folder / "2025" / f"{day}.toml").read_text(encoding="utf-8"))


def closed(folder: Path, day: dt.date, **values: Any) -> None:
    """Save the evening of a day, as the form would."""
    book = opened(folder)
    answer = save_evening.save(
        book, {"base": form_build.offer(book, day).base, "day": day.isoformat(), **values}, now=NOW
    )
    assert answer.saved, answer


def test_an_empty_cell_of_an_import_is_blank(tmp_path: Path) -> None:
    folder = written(tmp_path / "small")
    imported(folder, "date,mood,walk,read\n2025-03-03,4,yes,\n2025-03-04,3,,24\n2025-03-05,,no,\n2025-03-06,2,,\n")
    book = opened(folder)
    assert (states_of(book, "walk", 5), states_of(book, "read", 5)) == ("d b m b b", "b d b b b")
    assert page(folder, MONDAY) == {"mood": 4, "asked": False, "habits": {"walk": True}}
    days = book.tables.days.select("logged", "asked").head(5).rows()
    assert days == [(True, False)] * 4 + [(False, False)]


def test_a_table_that_says_closed_has_asked(tmp_path: Path) -> None:
    folder = written(tmp_path / "small")
    imported(folder, "date,logged,mood,walk\n2025-03-03,yes,4,\n2025-03-04,no,4,\n")
    assert states_of(opened(folder), "walk", 2) == "m b"


def test_an_import_leaves_a_closed_day_closed(tmp_path: Path) -> None:
    folder = written(tmp_path / "small", {MONDAY: {"habits": {"walk": True}}})
    imported(folder, "date,mood\n2025-03-03,4\n")
    assert page(folder, MONDAY) == {"mood": 4, "habits": {"walk": True}}
    assert states_of(opened(folder), "read", 1) == "m"


def test_a_filled_month_says_nothing_of_other_habits(tmp_path: Path) -> None:
    folder = written(tmp_path / "small", {MONDAY: {"habits": {"read": 24}}})
    book = opened(folder)
    marks = {"walk": {"2025-03-03": True, "2025-03-04": True, "2025-03-05": False}}
    assert month_fill.save_month(book, {"base": month_fill.month(book, "2025-03").base, "marks": marks}, now=NOW).saved
    book = opened(folder)
    assert (states_of(book, "walk", 4), states_of(book, "read", 4)) == ("d d m b", "d b b b")
    assert "asked" not in page(folder, MONDAY), "an evening closed it"


def test_a_single_mark_does_not_close_the_day_and_the_evening_does(tmp_path: Path) -> None:
    folder = written(tmp_path / "small")
    yesterday = TODAY - dt.timedelta(days=1)
    for day in (MONDAY, yesterday):
        logging.log(folder, logging.Given(habits=("walk",)), day, now=NOW)
    assert (states_of(opened(folder), "walk", 1), states_of(opened(folder), "read", 1)) == ("d", "b")
    closed(folder, MONDAY, memory="Sewn.")
    assert page(folder, MONDAY)["asked"] is False, "only the memory of an old day was corrected"
    closed(folder, MONDAY, habits={"read": False})
    assert "asked" not in page(folder, MONDAY)
    closed(folder, yesterday, mood=4)
    assert page(folder, yesterday) == {"mood": 4, "habits": {"walk": True}}
    assert opened(folder).states.filter(habit="read", date=yesterday).item(0, "state") == "missed"


def test_a_quota_of_unasked_days_is_open(tmp_path: Path) -> None:
    """One swim in a week of seven days with a mood: missed if each evening asked, else unknown."""
    days = {MONDAY + dt.timedelta(days=i): {"mood": 3, "habits": {"swim": True}} for i in range(7)}
    for day, values in days.items():
        values["habits"] = {"swim": True} if day == MONDAY else {}
    assert _week(opened(written(tmp_path / "asked", days))) == "missed"
    unasked = {day: values | {"asked": False} for day, values in days.items()}
    book = opened(written(tmp_path / "unasked", unasked))
    assert _week(book) == "blank"
    compared = compared_days.compared(book.states, book.tables.days, today=TODAY).filter(habit="swim")
    assert compared.height == 1, "a link knows only the swim itself"


def _week(book: journal.Journal) -> str:
    return str(book.occasions.filter(habit="swim").item(0, "state"))


@pytest.mark.parametrize(("unmarked", "walk"), [("missed", "d m"), ("blank", "d b")])
def test_the_journal_says_what_an_empty_box_means(tmp_path: Path, unmarked: str, walk: str) -> None:
    days: dict[dt.date, dict[str, Any]] = {
        MONDAY: {"habits": {"walk": True}},
        MONDAY + dt.timedelta(days=1): {"habits": {}, "mood": 2},
    }
    book = opened(written(tmp_path / "small", days, unmarked=unmarked))
    assert states_of(book, "walk", 2) == walk
    rate = completion.rates(book.occasions.filter(pl.col("to") <= MONDAY + dt.timedelta(days=1)), week_starts="monday")
    assert rate.row(0, named=True)["missed"] == walk.count("m")


def test_a_wrong_setting_has_its_remedy(tmp_path: Path) -> None:
    (problem,) = journal.open(written(tmp_path / "small", unmarked="rest"), today=TODAY, cache=False).problems
    assert (problem.where, problem.got) == ("unmarked", '"rest"') and "missed" in problem.expected + problem.remedy


def test_an_evening_under_a_broken_journal_toml_does_not_speak_of_hidden_habits(tmp_path: Path) -> None:
    """One line of a habit is broken, so the evening cannot ask about it. Once it is mended, the habit is not missed."""
    folder = written(tmp_path / "small")
    settings = folder / "journal.toml"
    whole = settings.read_text(encoding="utf-8")
    settings.write_text(whole.replace('key = "read"', 'key = "read'), encoding="utf-8")
    book = journal.open(folder, today=TODAY, cache=False)
    assert "read" not in book.settings.habit_keys
    offer = form_build.offer(book, TODAY)
    entered = {"base": offer.base, "day": TODAY.isoformat(), "mood": 4, "habits": {"walk": True}}
    assert save_evening.save(book, entered, now=NOW).saved
    settings.write_text(whole, encoding="utf-8")
    later = opened(folder, TODAY + dt.timedelta(days=1))
    states = later.states.filter(pl.col("date") == TODAY).select("habit", "state").rows()
    assert dict(states) == {"walk": "done", "read": "blank", "swim": "not due"}
