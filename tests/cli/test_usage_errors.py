"""Usage errors: one line with the mistake and the remedy, and exit code 2."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from journal.commands.show_catalogue import MEASURES
from journal.commands.terminal import one_line
from journal.wording import numbers
from tests.cli.conftest import PROJECT, Typed, program

WRONG = {
    "wek": 'there is no command "wek"; did you mean "week"?',
    "evenig": 'there is no command "evenig"; did you mean "evening"?',
    "knit": 'there is no command "knit"; write start, day, evening, week, month, year, settings, log, check, '
    "show, try, history, trial, merge, backup, restore, export, import, read, menu or schema",
    "--verson": "there is no option --verson; did you mean --version?",
    "start": 'FOLDER is missing; write e.g. "duskbook start my-journal"',
    "start --colour new": 'there is no option --colour; "duskbook start --help" lists the options',
    "start --yes=3 new": "option '--yes' does not take a value; \"duskbook --help\" shows what to write",
    "check one two": 'got unexpected extra argument (two); "duskbook check --help" shows what to write',
    "check nowhere": 'there is no folder "nowhere"; make a journal there with "duskbook start nowhere"',
    "check smal": 'there is no folder "smal"; did you mean "small"?',
    "check empty": 'folder "empty" has no journal.toml; name a folder that does, '
    'or make it a journal with "duskbook start empty"',
    "check small/journal.toml": '"small/journal.toml" is a file; name the folder that holds journal.toml, "small"',
    "check": 'no folder was given and the current one has no journal.toml; write e.g. "duskbook check my-journal", '
    "or set DUSKBOOK_FOLDER",
    "show": 'MEASURE is missing; write e.g. "duskbook show streaks"',
    "show streak": 'there is no measure "streak"; did you mean "streaks"?',
    "show weather": f'there is no measure "weather"; write {numbers.listed(MEASURES, "or")}',
    "show streaks": 'no folder was given and the current one has no journal.toml; write e.g. '
    '"duskbook show streaks my-journal", or set DUSKBOOK_FOLDER',
    "show rates small --form csv": "there is no option --form; did you mean --format?",
    "show rates small --format": '--format needs a value; write e.g. "--format table"',
    "show rates small --format xml": 'there is no format "xml"; write table, json or csv',
    "show rates small --format jsn": 'there is no format "jsn"; did you mean "json"?',
    "show rates small --by": '--by needs a value; write e.g. "--by month"',
    "show rates small --by day": 'rates cannot be shown by "day"; write --by all, week, month or year',
    "show mood small --by decade": 'mood cannot be shown by "decade"; '
    "write --by day, week, month, year, weekday or all",
    "show streaks small --by week": "streaks has no periods to choose from; leave --by out",
    "show lines small --by week": "lines has no periods to choose from; leave --by out",
    "show rates small --from 2025-02-30": '--from: there is no day "2025-02-30"; write e.g. "2025-03-14"',
    "show rates small --to yesterday": '--to: there is no day "yesterday"; write e.g. "2025-03-14"',
    "show rates small --today 2025-3-1": '--today: there is no day "2025-3-1"; write e.g. "2025-03-14"',
    "show rates small --from": '--from needs a value; write e.g. "--from 2025-03-14"',
    "show rates small --from 2025-03-09 --to 2025-03-08": "--from 2025-03-09 is after --to 2025-03-08; "
    "write the earlier day first",
    "show rates small --today 2025-03-08 --from 2025-03-09": "--from 2025-03-09 is after today, 2025-03-08; "
    "write an earlier day, or --to as well",
    "show rates small --to 2020-01-01": "--to 2020-01-01 is before the journal begins, 2025-03-03; write a later day",
    "show changes small": "changes needs the days to compare with; write e.g. "
    '"--from 2025-03-01 --to 2025-03-31 --against 2025-02-01..2025-02-28"',
    "show rates small --against 2025-02": "--against is for changes only; leave it out, "
    "or write changes in place of rates",
    "show mood small --search glue": "--search is for lines only; leave it out, or write lines in place of mood",
    "show lines small --search=": "--search: the text is empty; write e.g. --search glue",
    "show changes small --against 2025-02-01": '--against: "2025-02-01" is only one day; '
    'write e.g. "2025-02-01..2025-02-28"',
    "show changes small --against 2025-02-01..soon": '--against: "2025-02-01..soon" is not a range of days; '
    'write e.g. "2025-02-01..2025-02-28"',
    "show changes small --against 2025-02-28..2025-02-01": "--against: 2025-02-28 is after 2025-02-01; "
    'write the earlier day first, "2025-02-01..2025-02-28"',
    "show changes small --from 2025-03-10 --to 2025-03-16 --against 2025-W10..2025-W10": '--against: '
    '"2025-W10..2025-W10" is not a range of days; write e.g. "2025-02-01..2025-02-28"',
    "show changes small --from 2025-03-09 --to 2025-03-16 --against 2025-W10": "--against 2025-03-03..2025-03-09 "
    "overlaps 2025-03-09..2025-03-16, the days it is compared with; "
    "write --from, --to and --against so that no day is in both",
    "week small --port eight": '--port: "eight" is not a port; write a whole number from 1024 to 65535',
    "week small --port 80": '--port: "80" is not a port; write a whole number from 1024 to 65535',
    "week small --port 8.5": '--port: "8.5" is not a port; write a whole number from 1024 to 65535',
    "week small --port 65536": '--port: "65536" is not a port; write a whole number from 1024 to 65535',
    "export text small --to": '--to needs a value; write e.g. "--to ../for-me"',
    "export text small --days 2025-03-14": '--days: "2025-03-14" is only one day; write e.g. "2025-02-01..2025-02-28"',
    "export text small --year 25": '--year: there is no year "25"; write e.g. "2025"',
    "export text small --year 2025 --days 2025-03": "--year and --days were both given; write one of them",
    "export tables small --format xlsx": 'there is no format "xlsx"; write csv or parquet',
    "export tables small --today soon": '--today: there is no day "soon"; write e.g. "2025-03-14"',
    "export calendar small --only planed": 'there is no kind "planed"; did you mean "planned"?',
    "export calendar small --to small/2025/mine.ics": (
        '"small/2025/mine.ics" is inside the journal, where the evening page would read it as appointments; '
        'name a place outside the journal, e.g. "--to ../calendar.ics"'
    ),
    "week small --port": '--port needs a value; write e.g. "--port 8420"',
    "month small --date 2025-13": '--date: there is no period "2025-13"; '
    'write e.g. "2025-03-14", "2025-W11", "2025-03" or "2025"',
    "year nowhere": 'there is no folder "nowhere"; make a journal there with "duskbook start nowhere"',
    "week small extra": 'got unexpected extra argument (extra); "duskbook week --help" shows what to write',
}  # fmt: skip


@pytest.fixture
def beside_small(small_journal: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (small_journal.parent / "empty").mkdir()
    monkeypatch.chdir(small_journal.parent)
    return small_journal


@pytest.mark.usefixtures("beside_small")
@pytest.mark.parametrize("line", WRONG)
def test_one_line_and_exit_code_2(typed: Typed, line: str) -> None:
    result = typed(*line.split())
    assert result.stderr == f"duskbook: {WRONG[line]}\n"
    assert (result.exit_code, result.stdout) == (2, "")


@pytest.mark.usefixtures("beside_small")
def test_a_folder_without_a_name_is_not_the_current_one(typed: Typed) -> None:
    assert typed("check", "").stderr == 'duskbook: the folder has no name; write e.g. "duskbook check my-journal"\n'
    assert typed("start", "", "--yes").stderr == (
        'duskbook: the folder has no name; write e.g. "my-journal", or "." for the current one\n'
    )


def test_an_error_of_duskbook_folder_names_the_variable(
    typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DUSKBOOK_FOLDER", "gone")
    result = typed("check")
    assert result.stderr == (
        'duskbook: DUSKBOOK_FOLDER: there is no folder "gone"; make a journal there with "duskbook start gone"\n'
    )
    assert result.exit_code == 2


@pytest.mark.parametrize("name", ["two\nlines", "a\x1b[31mcolour", "x" * 5000, "tab\there"])
def test_a_name_with_control_characters_stays_on_one_line(typed: Typed, tmp_path: Path, name: str) -> None:
    result = typed("check", tmp_path / name)
    assert result.exit_code == 2
    assert result.stderr.count("\n") == 1
    assert result.stderr.rstrip("\n").isprintable()


def test_a_name_that_is_not_text_stays_on_one_line() -> None:
    result = subprocess.run(
        [sys.executable, "-m", "journal", "check", b"caf\xe9"],
        cwd=PROJECT,
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert result.returncode == 2
    assert result.stderr.startswith(b'duskbook: there is no folder "caf\\udce9"')
    assert result.stderr.count(b"\n") == 1


def test_printable_text_stays_unchanged() -> None:
    assert one_line("Čaj, 散歩, “quoted”") == "Čaj, 散歩, “quoted”"


def test_a_folder_that_cannot_be_read(typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(path: Path) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

    (tmp_path / "shut").mkdir()
    monkeypatch.setattr(Path, "iterdir", refuse)  # root, the only user on many test machines, can read every folder
    result = typed("check", tmp_path / "shut")
    assert result.stderr == f'duskbook: folder "{tmp_path / "shut"}" cannot be read (Permission denied); name another\n'


def test_an_internal_error_is_one_line_without_a_traceback(
    typed: Typed, small_journal: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("journal.commands.check.report", lambda journal: 1 / 0)
    result = typed("check", small_journal)
    assert result.exit_code == 70
    assert result.stderr == (
        "duskbook: an internal error of Duskbook (ZeroDivisionError: division by zero); "
        "set DUSKBOOK_TRACEBACK=1 to see where\n"
    )


def test_a_closed_pipe_is_not_an_error(small_journal: Path) -> None:
    shown = subprocess.Popen(
        [sys.executable, "-m", "journal", "show", "lines", str(small_journal), "--format", "json"],
        cwd=PROJECT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert shown.stdout is not None
    shown.stdout.close()  # before the first line is printed
    assert shown.stderr is not None
    assert shown.stderr.read() == b""
    shown.stderr.close()
    assert shown.wait(timeout=60) == 141


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only some systems have a device that is always full")
def test_a_full_disk_is_reported_in_one_line(small_journal: Path) -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        result = subprocess.run(
            [sys.executable, "-m", "journal", "show", "lines", str(small_journal)],
            cwd=PROJECT,
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
            timeout=60,
        )
    assert result.returncode == 2
    assert result.stderr == b"duskbook: No space left on device\n"


def test_an_interrupt_is_quiet(tmp_path: Path) -> None:
    asking = subprocess.Popen(
        [sys.executable, "-u", "-m", "journal", "start", str(tmp_path / "new")],
        cwd=PROJECT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert asking.stdout is not None
    assert asking.stdout.readline().startswith(b"A new journal.")
    time.sleep(0.2)  # until it waits for the first answer
    asking.send_signal(signal.SIGINT)
    _, said = asking.communicate(timeout=60)
    assert asking.returncode == 130
    assert said.strip() == b""
    assert not (tmp_path / "new").exists()


def test_help_imports_nothing_heavy() -> None:
    heavy = {"polars", "altair", "marimo", "numpy", "uvicorn", "vl_convert", "tomlkit", "dateutil"}
    code = (
        "import sys; from journal.cli import duskbook\n"
        "for line in (['--help'], ['show', '--help'], ['week', '--help'], ['wek'], ['show', 'rates', '--from', 'x']):\n"
        "    try: duskbook(line, prog_name='duskbook')\n"
        "    except SystemExit: pass\n"
        "print('IMPORTED', *sys.modules)"
    )
    result = subprocess.run([sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True, check=True)
    imported = set(result.stdout.rpartition("IMPORTED")[2].split())
    assert "journal.cli" in imported
    assert not imported & heavy


def test_it_runs_as_a_module() -> None:
    result = program("--version")
    assert (result.returncode, result.stderr) == (0, "")
    name, version, *_ = result.stdout.split()
    assert name == "duskbook"
    assert version[0].isdigit()


def test_help_of_every_command_names_an_example(typed: Typed) -> None:
    assert typed().output == typed("--help").output
    for command in ("start", "week", "month", "year", "check", "show"):
        result = typed(command, "--help")
        assert result.exit_code == 0
        assert f"  duskbook {command}" in result.output
        assert max(map(len, result.output.splitlines())) <= 100
