"""Sealed files: back as they were, from this folder alone, and bounded."""

from __future__ import annotations

import os
import shutil
import time
from pathlib import Path

import pytest

from journal.folder import sealed_files

NAME, OTHER = sealed_files.name_of(b"one"), sealed_files.name_of(b"other")


def kept(folder: Path, name: str = NAME) -> bytes | None:
    return sealed_files.load(folder, "drawings", name)


def keep(folder: Path, name: str = NAME, data: bytes = b"drawn") -> Path:
    sealed_files.save(folder, "drawings", name, data)
    return folder / ".cache" / "drawings" / name


def test_what_was_kept_comes_back(tmp_path: Path) -> None:
    assert kept(tmp_path) is None
    file = keep(tmp_path)
    assert kept(tmp_path) == b"drawn" and kept(tmp_path, OTHER) is None
    assert [path.stat().st_mode & 0o777 for path in (file, file.with_name("seal"), file.parent)] == [0o600] * 2 + [
        0o700
    ]
    keep(tmp_path, data=b"again")
    assert kept(tmp_path) == b"again"
    keep(tmp_path, OTHER, bytes(sealed_files.SIZE_LIMIT))
    assert kept(tmp_path, OTHER) is None, "too large to be kept"
    keep(tmp_path / "missing")  # nothing can be kept there, and nothing is told


def test_a_file_of_another_folder_is_not_used(tmp_path: Path) -> None:
    here, there = tmp_path / "here", tmp_path / "there"
    for folder in (here, there):
        folder.mkdir()
        keep(folder, data=folder.name.encode())
    (here / ".cache/drawings" / NAME).write_bytes((there / ".cache/drawings" / NAME).read_bytes())
    assert kept(here) is None, "one file"
    shutil.rmtree(here / ".cache")
    shutil.copytree(there / ".cache", here / ".cache")
    assert kept(there) == b"there" and kept(here) is None, "all of it, with the key and its times"
    keep(here, data=b"drawn here")
    assert kept(here) == b"drawn here"


@pytest.mark.parametrize("change", ["cut", "bit", "name", "seal", "open seal", "second name", "bomb"])
def test_a_damaged_file_is_not_used(tmp_path: Path, change: str) -> None:
    file = keep(tmp_path)
    seal, data = file.with_name("seal"), file.read_bytes()
    if change == "cut":
        file.write_bytes(data[:-1])
    elif change == "bit":
        file.write_bytes(data[:-1] + bytes([data[-1] ^ 1]))
    elif change == "name":
        file.rename(file.with_name(OTHER))
    elif change == "seal":
        seal.write_bytes(b"")
    elif change == "open seal":
        seal.chmod(0o644)
    elif change == "second name":
        (tmp_path / "second").hardlink_to(seal)
    else:
        with file.open("wb") as sparse:
            sparse.truncate(1 << 40)
    assert kept(tmp_path) is None and kept(tmp_path, OTHER) is None
    keep(tmp_path)
    assert kept(tmp_path) == b"drawn"


def test_what_was_used_longest_ago_goes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sealed_files, "TOTAL_LIMIT", 10_000)
    names = [sealed_files.name_of(bytes([number])) for number in range(8)]
    now = time.time()
    for number, name in enumerate(names):
        file = keep(tmp_path, name, os.urandom(1_000))
        os.utime(file, (now - 90_000 + number,) * 2)
    mine = file.with_name("notes.txt")
    mine.write_bytes(bytes(20_000))
    assert kept(tmp_path, names[0]) is not None, "used now, although made first"
    assert now - file.with_name(names[0]).stat().st_mtime < 3_600
    for number in range(8, 12):
        keep(tmp_path, sealed_files.name_of(bytes([number])), os.urandom(1_000))
    assert [kept(tmp_path, name) is not None for name in names[:4]] == [True, False, False, False]
    total = sum(path.stat().st_size for path in file.parent.iterdir() if path != mine)
    assert total <= 10_000 and mine.exists()
