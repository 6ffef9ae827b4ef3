"""Which boxes were closed: kept in the cache, and nothing lost where it is gone, broken, foreign or read-only."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from journal.folder import dismissed_boxes

DAY = dt.date(2026, 1, 1)


def test_it_is_kept_for_its_owner_alone_beside_nothing_else(tmp_path: Path) -> None:
    assert dismissed_boxes.read(tmp_path) == {}
    assert dismissed_boxes.add(tmp_path, {"mood": DAY})
    assert dismissed_boxes.add(tmp_path, {"sleep": DAY, "mood": DAY + dt.timedelta(days=40)})
    assert dismissed_boxes.read(tmp_path) == {"mood": dt.date(2026, 2, 10), "sleep": DAY}
    assert [path.name for path in tmp_path.iterdir()] == [".cache"]
    assert (tmp_path / ".cache" / dismissed_boxes.NAME).stat().st_mode & 0o077 == 0
    assert sorted(path.name for path in (tmp_path / ".cache").iterdir()) == ["CACHEDIR.TAG", dismissed_boxes.NAME]


@pytest.mark.parametrize("content", [b"", b"{", b"[1]", b'{"mood": "soon"}', b'{"mood": 3}', b"\xff"])
def test_a_file_that_is_none_of_ours_closes_nothing_and_is_replaced(tmp_path: Path, content: bytes) -> None:
    (tmp_path / ".cache").mkdir()
    (tmp_path / ".cache" / dismissed_boxes.NAME).write_bytes(content)
    assert dismissed_boxes.read(tmp_path) == {}
    assert dismissed_boxes.add(tmp_path, {"mood": DAY})
    assert dismissed_boxes.read(tmp_path) == {"mood": DAY}


def test_where_the_cache_cannot_be_written_it_says_so(tmp_path: Path) -> None:
    (tmp_path / "taken").mkdir()
    (tmp_path / "taken" / ".cache").write_text("a file in its place")
    assert not dismissed_boxes.add(tmp_path / "taken", {"mood": DAY})
    (tmp_path / "linked").mkdir()
    (tmp_path / "linked" / ".cache").symlink_to(tmp_path)
    assert not dismissed_boxes.add(tmp_path / "linked", {"mood": DAY})
    assert not (tmp_path / dismissed_boxes.NAME).exists()
