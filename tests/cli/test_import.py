"""`duskbook import`: its output, its question, the written pages and the exit code."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pytest

from journal.commands import import_files
from tests.cli.conftest import Typed, program

HEADINGS = "days.csv: 2 rows\n  date       date\n  mood       mood\n  gratitude  gratitude\n"
TABLE = "date,mood,gratitude\n2025-03-14,4,Bread.\n2025-03-08,3,\n"


@pytest.fixture
def table(tmp_path: Path) -> Path:
    path = tmp_path / "days.csv"
    path.write_text(TABLE, encoding="utf-8")
    return path


def pages(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.rglob("*.toml"))}


@pytest.fixture
def on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Standard input counts as a terminal."""
    monkeypatch.setattr(import_files, "is_terminal", lambda: True)


def test_nothing_is_written_before_a_yes(typed: Typed, small_journal: Path, table: Path, on_a_terminal: None) -> None:
    before = pages(small_journal)
    result = typed("import", "spreadsheet", table, small_journal, answers="\n")
    assert (result.exit_code, result.stderr) == (0, "")
    kept = "2025-03-14: mood stays 5, the file has 4\n"
    said = f"{HEADINGS}{kept}Pages: 1 new, 1 added to, 0 unchanged.\nWrite 2 pages? [y/N]: "
    assert result.stdout.replace("\n\n", "\n") == f"{said}\nNothing is written.\n"
    assert pages(small_journal) == before
    result = typed("import", "spreadsheet", table, small_journal, answers="y\n")
    assert (result.exit_code, result.stdout) == (0, f"{said}y\nWrote 2 pages.\n")
    day = small_journal / "2025" / "2025-03-14.toml"
    assert tomllib.loads(day.read_text(encoding="utf-8"))["gratitude"] == ["=SUM(A1) on the 14th", "Bread."]
    again = typed("import", "spreadsheet", table, small_journal)
    assert again.stdout == f"{HEADINGS}{kept}Pages: 0 new, 0 added to, 2 unchanged.\nThere is nothing to write.\n"


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--dry-run"], "Nothing is written (--dry-run)."),
        (["--dry-run", "--yes"], "Nothing is written (--dry-run)."),
        ([], "Nothing is written: there is no terminal to ask on. Add --yes to write these pages."),
    ],
)
def test_without_a_terminal_or_with_dry_run_nothing_is_written(
    typed: Typed, small_journal: Path, table: Path, options: list[str], said: str
) -> None:
    before = pages(small_journal)
    result = typed("import", "spreadsheet", table, small_journal, *options)
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.splitlines()[-1] == said
    assert pages(small_journal) == before


def test_a_problem_in_the_file_is_reported_and_only_its_value_is_skipped(
    typed: Typed, small_journal: Path, table: Path
) -> None:
    table.write_text("date;Laune;walk;extra\n14.3.2025;\x1b[31mbad;yes;1\n8.3.2025;4;x;\n", encoding="utf-8")
    line = ("import", "spreadsheet", table, small_journal, "--column", "laune=mood", "--yes")
    result = typed(*line)
    assert (result.exit_code, result.stderr) == (1, "")
    assert result.stdout.splitlines()[4:] == [
        (
            'days.csv:1:4: expected a heading that is known, got "extra"; it is left out; '
            'write, with its field, --column "extra=..."'
        ),
        (
            'days.csv:2:2: Laune: expected a number from 1 to 5, or "heavy", "low", "even", "good" or "bright", '
            'got "\\u001b[31mbad"; write one of them'
        ),
        "Pages: 1 new, 0 added to, 1 unchanged.",
        "Wrote 1 page.",
    ]
    assert (small_journal / "2025" / "2025-03-08.toml").read_text(encoding="utf-8") == (
        "mood = 4\nasked = false\n\n[habits]\nwalk = true\n"
    )
    named = typed(*line, "--column", "extra=-", "--dates", "day-first", "--dry-run")
    assert named.stdout.splitlines()[4] == "  extra  left out"


def test_many_problems_are_counted(typed: Typed, small_journal: Path, table: Path) -> None:
    table.write_text("date,mood\n" + "soon,4\n" * 60, encoding="utf-8")
    lines = typed("import", "spreadsheet", table, small_journal).stdout.splitlines()
    assert lines[3 + import_files.MOST_LINES] == "... and 10 more like these"


