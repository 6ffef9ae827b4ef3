"""`duskbook check`: one line per problem with place and remedy, and exit code 1 if there is one."""

from __future__ import annotations

import contextlib
import os
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.conftest import Typed, program
from tests.folder.journals import no_permission
from tests.journals import HOME


@pytest.fixture
def open_journal() -> Iterator[Path]:
    """A journal without pages that others can read, in a folder that they can enter."""
    with tempfile.TemporaryDirectory(prefix="a journal") as name:
        folder = Path(name)
        (folder / "journal.toml").write_text(f'title = "Small"\n{HOME}', encoding="utf-8")
        (folder / "journal.toml").chmod(0o644)
        folder.chmod(0o755)
        yield folder


def test_a_journal_without_problems(typed: Typed, small_journal: Path) -> None:
    result = typed("check", small_journal)
    assert (result.exit_code, result.stdout, result.stderr) == (0, "No problems in 13 pages.\n", "")


def test_every_problem_has_its_line(typed: Typed, small_journal: Path) -> None:
    page = small_journal / "2025" / "2025-03-04.toml"
    page.write_text('mood = "fine"\n[hours.actual]\nsleep = ["7ish"]\n', encoding="utf-8")
    (small_journal / "2025" / "2025-03-05.toml").write_text("mood = \n", encoding="utf-8")
    result = typed("check", small_journal)
    assert result.exit_code == 1
    lines = result.stdout.splitlines()
    assert len(lines) == 3
    assert lines[0].startswith("2025/2025-03-04.toml:1:8: mood: expected ")
    assert lines[1].startswith('2025/2025-03-04.toml:3:10: hours.actual.sleep[0]: expected "HH:MM-HH:MM", got "7ish"; ')
    assert lines[2].startswith("2025/2025-03-05.toml:1:")
    assert result.stderr == "3 problems.\n"


def test_a_broken_journal_toml_is_a_problem_and_not_a_traceback(typed: Typed, small_journal: Path) -> None:
    (small_journal / "journal.toml").write_text("title = \n", encoding="utf-8")
    result = typed("check", small_journal)
    assert result.exit_code == 1
    assert result.stdout.startswith("journal.toml:1:")
    for command in (("show", "mood"), ("show", "streaks")):
        shown = typed(*command, small_journal, "--today", "2025-03-16")
        assert (shown.exit_code, "a part of journal.toml is left out: journal.toml:1:9" in shown.stderr) == (1, True)


def test_text_of_a_file_cannot_control_the_terminal(typed: Typed, small_journal: Path) -> None:
    (small_journal / "2025" / "2025-03-05.toml").write_text('mood = "\\u001b[2J"\n', encoding="utf-8")
    result = typed("check", small_journal)
    assert result.exit_code == 1
    assert "\x1b" not in result.stdout


def test_as_a_program(small_journal: Path) -> None:
    assert program("check", small_journal).returncode == 0
    (small_journal / "2025" / "2025-03-05.toml").write_text("mod = 4\n", encoding="utf-8")
    result = program("check", small_journal)
    assert (result.returncode, result.stderr) == (1, "1 problem.\n")
    assert "mood" in result.stdout, "a misspelt key comes with what was probably meant"
    # A terminal encoding that lacks a character does not stop the command.
    (small_journal / "2025" / "2025-03-05.toml").write_text('mood = "čudno"\n', encoding="utf-8")
    assert program("check", small_journal, PYTHONIOENCODING="ascii", PYTHONUTF8="0").returncode == 1


def test_every_command_tells_of_a_broken_journal_toml_and_goes_on(typed: Typed, small_journal: Path) -> None:
    path = small_journal / "journal.toml"
    broken = path.read_text(encoding="utf-8").replace('"pages"', '"pages').replace('title = "Small"', 'title = "Small')
    path.write_text(broken, encoding="utf-8")
    result = typed("check", small_journal)
    assert (result.exit_code, result.stdout.count("\n"), result.stderr) == (1, 2, "2 problems.\n")
    hint = f'duskbook: 2 problems in {{}}; "duskbook check {small_journal}" tells where\n'
    shown = typed("show", "rates", small_journal, "--format", "csv")
    assert (shown.exit_code, shown.stderr) == (0, hint.format("this journal"))
    assert [line.split(",")[0] for line in shown.stdout.splitlines()] == ["habit", "walk", "read", "swim"]
    logged = typed("log", small_journal, "--date", "2025-03-16", "--habit", "walk", "--habit", "read=24")
    assert (logged.exit_code, logged.stderr) == (0, hint.format("journal.toml"))
    exported = typed("export", "text", small_journal, "--to", small_journal.parent / "out")
    assert (exported.exit_code, exported.stderr) == (0, hint.format("this journal"))
    assert path.read_text(encoding="utf-8") == broken


def test_a_journal_that_others_can_read_has_a_note_and_no_problem(typed: Typed, open_journal: Path) -> None:
    result = typed("check", open_journal)
    assert (result.exit_code, result.stdout) == (0, "No problems in 0 pages.\n")
    assert result.stderr == (
        f"Note: other users of this machine can read this journal; chmod -R go= '{open_journal}' stops that.\n"
    )
    assert subprocess.run(["chmod", "-R", "go=", str(open_journal)], check=True).returncode == 0
    assert typed("check", open_journal).stderr == ""


@pytest.mark.parametrize("kind", ["pipe", "bad bytes", "closed"])
def test_a_calendar_that_cannot_be_read_is_a_problem(typed: Typed, open_journal: Path, kind: str) -> None:
    path = open_journal / "work.ics"
    if kind == "pipe":
        os.mkfifo(path)
    else:
        path.write_bytes(b"\xff\xfe\x00BEGIN")
    with no_permission(path) if kind == "closed" else contextlib.nullcontext():
        result = typed("check", open_journal)
    expected = {"pipe": "a calendar file, got a pipe", "closed": "got no permission", "bad bytes": "BEGIN:VCALENDAR"}
    assert result.exit_code == 1
    assert result.stdout.startswith("work.ics: expected ") and expected[kind] in result.stdout
    assert result.stdout.isascii() and result.stderr.startswith("1 problem.\n")
