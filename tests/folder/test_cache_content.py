"""Foreign things in `.cache`: the commands do as if they were not there, and touch nothing outside."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from journal.cli import duskbook
from journal.folder import dismissed_boxes, history
from tests.time_limit import time_limit


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    folder = tmp_path / "journal"
    (folder / "2025").mkdir(parents=True)
    (folder / "journal.toml").write_text('title = "Spine and thread"\n')
    (folder / "2025" / "2025-03-14.toml").write_text("mood = 4\n")
    (folder / ".cache").mkdir()
    return folder


def command(*arguments: str | Path) -> int:
    return CliRunner().invoke(duskbook, [str(part) for part in arguments]).exit_code


def other_journal(folder: Path) -> Path:
    folder.mkdir()
    for number in range(222):
        day = dt.date(2024, 1, 1) + dt.timedelta(days=number)
        (folder / f"{day}.toml").write_text("mood = 3\n")
    return folder


def test_log_deletes_nothing_of_a_journal_that_the_folder_of_copies_links_to(journal: Path, tmp_path: Path) -> None:
    other = other_journal(tmp_path / "other")
    before = sorted(other.iterdir())
    (journal / ".cache" / "before").symlink_to(other)
    assert command("log", journal, "--date", "2025-03-14", "--note", "Bread.") == 0
    assert sorted(other.iterdir()) == before
    assert "Bread." in (journal / "2025" / "2025-03-14.toml").read_text()


def test_copies_of_an_earlier_version_stay_and_count_as_states(journal: Path) -> None:
    other = other_journal(journal / ".cache" / "before")
    (other / "2025-03-13T22-05-00-000000 2025-03-14.toml").write_text("mood = 2\n")
    before = {path.name for path in other.iterdir()}
    assert command("log", journal, "--date", "2025-03-14", "--note", "Bread.") == 0
    assert {path.name for path in other.iterdir()} == before
    states = history.states(journal, "2025-03-14")
    assert [(state.by, state.data) for state in states[:2]] == [(None, b"mood = 2\n"), ("elsewhere", b"mood = 4\n")]


@pytest.mark.parametrize("name", ["snapshot", "closed.json", "CACHEDIR.TAG", "lock", "before"])
@pytest.mark.parametrize("kind", ["pipe", "device", "sparse"])
def test_what_is_no_plain_file_neither_hangs_nor_fills_the_memory(journal: Path, name: str, kind: str) -> None:
    path = journal / ".cache" / name
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "device":
        path.symlink_to("/dev/zero")
    else:
        with path.open("wb") as file:
            file.truncate(1 << 42)
    with time_limit(10):
        assert dismissed_boxes.read(journal) == {}
        assert command("log", journal, "--date", "2025-03-14", "--note", "Bread.") == 0
        assert command("show", "mood", journal) == 0
