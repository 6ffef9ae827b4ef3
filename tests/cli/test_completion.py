"""What the shells complete: the words that click is asked for, and the real shells with the lines of the manual."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.shell_completion import BashComplete, CompletionItem

from journal.cli import duskbook
from journal.commands import clock
from tests.cli.conftest import PROJECT

MANUAL = (PROJECT / "journal" / "manual" / "commands.md").read_text(encoding="utf-8")
LINES = {
    shell: re.findall(rf"^.*_DUSKBOOK_COMPLETE={shell}_source duskbook.*$", MANUAL, re.MULTILINE)
    for shell in ("bash", "zsh", "fish")
}
"""The line of the manual for each shell."""


def completed(line: str, folder: Path) -> list[CompletionItem]:
    """The items behind a line; JOURNAL stands for the folder. What follows the last space is being typed."""
    *words, begun = line.split(" ")
    args = [str(folder) if word == "JOURNAL" else word for word in words]
    return BashComplete(duskbook, {}, "duskbook", "_DUSKBOOK_COMPLETE").get_completions(args, begun)


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("st", ["start"]),
        ("show stre", ["streaks"]),
        ("show mood JOURNAL --by ", ["day", "week", "month", "year", "weekday", "all"]),
        ("show rates JOURNAL --by ", ["all", "week", "month", "year"]),
        ("show --by w", ["week", "weekday"]),
        ("show mood JOURNAL --format ", ["table", "json", "csv"]),
        ("export retrospective JOURNAL --for ", ["me", "friend", "anyone"]),
        ("export retrospective JOURNAL --format p", ["pdf", "png"]),
        ("export retrospective JOURNAL --for anyone --name ", ["walk", "read", "swim"]),
        ("export retrospective JOURNAL --year 20", ["2025"]),
        ("log JOURNAL --habit ", ["walk", "read", "swim"]),
        ("log JOURNAL --mood 4 --habit s", ["swim"]),
        ("log JOURNAL --hours w", ["work"]),
        ("trial make JOURNAL --outcome ", ["mood", "energy", "sleep", "read"]),
        ("show streaks JOURNAL --from 2025-03-0", [f"2025-03-0{day}" for day in (9, 7, 6, 5, 4, 3)]),
        ("week JOURNAL --date 2025-03", ["2025-03", *(f"2025-03-{d:02d}" for d in range(16, 2, -1) if d != 8)]),
        ("show changes JOURNAL --against 2025", ["2025", "2025-03"]),
        (
            "show changes JOURNAL --against 2025-03-14..2025-03-1",
            [f"2025-03-14..2025-03-{day}" for day in (16, 15, 14)],
        ),
        ("history JOURNAL ", ["settings", "undated", "TODAY", "YESTERDAY", "2025", "2025-03"]),
        ("schema JOURNAL --page m", ["month"]),
    ],
)
def test_names_of_the_journal_and_words(small_journal: Path, line: str, expected: list[str]) -> None:
    today = clock.now().date()
    days = {"TODAY": str(today), "YESTERDAY": str(today.fromordinal(today.toordinal() - 1))}
    found = [item.value for item in completed(line, small_journal)]
    expected = [days.get(word, word) for word in expected]
    assert (found[: len(expected)] if "history" in line else found) == expected


@pytest.mark.parametrize(
    ("line", "kind"),
    [("week ", "dir"), ("start ", "dir"), ("export text JOURNAL --to ", "file"), ("import spreadsheet ", "file"),
     ("read ", "file"), ("backup ", "file"), ("log JOURNAL --picture ", "file")],
)  # fmt: skip
def test_folders_and_files_are_for_the_shell(small_journal: Path, line: str, kind: str) -> None:
    assert [item.type for item in completed(line, small_journal)] == [kind]


def test_a_name_has_its_meaning_beside_it(small_journal: Path) -> None:
    assert [(item.value, item.help) for item in completed("log JOURNAL --habit w", small_journal)] == [("walk", "Walk")]


def test_a_name_that_a_shell_would_run_is_not_offered(small_journal: Path) -> None:
    settings = small_journal / "journal.toml"
    keys = ("$(touch x)", "two words", "a;b", "`x`", "*", "b\\nplain,c")
    more = "".join(
        f'[[habits]]\nkey = "{key}"\nname = "\\u001b[2J"\nevery = "FREQ=DAILY"\nfrom = 2025-03-01\n' for key in keys
    )
    settings.write_text(settings.read_text(encoding="utf-8") + more, encoding="utf-8")
    assert [item.value for item in completed("log JOURNAL --habit ", small_journal)] == ["walk", "read", "swim"]


def test_nothing_is_written_and_nothing_told(small_journal: Path, capfd: pytest.CaptureFixture[str]) -> None:
    before = sorted(small_journal.rglob("*"))
    for line in ("log JOURNAL --habit ", "week JOURNAL --date ", "history JOURNAL "):
        assert completed(line, small_journal)
    assert sorted(small_journal.rglob("*")) == before
    (small_journal / "journal.toml").unlink()
    assert completed("log JOURNAL --habit ", small_journal) == []
    assert completed("week JOURNAL --date 2025", small_journal) == []
    assert capfd.readouterr() == ("", "")


# The shells themselves ----------------------------------------------------------------------------------------

Shell = Callable[[str, str], list[str]]


@pytest.fixture
def home(tmp_path: Path, small_journal: Path) -> Path:
    """A home folder with the command in its path, and the journal as `small`."""
    command = tmp_path / "bin" / "duskbook"
    command.parent.mkdir()
    command.write_text(f'#!/bin/sh\nPYTHONPATH="{PROJECT}" exec "{sys.executable}" -m journal "$@"\n', encoding="utf-8")
    command.chmod(0o755)
    (tmp_path / ".config" / "fish" / "completions").mkdir(parents=True)
    return tmp_path


def told(home: Path, shell: str, script: str) -> list[str]:
    """What a shell prints that has run the line of the manual, and then a script."""
    environment = {"HOME": str(home), "PATH": f"{home / 'bin'}:/usr/bin:/bin", "LANG": "C.UTF-8", "TERM": "dumb"}
    (line,) = LINES[shell]
    for lines in (line, script):
        run = subprocess.run(
            [shell, *(["-f"] if shell == "zsh" else []), "-c", lines], cwd=home, env=environment, text=True,
            capture_output=True, check=False, timeout=60,
        )  # fmt: skip
        assert (run.returncode, run.stderr) == (0, ""), run.stderr
    return run.stdout.split("\n")[:-1]


def needs(shell: str) -> pytest.MarkDecorator:
    return pytest.mark.skipif(shutil.which(shell) is None, reason=f"{shell} is not installed")


@pytest.mark.skipif(os.name != "posix", reason="the shells are those of Unix")
@needs("bash")
def test_bash(home: Path) -> None:
    script = """source ~/.bashrc
