"""A page that is just arriving: nothing is told of it for some seconds, and nothing is written in its place."""

from __future__ import annotations

import datetime as dt
import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

import journal
from journal.errors import WriteError
from journal.folder import arriving, writing
from journal.pages import file_watch
from tests.cli.conftest import SETTINGS, Typed, typed
from tests.folder.journals import put

__all__ = ["typed"]

DAY = "2025-03-14"
NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A journal in which every file counts as changed just now, until `settle`."""
    monkeypatch.setattr(arriving, "SECONDS", 600.0)
    put(tmp_path, "journal.toml", SETTINGS)
    return tmp_path


@pytest.fixture
def settle(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    return lambda: monkeypatch.setattr(arriving, "SECONDS", 0.0)


def told(folder: Path) -> list[str]:
    return [problem.path for problem in journal.open(folder, today=NOW.date(), cache=False).settled_problems]


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (f"2025/{DAY}.toml", 'mood = 4\nmemory = "Sew'),
        (f"2025/{DAY}.toml", ""),
        (f"2025/{DAY}.toml.part", "moo"),
        (f"2025/{DAY} (1).toml", "mood = 4"),
        ("journal.toml", SETTINGS + "title"),
    ],
)
def test_what_is_broken_just_now_is_told_only_when_it_stays_so(
    folder: Path, settle: Callable[[], None], path: str, text: str
) -> None:
    if "(1)" in path:
        put(folder, f"2025/{DAY}.toml", "mood = 4")
    put(folder, path, text)
    seen = file_watch.seen(folder)
    assert told(folder) == []
    settle()
    assert file_watch.seen(folder) != seen, "a page that is open asks again"
    assert told(folder) == [path]
    assert file_watch.seen(folder) == file_watch.seen(folder)


def test_a_wrong_value_and_a_page_from_a_wrong_clock_are_told_at_once(folder: Path) -> None:
    put(folder, f"2025/{DAY}.toml", 'mood = "x"')
    late = put(folder, "2025/2025-03-15.toml", "mood = ")
    os.utime(late, (time.time() + 9_000, time.time() + 9_000))
    assert told(folder) == [f"2025/{DAY}.toml", "2025/2025-03-15.toml"]


def test_check_waits_for_a_page_that_is_arriving(
    folder: Path, typed: Typed, settle: Callable[[], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = put(folder, f"2025/{DAY}.toml", 'mood = 4\nmemory = "Sew')

    def rest_arrives(_seconds: float) -> None:
        path.write_text('mood = 4\nmemory = "Sewn."\n', encoding="utf-8")
        settle()

    monkeypatch.setattr(arriving, "SECONDS", 600.0)
    monkeypatch.setattr(time, "sleep", rest_arrives)
    assert typed("check", folder).exit_code == 0
    put(folder, f"2025/{DAY}.toml", 'mood = 4\nmemory = "Sew')
    assert typed("check", folder).stdout.startswith(f"2025/{DAY}.toml:2:")


def test_no_page_is_written_where_one_is_arriving(folder: Path, settle: Callable[[], None]) -> None:
    put(folder, f"2025/.{DAY}.toml.k3Jd9x", "mood = 3")
    with pytest.raises(WriteError, match="is just arriving as") as refused:
        writing.save(folder, DAY, writing.look(folder, DAY), {("mood",): 4}, now=NOW)
    assert refused.value.typed == "mood = 4"
    assert not (folder / "2025" / f"{DAY}.toml").exists()
    settle()
    writing.save(folder, DAY, writing.look(folder, DAY), {("mood",): 4}, now=NOW)
    assert (folder / "2025" / f"{DAY}.toml").read_text() == "mood = 4\n"
