"""No text of a journal, of a file's name or of an argument controls the terminal: each command on a real one."""

from __future__ import annotations

import contextlib
import datetime as dt
import io
import json
import os
import pty
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from journal.cli import duskbook
from journal.commands import terminal
from journal.commands.show_catalogue import MEASURES
from tests.cli.conftest import PROJECT, Typed, program
from tests.journals import HOME, write

EVIL = "\x07\x1b]0;owned\x07\x1b[2J\x9b31m\x9d2\x9c\u202ednuor\u2066\u200b\u2028\x7f\r\x00"
NO_NUL = EVIL[:-1]
ESCAPED = "".join(f"\\u{ord(sign):04x}" for sign in EVIL[:-1])  # as TOML has them

SETTINGS = f"""\
title = "T{ESCAPED}"
{HOME}
mood = {{low = 1, high = 5, words = ["a{ESCAPED}", "b", "c", "d", "e"]}}
[[categories]]
key = "sleep"
name = "Sleep{ESCAPED}"
sleep = true
[[categories]]
key = "work"
name = "Work{ESCAPED}"
work = true
[[habits]]
key = "walk"
name = "Walk{ESCAPED}"
every = "FREQ=DAILY"
from = 2025-03-01
[[habits]]
key = "read"
name = "Read{ESCAPED}"
every = "FREQ=DAILY"
from = 2025-03-01
target = 3
unit = "pages{ESCAPED}"
[[challenges]]
key = "letters"
name = "Letters{ESCAPED}"
from = 2025-03-01
until = 2025-03-31
"""

PAGE = f"""\
mood = 4
gratitude = ["Bread{ESCAPED}"]
memory = "Sewn{ESCAPED}"
notes = ["Glue{ESCAPED}"]
"odd{ESCAPED}" = 1
[weather]
sky = "clear{ESCAPED}"
[habits]
walk = true
read = 4
"foreign{ESCAPED}" = true
[hours.actual]
sleep = ["00:00-06:00"]
work = ["09:00-10:00"]
[[appointments]]
title = "Merchant{ESCAPED}"
start = "08:30"
[[tasks]]
title = "Quote{ESCAPED}"
status = "done"
id = "t7k2"
"""


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile") / f"j{NO_NUL}"
    (folder / "2025").mkdir(parents=True)
    (folder / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    for day in range(10, 15):
        (folder / "2025" / f"2025-03-{day}.toml").write_text(PAGE, encoding="utf-8")
    (folder / "2025" / f"2025-03-15{NO_NUL}.toml").write_text("")
    (folder / f"work{NO_NUL}.ics").write_text("BEGIN:NOTHING\x1b[2J")
    return folder


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> Callable[..., str]:
    """Run a command in this process. Returns what it prints on a terminal, standard error included."""
    monkeypatch.delenv("DUSKBOOK_FOLDER", raising=False)

    def run(*arguments: str | Path) -> str:
        screen = Terminal(newline="")
        with monkeypatch.context() as patch:
            patch.setattr(sys, "stdout", screen)
            patch.setattr(sys, "stderr", screen)
            with pytest.raises(SystemExit):
                duskbook([str(part) for part in arguments], prog_name="duskbook")
        return screen.getvalue()

    return run


def printed_by(command: list[str]) -> str:
    """What a program prints on a real terminal."""
    ours, theirs = pty.openpty()
    environment = os.environ | {"PYTHONPATH": str(PROJECT), "TERM": "xterm"}
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, cwd=PROJECT, env=environment) as process:
        os.close(theirs)
        printed = b""
        with contextlib.suppress(OSError):  # the other end is closed
            while part := os.read(ours, 65536):
                printed += part
        process.wait(60)
    os.close(ours)
    return printed.decode("utf-8", "surrogateescape")


def controls(printed: str) -> list[str]:
    """The characters of an output that control a terminal, without the ends of lines and our own line of progress."""
    plain = printed.replace("\r\n", "\n").replace("\r\x1b[K", "")
    return sorted({sign for sign in plain if terminal.escaped(sign) != sign})


def test_commands_on_a_terminal(on_a_terminal: Callable[..., str], hostile: Path, tmp_path: Path) -> None:
    table = tmp_path / f"t{NO_NUL}.csv"
    table.write_text(f"date,mood,note,x{NO_NUL}\n2025-03-14,3,n{NO_NUL},y{NO_NUL}\n2025-03-99,z{NO_NUL},,\n", "utf-8")
    calls: list[tuple[str | Path, ...]] = [
        ("check", hostile),
        ("show", "lines", hostile, "--format", "csv"),
        ("show", "lines", hostile, "--format", "json"),
        ("log", hostile, "--date", "2025-03-14", "--note", f"n{NO_NUL}", "--habit", "walk", "--add-task", NO_NUL),
        ("import", "spreadsheet", table, hostile, "--dry-run"),
        ("export", "text", hostile, "--to", tmp_path / f"text{NO_NUL}"),
        ("start", tmp_path / f"new{NO_NUL}", "--yes"),
        (f"no such{NO_NUL}",),
        ("show", "mood", hostile, f"--no{NO_NUL}"),
    ]
    for call in calls:
        printed = on_a_terminal(*call)
        assert "\\x1b" in printed or "\\u001b" in printed, call
        assert controls(printed) == [], call


