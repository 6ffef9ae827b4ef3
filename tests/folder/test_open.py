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
        ("journal.toml", 0, "places"),
        ("journal.toml", 0, "title"),
        ("journal.toml", 1, "titel"),
        ("undated.toml", 3, "tasks[0].estimat"),
    ]
    assert opened.tables.lines.get_column("text").to_list() == ["The one that is read."]
    assert opened.undated == Undated(tasks=(UndatedTask(title="Oil the press"),))
    # A future day is read like any other.
    logged = opened.tables.days.filter(opened.tables.days["logged"])
    assert logged.get_column("date").to_list() == [dt.date(2030, 1, 1)]


def test_importing_the_package_imports_no_submodules() -> None:
    ours = "m.split('.')[0] in ('journal', 'polars', 'msgspec')"
    code = f"import sys, journal; print(sorted(m for m in sys.modules if {ours}))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "['journal']\n"
