"""Tasks and hours on the command line of `duskbook log`."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Typed

DAY = "2025-03-14"
PAGE = """\
# Friday
mood = 4

[habits]

[hours.actual]
sleep = ["00:00-06:15"]

[[tasks]]
title = "Quote for the choir folders"    # by phone
rank = 1

[[tasks]]
title = "Fold=cut"
"""


@pytest.fixture
def friday(small_journal: Path) -> Path:
    path = small_journal / "2025" / f"{DAY}.toml"
    path.write_text(PAGE, encoding="utf-8")
    return path


def test_tasks_are_marked_and_added(typed: Typed, small_journal: Path, friday: Path) -> None:
    line = ("log", small_journal, "--date", DAY)
    result = typed(
        *line, "--task", "quote for the choir folders=12,5", "--task", "Fold=cut=dropped", "--add-task", "Glue=30",
        "--add-task", "x = y",
    )  # fmt: skip
    assert result.stdout == (
        f'Saved to 2025/{DAY}.toml: task "Quote for the choir folders" done, took 12.5 min; '
        'task "Fold=cut" dropped; task "Glue"; task "x = y"\n'
    )
    assert friday.read_text(encoding="utf-8") == PAGE.replace(
        "by phone\nrank = 1", 'by phone\nstatus = "done"\nrank = 1\ntook = 12.5'
    ).replace('"Fold=cut"', '"Fold=cut"\nstatus = "dropped"') + (
        '\n[[tasks]]\ntitle = "Glue"\nestimate = 30\n\n[[tasks]]\ntitle = "x = y"\n'
    )
    again = typed(*line, "--task", "Fold=cut=dropped", "--add-task", "glue=30")
    assert again.stdout == f"2025/{DAY}.toml has all of it already\n"
    assert typed(*line, "--task", "Fold=cut=open").exit_code == 0
    assert 'title = "Fold=cut"\nstatus = "open"\n' in friday.read_text(encoding="utf-8")


def test_hours_are_added(typed: Typed, small_journal: Path, friday: Path) -> None:
    result = typed("log", small_journal, "--date", DAY, "--hours", "Work=13:30-17:00,09:00-12:30", "--hours",
                   "sleep=22:30-24:00")  # fmt: skip
    assert result.stdout == (f"Saved to 2025/{DAY}.toml: hours: Work 09:00-12:30, 13:30-17:00; Sleep 22:30-24:00\n")
    assert friday.read_text(encoding="utf-8") == PAGE.replace(
        'sleep = ["00:00-06:15"]\n',
        'sleep = ["00:00-06:15", "22:30-24:00"]\nwork = ["09:00-12:30", "13:30-17:00"]\n',
    )


@pytest.mark.parametrize(
    ("given", "message"),
    [
        (["--task", "Quote for the choir"], 'has no task "Quote for the choir"; did you mean "Quote for the choir f'),
        (["--task", "Fold=cut=carried"], "to carry it to another day, use the evening page"),
        (["--task", "Fold=cut=0"], '"0" is not a number of minutes up to 1440'),
        (["--task", "Fold=cut=1e4"], "write done, open, dropped, or the minutes it took"),
        (["--add-task", " "], "the title is empty"),
        (["--hours", "wrk=09:00-12:00"], 'there is no category "wrk"; did you mean "work"?'),
        (["--hours", "work=9-12"], "write e.g."),
        (["--hours", "work=22:30-00:00"], 'write "22:30-24:00"'),
        (["--hours", "work=06:00-07:00"], "00:00-06:15 is Sleep already; change the page"),
        (["--hours", "work=00:00-06:15"], "00:00-06:15 is Sleep already; change the page"),
        (["--hours", "work=09:00-11:00,10:00-12:00"], "09:00-11:00 is Work already"),
        (["--hours", "09:00-11:00"], "write a category and hours"),
    ],
)  # fmt: skip
def test_a_wrong_text_names_its_remedy_and_writes_nothing(
    typed: Typed, small_journal: Path, friday: Path, given: list[str], message: str
) -> None:
    result = typed("log", small_journal, "--date", DAY, *given)
    assert result.exit_code == 2 and message in result.stderr
    assert friday.read_text(encoding="utf-8") == PAGE
