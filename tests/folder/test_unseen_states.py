"""What an editor writes is kept when it is first seen, with the moment of its file, and never twice."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import pytest

from journal.folder import history, locking, unseen_states, writing
from journal.folder.opened_files import OpenedFiles
from journal.pages import page_params
from tests.journals import HOME

DAY = "2025-03-14"
PAGE = f"2025/{DAY}.toml"
NOW = dt.datetime(2026, 1, 1, 20, 5, tzinfo=dt.UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "2025").mkdir()
    (tmp_path / "journal.toml").write_text(f'title = "Spine"\n{HOME}', encoding="utf-8")
    writing.save(tmp_path, DAY, writing.look(tmp_path, DAY), {("mood",): 3}, now=NOW, by="evening")
    return tmp_path


def edit(folder: Path, text: str, minutes: int, path: str = PAGE) -> None:
    """Write a page in an editor, some minutes after the save."""
    (folder / path).write_text(text, encoding="utf-8")
    at = (NOW + dt.timedelta(minutes=minutes)).timestamp()
    os.utime(folder / path, (at, at))


def kept(folder: Path, key: str = DAY) -> list[tuple[str | None, bytes | None, int]]:
    """Each state: who wrote it, its text, and the minutes after the save."""
    states = history.states(folder, key)
    return [(state.by, state.data, round((state.moment - NOW).total_seconds() / 60)) for state in states]


def opened(folder: Path, minutes: int) -> None:
    page_params.opened(folder, NOW + dt.timedelta(minutes=minutes))


def test_every_version_that_a_page_has_seen_is_kept_with_the_moment_of_its_file(folder: Path) -> None:
    opened(folder, 1)
    assert kept(folder) == [("evening", b"mood = 3\n", 0)], "a save of Duskbook is kept already"
    edit(folder, "mood = 4\n", 10)
    opened(folder, 20)
    opened(folder, 21)
    edit(folder, "mood = 5\n", 30)
    opened(folder, 40)
    assert kept(folder)[1:] == [("elsewhere", b"mood = 4\n", 10), ("elsewhere", b"mood = 5\n", 30)]


def test_a_file_older_than_the_last_state_has_the_moment_when_it_was_seen(folder: Path) -> None:
    opened(folder, 1)
    edit(folder, "mood = 4\n", -10_000)
    opened(folder, 20)
    assert kept(folder)[1:] == [("elsewhere", b"mood = 4\n", 20)]


def test_what_may_still_be_written_is_not_kept(folder: Path) -> None:
    for text in ("", "\n", "mood = \n", "# nothing yet\n"):
        edit(folder, text, 10)
        opened(folder, 20)
    (folder / PAGE).unlink()
    opened(folder, 30)
    assert len(kept(folder)) == 1


def test_a_new_page_is_kept_when_it_comes_and_a_journal_kept_by_hand_is_not(folder: Path) -> None:
    edit(folder, "mood = 1\n", -500, "2025/2025-03-10.toml")
    opened(folder, 1)  # the first time: nothing says what is new
    assert kept(folder, "2025-03-10") == []
    edit(folder, "mood = 2\n", 5, "2025/2025-03-11.toml")
    opened(folder, 10)
    assert kept(folder, "2025-03-11") == [("elsewhere", b"mood = 2\n", 5)]
    assert unseen_states.keep_all(OpenedFiles(folder), now=NOW) == []


def test_the_settings_are_kept_as_pages_are(folder: Path) -> None:
    text = (folder / "journal.toml").read_text(encoding="utf-8")
    writing.save(folder, "settings", writing.look(folder, "settings"), {("clock",): 12}, now=NOW, by="settings")
    edit(folder, text.replace("Spine", "Thread"), 10, "journal.toml")
    opened(folder, 20)
    assert [(by, minutes) for by, _, minutes in kept(folder, "settings")][-1] == ("elsewhere", 10)


def test_before_a_backup_every_page_with_a_history_is_looked_at(folder: Path) -> None:
    edit(folder, "mood = 4\n", 10)
    later = NOW + dt.timedelta(minutes=20)
    assert unseen_states.keep_all(OpenedFiles(folder), now=later) == [DAY]
    assert unseen_states.keep_all(OpenedFiles(folder), now=later) == []
    assert kept(folder)[1:] == [("elsewhere", b"mood = 4\n", 10)]


def test_nothing_waits_or_fails_where_no_state_can_be_kept(folder: Path) -> None:
    edit(folder, "mood = 4\n", 10)
    with locking.write_lock(folder):
        assert unseen_states.keep_all(OpenedFiles(folder), now=NOW) == []
    assert len(kept(folder)) == 1
    place = folder / ".history" / "2025"
    place.chmod(0o500)
    (place / f"{DAY}.txt").chmod(0o400)
    unseen_states.keep_all(OpenedFiles(folder), now=NOW)
    opened(folder, 20)


def test_nothing_is_written_to_a_journal_of_a_other_format(folder: Path) -> None:
    edit(folder, "mood = 4\n", 10)
    text = (folder / "journal.toml").read_text(encoding="utf-8")
    (folder / "journal.toml").write_text(f"format = 99\n{text}", encoding="utf-8")
    assert unseen_states.keep_all(OpenedFiles(folder), now=NOW) == []
    assert len(kept(folder)) == 1
