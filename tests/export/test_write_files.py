"""Exports are written atomically: completely or not at all."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from journal.errors import ExportError
from journal.export import write_files


@pytest.fixture
def full_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk on which fsync fails."""

    def refuse(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", refuse)


@pytest.mark.usefixtures("full_disk")
def test_a_full_disk_leaves_the_old_file_and_no_other(tmp_path: Path) -> None:
    old = tmp_path / "2025.html"
    old.write_bytes(b"the year as it was")
    with pytest.raises(ExportError, match=r"No space left on device\); the existing file is unchanged; make room"):
        write_files.put(old, b"the new one")
    assert old.read_bytes() == b"the year as it was"
    assert list(tmp_path.iterdir()) == [old]


@pytest.mark.usefixtures("full_disk")
def test_a_full_disk_leaves_no_new_file(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match="make room, or write to another disk with --to"):
        write_files.put(tmp_path / "2025.html", b"the new one")
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_the_place_of_a_folder_is_reported(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(ExportError, match="a folder and a file have the same name there"):
        write_files.put(tmp_path / "out" / "2025.html", b"")
    (tmp_path / "2025.html").mkdir()
    with pytest.raises(ExportError, match="a folder and a file have the same name there"):
        write_files.put(tmp_path / "2025.html", b"")


def test_a_folder_that_cannot_be_written_is_reported(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # root can write to any folder, so the error of the system is simulated.
    def refuse(*_: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr("journal.folder.atomic_write._new_file", refuse)
    with pytest.raises(ExportError, match=r"Permission denied\); choose another place with --to"):
        write_files.put(tmp_path / "2025.html", b"")


def test_an_error_says_how_many_files_are_written(tmp_path: Path) -> None:
    (tmp_path / "b.md").mkdir()
    with pytest.raises(ExportError, match="1 of 3 files are written"):
        write_files.put_all(tmp_path, {"a.md": b"a", "b.md": b"b", "c.md": b"c"})
    assert (tmp_path / "a.md").read_bytes() == b"a"
    assert not (tmp_path / "c.md").exists()


def test_an_unchanged_file_is_not_written_again(tmp_path: Path) -> None:
    write_files.put(tmp_path / "2025.html", b"same")
    before = (tmp_path / "2025.html").stat().st_mtime_ns
    assert not write_files.put(tmp_path / "2025.html", b"same").replaced
    assert (tmp_path / "2025.html").stat().st_mtime_ns == before
