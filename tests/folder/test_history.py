"""The earlier states of pages: which are kept, by whom, where, and for how long."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import pytest

from journal.folder import history, writing
from journal.folder.atomic_write import ChangedError
from journal.folder.history import of_page, replacing, states
from journal.folder.history_file import SIZE_LIMIT
from journal.folder.history_records import PageWriter
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base, PageVersions
from tests.time_limit import time_limit

DAY = "2025-03-14"
NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
SOON = NOW + dt.timedelta(minutes=1)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "2025").mkdir()
    return tmp_path


def page(folder: Path) -> Path:
    return folder / "2025" / f"{DAY}.toml"


def looked(folder: Path) -> Base:
    return PageVersions(folder).look(DAY)


def write(folder: Path, data: bytes | None, by: PageWriter = "day", now: dt.datetime = NOW) -> None:
    """Write a page as a save does."""
    with replacing(folder, looked(folder), data, now=now, by=by):
        if data is None:
            page(folder).unlink()
        else:
            page(folder).write_bytes(data)


def kept(folder: Path) -> list[tuple[str | None, bytes | None]]:
    return [(state.by, state.data) for state in states(folder, DAY, looked(folder).data)]


def test_a_version_from_elsewhere_has_the_moment_when_its_file_was_changed(folder: Path) -> None:
    page(folder).write_bytes(b"mood = 3\n")
    os.utime(page(folder), (1741950000, 1741950000))  # 2025-03-14 11:00 UTC
    write(folder, b"mood = 4\n", "evening")
    first, second = states(folder, DAY)
    assert (first.by, first.data, first.moment) == (
        "elsewhere",
        b"mood = 3\n",
        dt.datetime(2025, 3, 14, 11, tzinfo=dt.UTC),
    )
    assert (second.by, second.data, second.moment) == ("evening", b"mood = 4\n", NOW)
    os.utime(page(folder), (4e9, 4e9))  # a clock that was wrong
    page(folder).write_bytes(b"mood = 5\n")
    os.utime(page(folder), (4e9, 4e9))
    write(folder, b"mood = 1\n", "evening", SOON)
    assert [state.moment for state in states(folder, DAY)][-2:] == [SOON, SOON]


def test_the_present_state_is_the_last_even_if_no_save_has_seen_it(folder: Path) -> None:
    assert of_page(folder, looked(folder)) == []
    write(folder, b"mood = 4\n", "evening")
    assert [state.by for state in of_page(folder, looked(folder))] == ["evening"]
    page(folder).write_bytes(b"mood = 5\n")
    os.utime(page(folder), (1741993200, 1741993200))
    last = of_page(folder, looked(folder))[-1]
    assert (last.by, last.data, last.moment.timestamp()) == ("elsewhere", b"mood = 5\n", 1741993200)
    page(folder).unlink()
    assert [(state.by, state.data) for state in of_page(folder, looked(folder))] == [
        ("evening", b"mood = 4\n"),
        ("elsewhere", None),
    ]


def test_a_removed_page_is_a_state(folder: Path) -> None:
    write(folder, b"mood = 4\n", "evening")
    write(folder, None, "day")
    write(folder, b"mood = 5\n", "log")
    page(folder).unlink()  # elsewhere
    write(folder, b"mood = 1\n", "log")
    assert kept(folder) == [
        ("evening", b"mood = 4\n"), ("day", None), ("log", b"mood = 5\n"), ("elsewhere", None), ("log", b"mood = 1\n"),
    ]  # fmt: skip


def test_the_taking_back_of_a_new_page_keeps_what_it_held(folder: Path) -> None:
    (folder / "journal.toml").write_text('title = "Spine and thread"')
    files = OpenedFiles(folder)
    before = files.pages.look(DAY)
    saved = writing.save(folder, DAY, before, {("mood",): 4}, now=NOW, by="day", files=files)
    assert isinstance(saved, writing.Saved)
    writing.put_back(folder, before, saved.base, now=SOON, by="day", files=files)
    assert not page(folder).exists()
    assert kept(folder) == [("day", b"mood = 4\n"), ("day", None)]


def test_a_version_that_was_not_written_is_no_state(folder: Path) -> None:
    write(folder, b"mood = 1\n")
    with pytest.raises(ChangedError), replacing(folder, looked(folder), b"mood = 2\n", now=NOW, by="day"):
        page(folder).write_bytes(b"mood = 3\n")  # an editor was faster
        raise ChangedError
    write(folder, b"mood = 4\n")
    with pytest.raises(OSError, match="drive"), replacing(folder, looked(folder), b"mood = 5\n", now=NOW, by="day"):
        raise OSError(5, "the drive is gone")
    assert kept(folder)[-1][1] == b"mood = 4\n"
    with pytest.raises(OSError, match="drive"), replacing(folder, looked(folder), b"mood = 6\n", now=NOW, by="day"):
        page(folder).write_bytes(b"mood = 6\n")
        raise OSError(5, "the drive was slow")
    assert kept(folder)[-1] == ("day", b"mood = 6\n")
    write(folder, b"mood = 7\n", "log")
    expected = [("day", 1), ("elsewhere", 3), ("day", 4), ("day", 6), ("log", 7)]
    assert kept(folder) == [(by, b"mood = %d\n" % mood) for by, mood in expected]


def test_a_full_disk_gets_its_room_back(folder: Path) -> None:
    write(folder, b"mood = 1\n")
    size = (folder / ".history" / "2025" / f"{DAY}.txt").stat().st_size
    with pytest.raises(OSError, match="space"), replacing(folder, looked(folder), b"mood = 2\n", now=NOW, by="day"):
        raise OSError(28, "No space left on device")
    assert (folder / ".history" / "2025" / f"{DAY}.txt").stat().st_size == size
    assert kept(folder) == [("day", b"mood = 1\n")]


def test_what_is_kept_while_a_page_is_replaced_stays(folder: Path) -> None:
    write(folder, b"mood = 1\n")
    with replacing(folder, looked(folder), b"mood = 2\n", now=NOW, by="day"):
        page(folder).write_bytes(b"mood = 2\n")
        history.keep(folder, DAY, b"mood = 3\n", now=NOW, by="elsewhere")  # what came out when names were exchanged
        page(folder).write_bytes(b"mood = 4\n")
    write(folder, b"mood = 5\n")
    with pytest.raises(OSError, match="space"), replacing(folder, looked(folder), b"mood = 6\n", now=NOW, by="day"):
        history.keep(folder, DAY, b"mood = 7\n", now=NOW, by="elsewhere")
        raise OSError(28, "No space left on device")
    assert {b"mood = %d\n" % mood for mood in (1, 2, 3, 4, 5, 7)} <= {data for _, data in kept(folder)}


def test_the_history_is_for_its_owner_and_says_what_it_is(folder: Path) -> None:
    write(folder, b"mood = 4\n")
    top, text = folder / ".history", folder / ".history" / "2025" / f"{DAY}.txt"
    assert [path.stat().st_mode & 0o777 for path in (top, top / "2025", text)] == [0o700, 0o700, 0o600]
    assert "delete this folder" in (top / "README.txt").read_text()
    assert sorted(path.name for path in top.iterdir()) == ["2025", "README.txt"]  # no tag that lets backups skip it
    assert text.read_text() == (
        "\n=== 2025-03-14T22:05:00+00:00 day 9 bytes dc5c4d966eecad07d862575d45be45d3edd094a6fb30710c3abe5c0270848677\n"
        "mood = 4\n\n=== written\n"
    )
    assert history.pages(folder).keys() == {DAY}


@pytest.mark.parametrize("kind", ["file", "link", "linked year", "linked file", "second name", "pipe", "sparse"])
def test_what_lies_in_the_way_costs_the_history_and_nothing_else(folder: Path, tmp_path: Path, kind: str) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / f"{DAY}.txt").write_bytes(b"of another folder")
    top, year = folder / ".history", folder / ".history" / "2025"
    if kind == "file":
        top.write_bytes(b"")
    elif kind == "link":
        top.symlink_to(tmp_path)
    else:
        top.mkdir()
        if kind == "linked year":
            year.symlink_to(outside)
        else:
            year.mkdir()
            text = year / f"{DAY}.txt"
            if kind == "linked file":
                text.symlink_to(outside / f"{DAY}.txt")
            elif kind == "second name":
                text.hardlink_to(outside / f"{DAY}.txt")
            elif kind == "pipe":
                os.mkfifo(text)
            else:
                with text.open("wb") as file:
                    file.truncate(1 << 42)
    with time_limit(10):
        write(folder, b"mood = 4\n")
        assert kept(folder) == []
        assert not history.keep(folder, DAY, b"mood = 4\n", now=NOW, by="day")
    assert page(folder).read_bytes() == b"mood = 4\n"
    assert [path.name for path in outside.iterdir()] == [f"{DAY}.txt"]
    assert (outside / f"{DAY}.txt").read_bytes() == b"of another folder"


def test_a_history_from_elsewhere_takes_no_time(folder: Path) -> None:
    """Each of its lines names nearly all bytes of the file as the bytes of a state."""
    (folder / ".history" / "2025").mkdir(parents=True)
    line = f"\n=== 2025-03-14T22:05:00+00:00 day {SIZE_LIMIT - 200_000} bytes {'0' * 64}\n".encode()
    (folder / ".history" / "2025" / f"{DAY}.txt").write_bytes((line * (SIZE_LIMIT // len(line)))[: SIZE_LIMIT - 1000])
    with time_limit(5):
        write(folder, b"mood = 4\n")
        assert kept(folder) == [("day", b"mood = 4\n")]
