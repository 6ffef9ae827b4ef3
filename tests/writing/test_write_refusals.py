"""What could not be read again is not written: a page that is too large, and a journal of a newer format."""

from __future__ import annotations

import datetime as dt
import hashlib
from pathlib import Path
from typing import Any

import pytest

import journal
from journal.errors import WriteError
from journal.evening import form_build, save_evening
from journal.folder import mending, reading, writing
from journal.folder.opened_files import OpenedFiles
from journal.folder.writing import Saved
from tests.cli.conftest import SETTINGS, Typed, typed

__all__ = ["typed"]

DAY = "2025-03-14"
NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
KNOWS = "this Duskbook knows format 1: it reads what it can and saves nothing"
NEWER = f"journal has format 2, and {KNOWS}; get a newer one"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    (tmp_path / "2025").mkdir()
    (tmp_path / "2025" / f"{DAY}.toml").write_text("mood = 3\n", encoding="utf-8")
    return tmp_path


def of_other_format(folder: Path) -> Path:
    (folder / "journal.toml").write_text(f'format = 2\nfuture = "x"\n{SETTINGS}', encoding="utf-8")
    return folder


def state(folder: Path) -> dict[str, str]:
    """The bytes of all files but the cache."""
    files = (path for path in folder.rglob("*") if path.is_file() and ".cache" not in path.parts)
    return {str(path): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def test_a_page_that_would_not_be_read_again_is_not_written(folder: Path, typed: Typed) -> None:
    before, text = state(folder), "x" * 249_990
    result = typed("log", folder, "--date", DAY, "--note", text)
    assert result.exit_code == 2
    assert (
        f'"2025/{DAY}.toml" would have 250,012 bytes, and one of more than 250,000 is not read; '
        "shorten it, or keep the longest texts in a file of their own"
    ) in result.stderr
    assert state(folder) == before


def test_a_journal_of_a_other_format_is_read_and_never_written(folder: Path, typed: Typed) -> None:
    base = writing.look(folder, DAY)
    after = writing.save(folder, DAY, base, {("mood",): 4}, now=NOW)
    assert isinstance(after, Saved)
    of_other_format(folder)
    before, files = state(folder), OpenedFiles(folder)
    book = journal.open(folder, today=NOW.date(), cache=False)
    assert book.read_only == f"This {NEWER}."
    assert book.tables.days.filter(book.tables.days["written"])["mood"].to_list() == [4.0]

    refusals: tuple[tuple[str, dict[tuple[str, ...], Any]], ...] = (
        (DAY, {("mood",): 5}),
        ("settings", {("title",): "Other"}),
        ("2025-W11", {("notes",): ["x"]}),
    )
    for key, changes in refusals:
        with pytest.raises(WriteError, match=NEWER) as refused:
            writing.save(folder, key, writing.look(folder, key), changes, now=NOW)
        assert refused.value.typed
    with pytest.raises(WriteError, match=NEWER):
        writing.put_back(folder, base, after.base, now=NOW, files=files)
    offered = form_build.offer(book, NOW.date())
    answer = save_evening.save(book, {"base": offered.base, "day": offered.day, "mood": 5}, now=NOW)
    assert not answer.saved
    assert [problem.message for problem in answer.problems] == [f"this {NEWER}."]

    result = typed("log", folder, "--date", DAY, "--note", "kept text")
    assert result.exit_code == 2
    assert f"duskbook: this {NEWER}" in result.stderr
    assert f"duskbook: this {NEWER}" in typed("show", "mood", folder).stderr
    assert "journal.toml:1:10: format: expected format 1, got 2; get a newer " in typed("check", folder).stdout
    assert state(folder) == before


def test_broken_lines_of_a_newer_journal_toml_are_not_mended(folder: Path) -> None:
    path = of_other_format(folder) / "journal.toml"
    path.write_text(f"{path.read_text(encoding='utf-8')}\nclock = \n", encoding="utf-8")
    before, basis = state(folder), reading.read_settings(folder)
    assert basis.other_format == 2
    with pytest.raises(WriteError, match=NEWER):
        mending.mend(folder, basis.base, basis.broken[0], "", now=NOW)
    assert state(folder) == before


def test_an_older_or_wrong_format_is_a_problem_and_no_lock(folder: Path) -> None:
    (folder / "journal.toml").write_text(f"format = 0\n{SETTINGS}", encoding="utf-8")
    assert journal.open(folder, today=NOW.date(), cache=False).read_only == ""
    assert isinstance(writing.save(folder, DAY, writing.look(folder, DAY), {("mood",): 5}, now=NOW), Saved)