def test_a_command_on_a_real_terminal(hostile: Path) -> None:
    command = [sys.executable, "-m", "journal", "show", "lines", str(hostile), "--format", "csv"]
    printed = printed_by(command)
    assert "Sewn\\x07\\x1b]0;owned" in printed
    assert controls(printed) == []


@pytest.mark.parametrize("form", ["table", "json"])
def test_tables_and_json_have_no_control_characters_anywhere(typed: Typed, hostile: Path, form: str) -> None:
    for measure in MEASURES:
        result = typed("show", measure, hostile, "--today", "2025-03-14", "--format", form)
        if result.exit_code == 0:
            assert controls(result.stdout) == [], measure
        assert controls(result.stderr) == [], measure


def test_messages_have_none_in_a_pipe_either(typed: Typed, hostile: Path, tmp_path: Path) -> None:
    for call in (
        ("check", hostile),
        ("check", tmp_path / f"none{NO_NUL}"),
        ("show", f"x{NO_NUL}", hostile),
        ("show", "mood", hostile, "--from", f"x{NO_NUL}"),
        ("show", "mood", hostile, f"--x{NO_NUL}", "1"),
        (f"x{NO_NUL}",),
        ("log", hostile, "--habit", f"x{NO_NUL}"),
        ("log", hostile, "--mood", f"x{NO_NUL}"),
        ("log", hostile, "--task", f"x{NO_NUL}=done"),
        ("log", hostile, "--hours", f"x{NO_NUL}=09:00"),
        ("export", f"x{NO_NUL}"),
        ("import", f"x{NO_NUL}"),
        ("import", "spreadsheet", tmp_path / f"x{NO_NUL}", hostile),
        ("evening", hostile, "--port", f"x{NO_NUL}"),
        ("export", "text", hostile, "--to", tmp_path / f"text{NO_NUL}"),
    ):
        result = typed(*call)
        assert result.output.strip(), call
        assert controls(result.output) == [], call


def test_data_in_a_file_is_that_of_the_page(typed: Typed, hostile: Path) -> None:
    lines = {
        form: typed("show", "lines", hostile, "--today", "2025-03-14", "--format", form).stdout
        for form in ("json", "csv")
    }
    text = f"Sewn{NO_NUL}"
    assert text in [row["text"] for row in json.loads(lines["json"])]
    assert text in lines["csv"]


def test_a_traceback_has_none() -> None:
    script = f"from journal.commands import terminal; terminal.guard(); raise ValueError({NO_NUL!r})"
    printed = printed_by([sys.executable, "-c", script])
    assert "ValueError: \\x07" in printed
    assert controls(printed) == []


def test_a_long_key_is_cut(typed: Typed, tmp_path: Path) -> None:
    key = "k" * 240_000
    (tmp_path / "journal.toml").write_text(f'title = "T"\n{HOME}')
    for text in (
        f"{key} = 1\n",
        f"[habits]\n{key} = true\n",
        f"[hours.actual]\n{key} = []\n",
        f"[[tasks]]\n{key} = 1\n",
    ):
        (tmp_path / "2025-03-14.toml").write_text(text)
        result = typed("check", tmp_path)
        assert result.exit_code == 1
        assert len(result.stdout) < 1_000, text[:30]


@pytest.mark.parametrize("encoding", ["cp1252", "cp437", "ascii"])
def test_data_in_a_pipe_is_utf_8_whatever_the_encoding_of_the_system(tmp_path: Path, encoding: str) -> None:
    """Windows gives a pipe an old code page, and JSON with its escapes is no JSON."""
    folder = write(tmp_path, {dt.date(2025, 3, 14): {"memory": "Café, č, 散歩 and \x9b"}})
    asked = ("show", "lines", folder, "--today", "2025-03-14", "--format")
    answer = program(*asked, "json", PYTHONIOENCODING=encoding)
    assert answer.returncode == 0, answer.stderr
    assert json.loads(answer.stdout)[0]["text"] == "Café, č, 散歩 and \x9b"
    if encoding == "cp1252":
        assert "Café, č, 散歩" in program(*asked, "csv", PYTHONIOENCODING=encoding).stdout


def test_signs_that_an_old_code_page_lacks_are_plain_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("stdout", "stderr"):
        monkeypatch.setattr(sys, name, io.TextIOWrapper(io.BytesIO(), encoding="cp437"))
    terminal.escape_unencodable()
    print("“Café” – 2 × 3…, č; „Tee“")
    sys.stdout.flush()
    assert sys.stdout.buffer.getvalue().decode("cp437") == '"Café" - 2 x 3..., \\u010d; "Tee"\n'  # type: ignore[union-attr]
