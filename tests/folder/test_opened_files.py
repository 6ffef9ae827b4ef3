"""The files of a request: one version of each during the request, and changed files read again when it is reopened."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from polars.testing import assert_frame_equal

import journal
from journal.errors import FolderError
from journal.folder.page_versions import Base, PageVersions
from journal.settings import Settings
from tests.file_reads import counted, rested
from tests.folder.journals import put
from tests.journals import write

DAY = dt.date(2025, 3, 14)
KEY, PAGE = "2025-03-14", "2025/2025-03-14.toml"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    walk = {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": DAY}
    return rested(write(tmp_path, {DAY: {"mood": 3}}, habits=[walk]))


def test_look_keeps_the_first_version_and_current_reads_the_file(folder: Path) -> None:
    versions = PageVersions(folder)
    assert versions.look(KEY).values == {"mood": 3}
    put(folder, PAGE, "mood = 4\n")
    assert versions.look(KEY).values == {"mood": 3}
    assert versions.current(KEY).values == {"mood": 4}


def test_versions_with_the_same_bytes_are_one_object(folder: Path) -> None:
    versions = PageVersions(folder)
    with counted(folder) as reads:
        base = versions.look(KEY)
        assert versions.same(Base(KEY, PAGE, b"mood = 3\n")) is versions.same(Base(KEY, PAGE, b"mood = 3\n"))
        assert versions.same(Base(KEY, PAGE, base.data)) is base
        assert base.values is base.values
    assert (reads.opened.total(), reads.parsed.total()) == (1, 1)


def test_a_deleted_page_is_missing_after_reopening(folder: Path) -> None:
    before = journal.open(folder, today=DAY, cache=False)
    assert before.files.pages.look(KEY).values == {"mood": 3}
    (folder / PAGE).unlink()
    after = journal.open(folder, today=DAY, cache=False, files=before.files)
    assert after.files.pages.look(KEY).data is None
    assert before.files.pages.look(KEY).values == {"mood": 3}, "what was opened before stays as it was"
    assert not after.tables.days.filter("written").height


@pytest.mark.parametrize("cache", [True, False])
def test_reopening_gives_the_same_as_opening(folder: Path, cache: bool) -> None:
    put(folder, "2025/2025-03-13.toml", "[habits]\nswim = true\n")
    rested(folder)
    book = journal.open(folder, today=DAY, cache=cache)
    with counted(folder) as reads:
        book = journal.open(folder, today=DAY, cache=cache, files=book.files)
    assert not reads.opened
    assert [problem.path for problem in book.problems] == ["2025/2025-03-13.toml"]
    put(folder, PAGE, "[habits]\nwalk = true\nswim = true\n")
    put(folder, "undated.toml", '[[tasks]]\ntitle = "Fold"\n')
    settings = (folder / "journal.toml").read_text(encoding="utf-8")
    for written in (settings, settings.replace('"walk"', '"swim"'), settings.replace('title = "A test"', "title")):
        put(folder, "journal.toml", written)
        again = journal.open(folder, today=DAY, cache=cache, files=book.files)
        anew = journal.open(folder, today=DAY, cache=False)
        assert (again.settings, again.undated, again.problems) == (anew.settings, anew.undated, anew.problems)
        for name in ("days", "marks", "tasks", "lines"):
            assert_frame_equal(getattr(again.tables, name), getattr(anew.tables, name))


def test_a_broken_link_is_not_a_missing_page(folder: Path) -> None:
    versions = PageVersions(folder)
    assert versions.look("2025-03-20").data is None
    (folder / "2025" / "2025-03-20.toml").symlink_to(folder / "nowhere.toml")
    with pytest.raises(FolderError, match="cannot be read"):
        versions.current("2025-03-20")


def test_today_follows_from_the_settings(folder: Path) -> None:
    asked: list[str] = []

    def today(settings: Settings) -> dt.date:
        asked.append(settings.title)
        return DAY

    assert journal.open(folder, today=today).today == DAY
    assert asked == ["A test"]
