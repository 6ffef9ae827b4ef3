"""Fixtures that run a command line, in this process or as a program of its own, and a small journal."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from journal.cli import duskbook
from journal.folder import arriving
from tests.journals import HOME

PROJECT = Path(__file__).parents[2]

Typed = Callable[..., Result]


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Typed:
    """Run a command line in this process. `answers` is the text typed when it asks."""
    monkeypatch.delenv("DUSKBOOK_FOLDER", raising=False)
    monkeypatch.delenv("DUSKBOOK_TRACEBACK", raising=False)
    monkeypatch.delenv("LANGUAGE", raising=False)
    monkeypatch.setenv("LC_ALL", "C.UTF-8")  # `start` takes the language of the system
    monkeypatch.setattr(arriving, "SECONDS", 0.0)  # tests of `check` write a broken page just before

    def run(*arguments: str | Path, answers: str | None = None) -> Result:
        return CliRunner().invoke(duskbook, [str(part) for part in arguments], input=answers, prog_name="duskbook")

    return run


def program(*arguments: str | Path, cwd: Path = PROJECT, **more: str) -> subprocess.CompletedProcess[str]:
    """Run the command as a program of its own, without a terminal."""
    return subprocess.run(
        [sys.executable, "-m", "journal", *map(str, arguments)],
        cwd=cwd,
        env=os.environ | {"PYTHONPATH": str(PROJECT)} | more,
        capture_output=True,
        text=True,
        encoding="utf-8",
        stdin=subprocess.DEVNULL,
        check=False,
        timeout=60,
    )


@pytest.fixture
def small_journal(tmp_path: Path) -> Path:
    """Two weeks in March 2025: a daily habit, a counted one, a quota, one missing page, one page with a plan only."""
    folder = tmp_path / "small"
    pages = folder / "2025"
    pages.mkdir(parents=True)
    (folder / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    for day in (d for d in range(3, 17) if d not in (8, 16)):
        (pages / f"2025-03-{day:02d}.toml").write_text(
            f'mood = {1 + day % 5}\ngratitude = ["=SUM(A1) on the {day}th"]\n'
            f"[habits]\nwalk = {'false' if day == 6 else 'true'}\nread = {day * 3}\n"
            f"swim = {'true' if day % 2 == 0 else 'false'}\n",
            encoding="utf-8",
        )
    (pages / "2025-03-16.toml").write_text('notes = ["Only planned."]\n', encoding="utf-8")
    return folder


SETTINGS = f"""\
title = "Small"

{HOME}
[[habits]]
key = "walk"
name = "Walk"
every = "FREQ=DAILY"
from = 2025-03-03

[[habits]]
key = "read"
name = "Read"
every = "FREQ=DAILY"
from = 2025-03-03
target = 20
unit = "pages"

[[habits]]
key = "swim"
name = "Swim"
times = 3
per = "week"
from = 2025-03-03
"""