def test_a_calendar_goes_to_days_that_have_a_page(typed: Typed, small_journal: Path, tmp_path: Path) -> None:
    """8 March has no page. All days of 2025 are past."""
    path = tmp_path / "work.ics"
    rule = "DTSTART:20250301T083000\nDURATION:PT30M\nRRULE:FREQ=DAILY;UNTIL=20250331"
    path.write_text(
        f"BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:1\nSUMMARY:Merchant\n{rule}\nEND:VEVENT\nEND:VCALENDAR\n", encoding="utf-8"
    )
    result = typed("import", "calendar", path, small_journal, "--yes")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout == (
        "work.ics: 13 appointments on 13 days that have a page\n"
        "Pages: 0 new, 13 added to, 0 unchanged.\nWrote 13 pages.\n"
    )
    result = typed("import", "calendar", path, small_journal, "--days", "2025-03-08..2025-03-10", "--yes")
    assert result.stdout == (
        "work.ics: 3 appointments from 2025-03-08 to 2025-03-10\n"
        "Pages: 1 new, 0 added to, 2 unchanged.\nWrote 1 page.\n"
    )
    page = tomllib.loads((small_journal / "2025" / "2025-03-08.toml").read_text(encoding="utf-8"))
    assert page == {"appointments": [{"title": "Merchant", "start": "08:30", "end": "09:00"}]}


REFUSED = {
    "import spreadsheet": 'FILE is missing; write e.g. "duskbook import spreadsheet days.csv"',
    "import calendar": 'FILE is missing; write e.g. "duskbook import calendar work.ics"',
    "import calender work.ics": 'there is no command "calender"; did you mean "calendar"?',
    "import spreadsheet dys.csv small": 'there is no file "dys.csv"; did you mean "days.csv"?',
    "import spreadsheet small small": '"small" is a folder; name a file',
    "import spreadsheet days.csv smal": 'there is no folder "smal"; did you mean "small"?',
    "import spreadsheet days.csv .": 'folder "." has no journal.toml; name a folder that does, '
    'or make it a journal with "duskbook start ."',
    "import spreadsheet days.csv small --dates month": 'there is no order of dates "month"; '
    'did you mean "month-first"?',
    "import spreadsheet days.csv small --column mood": '--column "mood": write a heading and its field, '
    'e.g. --column "Laune=mood"',
    "import calendar days.csv small": '"days.csv" is no calendar (it has no BEGIN:VCALENDAR); '
    "export it as iCalendar, .ics",
    "import calendar days.csv small --days 2000-01-01..2025-01-01": "--days: 9,133 days are too many to read at once; "
    "name at most 3,660",
}


@pytest.mark.parametrize("line", REFUSED)
def test_a_wrong_file_or_folder_is_rejected_in_one_line(
    typed: Typed, small_journal: Path, table: Path, monkeypatch: pytest.MonkeyPatch, line: str
) -> None:
    monkeypatch.chdir(table.parent)
    before = pages(small_journal)
    result = typed(*line.split())
    assert (result.exit_code, result.stdout, result.stderr) == (2, "", f"duskbook: {REFUSED[line]}\n")
    assert pages(small_journal) == before


def test_a_read_only_folder(typed: Typed, small_journal: Path, table: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With --dry-run, the plan is printed all the same."""
    real = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK and real(path, mode))
    result = typed("import", "spreadsheet", table, small_journal, "--yes")
    assert (result.exit_code, result.stderr) == (
        2, f'duskbook: "{small_journal}" is read-only, so nothing is written; give your user write access\n',
    )  # fmt: skip
    assert typed("import", "spreadsheet", table, small_journal, "--dry-run").exit_code == 0


def test_as_a_program_without_a_terminal_it_does_not_ask(small_journal: Path, table: Path) -> None:
    before = pages(small_journal)
    run = program("import", "spreadsheet", table, small_journal)
    assert (run.returncode, run.stderr) == (0, "")
    assert run.stdout.endswith("Add --yes to write these pages.\n")
    assert pages(small_journal) == before