complete -p duskbook >/dev/null
COMP_WORDS=(duskbook log small --habit ''); COMP_CWORD=4
_duskbook_completion duskbook; printf '%s\\n' "${COMPREPLY[@]}"
COMPREPLY=(); COMP_WORDS=(duskbook ev); COMP_CWORD=1
_duskbook_completion duskbook; printf '%s\\n' "${COMPREPLY[@]}"
"""
    assert told(home, "bash", script) == ["walk", "read", "swim", "evening"]


@needs("zsh")
def test_zsh(home: Path) -> None:
    # compadd and _describe only work while a line is typed, so these two show what they would offer.
    script = """autoload -Uz compinit; compinit -u -D; source ~/.zshrc
(( $+_comps[duskbook] )) || print none
_describe() { print -l -- ${(P)3} }
compadd() { print -l -- ${(P)argv[-1]} }
words=(duskbook log small --habit ''); CURRENT=5; _duskbook_completion
words=(duskbook show mood small --by w); CURRENT=6; _duskbook_completion
"""
    assert told(home, "zsh", script) == ["walk:Walk", "read:Read", "swim:Swim", "week", "weekday"]


@needs("fish")
def test_fish(home: Path) -> None:
    script = 'complete -C "duskbook log small --habit "; complete -C "duskbook ev"'
    assert [line.split("\t")[0] for line in told(home, "fish", script)] == ["read", "swim", "walk", "evening"]
