"""Dismissed boxes: kept in the cache, and no failure if the cache is missing, broken, foreign or read-only."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from journal.folder import dismissed_boxes

DAY = dt.date(2026, 1, 1)


def test_it_is_private_and_the_only_file_in_the_cache(tmp_path: Path) -> None:
    assert dismissed_boxes.read(tmp_path) == {}
    assert dismissed_boxes.add(tmp_path, {"mood": DAY})
    assert dismissed_boxes.add(tmp_path, {"sleep": DAY, "mood": DAY + dt.timedelta(days=40)})
    assert dismissed_boxes.read(tmp_path) == {"mood": dt.date(2026, 2, 10), "sleep": DAY}
    assert [path.name for path in tmp_path.iterdir()] == [".cache"]
    assert (tmp_path / ".cache" / dismissed_boxes.NAME).stat().st_mode & 0o077 == 0
    assert sorted(path.name for path in (tmp_path / ".cache").iterdir()) == ["CACHEDIR.TAG", dismissed_boxes.NAME]


@pytest.mark.parametrize("content", [b"", b"{", b"[1]", b'{"mood": "soon"}', b'{"mood": 3}', b"\xff"])
def test_an_invalid_file_counts_as_empty_and_is_replaced(tmp_path: Path, content: bytes) -> None:
    (tmp_path / ".cache").mkdir()
    (tmp_path / ".cache" / dismissed_boxes.NAME).write_bytes(content)
    assert dismissed_boxes.read(tmp_path) == {}
    assert dismissed_boxes.add(tmp_path, {"mood": DAY})
    assert dismissed_boxes.read(tmp_path) == {"mood": DAY}


def test_an_unwritable_cache_is_reported(tmp_path: Path) -> None:
    (tmp_path / "taken").mkdir()
    (tmp_path / "taken" / ".cache").write_text("a file in its place")
    assert not dismissed_boxes.add(tmp_path / "taken", {"mood": DAY})
    (tmp_path / "linked").mkdir()
    (tmp_path / "linked" / ".cache").symlink_to(tmp_path)
    assert not dismissed_boxes.add(tmp_path / "linked", {"mood": DAY})
    assert not (tmp_path / dismissed_boxes.NAME).exists()
