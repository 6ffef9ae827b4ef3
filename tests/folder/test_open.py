"""Opening a whole journal: the example, one with problems of every kind, and the cost of the import."""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
from pathlib import Path

import journal
from journal.entry import Undated, UndatedTask
from tests.folder.journals import begin

EXAMPLE = Path(__file__).parents[2] / "example_year"


def test_the_example_opens_without_a_problem() -> None:
    opened = journal.open(EXAMPLE, today=dt.date(2025, 12, 31), cache=False)
    assert opened.problems == ()
    pages = sum(1 for _ in EXAMPLE.rglob("2025-??-??.toml"))
    assert opened.tables.days.get_column("written").sum() == pages > 300


def test_all_problems_are_listed_sorted_and_no_day_hides_another(tmp_path: Path) -> None:
    begin(
        tmp_path,
        'titel = "T"\n',
        {
            "2025-03-01.toml": 'memory = "Kept."\nmood = 9\nenergy = 0\n',
            "2025-03-02.toml": "mood = ",
            "2025-02-30.toml": "",
            "2025/2025-03-01.toml": 'memory = "The one that is read."\n',
            "2030-01-01.toml": "mood = 3",
            "undated.toml": '[[tasks]]\ntitle = "Oil the press"\nestimat = 3\n',
        },
    )
    opened = journal.open(tmp_path, today=dt.date(2025, 3, 14), cache=False)
    assert [(problem.path, problem.line, problem.where) for problem in opened.problems] == [
        ("2025-02-30.toml", 0, ""),
        ("2025-03-01.toml", 0, ""),
        ("2025-03-02.toml", 1, ""),
        ("2030-01-01.toml", 0, ""),
        ("journal.toml", 0, "places"),
        ("journal.toml", 1, "titel"),
        ("undated.toml", 3, "tasks[0].estimat"),
    ]
    assert opened.tables.lines.get_column("text").to_list() == ["The one that is read."]
    assert opened.undated == Undated(tasks=(UndatedTask(title="Oil the press"),))
    # A future day is read like any other, and one far ahead is reported.
    logged = opened.tables.days.filter(opened.tables.days["logged"])
    assert logged.get_column("date").to_list() == [dt.date(2030, 1, 1)]


def test_a_page_far_ahead_is_told_of(tmp_path: Path) -> None:
    names = ("2026-11-28", "2028-01-01", "2062-11-28", "2062-11-29", "2062", "2063-W01")
    begin(tmp_path, pages={f"{name}.toml": "# planned" for name in names})
    opened = journal.open(tmp_path, today=dt.date(2026, 11, 28), cache=False)
    assert [str(problem) for problem in opened.problems] == [
        f"{name}.toml: expected a page of at most two years ahead, got one of {name[:4]}; give it the year it is for"
        for name in ("2062-11-28", "2062-11-29", "2062", "2063-W01")
    ]
    again = journal.open(tmp_path, today=dt.date(2062, 1, 1), cache=False)
    assert again.problems == ()


def test_a_journal_that_is_opened_as_of_an_early_day_is_not_far_ahead_of_it(tmp_path: Path) -> None:
    """`show --today 2020-01-01` counts as of that day; the pages since follow one upon another."""
    begin(tmp_path, pages={f"{year}-03-01.toml": "# kept" for year in range(2020, 2027)})
    assert journal.open(tmp_path, today=dt.date(2020, 1, 1), cache=False).problems == ()


def test_importing_the_package_imports_no_submodules() -> None:
    ours = "m.split('.')[0] in ('journal', 'polars', 'msgspec')"
    code = f"import sys, journal; print(sorted(m for m in sys.modules if {ours}))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "['journal']\n"
