"""The links of a long journal are kept in `.cache`: the same as computed anew, for these pages alone, and bounded."""

from __future__ import annotations

import datetime as dt
import random
from pathlib import Path
from typing import Any

import msgspec
import pytest
from polars.testing import assert_frame_equal

import journal
from journal.folder import kept_frames
from journal.measures import link_history, link_record
from tests.journals import days_between, write

FIRST, LAST = dt.date(2025, 1, 1), dt.date(2025, 7, 10)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Half a year in which mood is higher on days of a walk."""
    monkeypatch.setattr(link_history, "LONG", 30)
    dice = random.Random(2)
    pages: dict[dt.date, dict[str, Any]] = {}
    for day in days_between(FIRST, LAST):
        walk = dice.random() < 0.5
        pages[day] = {"mood": 2 + 2 * walk + dice.choice([0, 1]), "habits": {"walk": walk}}
    return write(tmp_path, pages, habits=[{"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": FIRST}])


def look(folder: Path, today: dt.date = LAST, *, cache: bool = True) -> journal.Journal:
    return journal.open(folder, today=today, cache=cache)


def same(kept: journal.Journal, anew: journal.Journal) -> None:
    assert_frame_equal(kept.link_events, anew.link_events)
    assert_frame_equal(kept.link_pairs, anew.link_pairs)


def test_kept_links_are_those_of_these_pages(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    anew = look(folder, cache=False)
    assert anew.link_events.height >= 1 and anew.link_pairs.height == 2
    file = folder / ".cache" / kept_frames.FILE_NAME
    assert not file.exists(), "not without the cache"
    same(look(folder), anew)
    assert file.exists()
    with monkeypatch.context() as once:
        once.setattr(link_record, "events", lambda *_, **__: pytest.fail("computed again"))
        same(look(folder), anew)
        same(look(folder, LAST - dt.timedelta(days=9)), anew)  # the closed months are the same
    # Another mood in a closed month, and a mark: computed anew, and as without the cache.
    for text in ("mood = 1\n[habits]\nwalk = true\n", "mood = 1\n[habits]\nwalk = false\n"):
        (folder / "2025" / "2025-02-14.toml").write_text(text, encoding="utf-8")
        before, now = look(folder, cache=False), look(folder)
        same(now, before)
        assert not now.link_events.equals(anew.link_events)


@pytest.mark.parametrize("content", [b"", b"Duskbook computed\n", b"Duskbook computed\n" + bytes(64), bytes(100)])
def test_a_broken_or_foreign_file_is_ignored(folder: Path, content: bytes) -> None:
    anew = look(folder, cache=False)
    same(look(folder), anew)
    (folder / ".cache" / kept_frames.FILE_NAME).write_bytes(content)
    same(look(folder), anew)


def test_only_the_newest_are_kept(folder: Path) -> None:
    frames = {"events": look(folder, cache=False).link_events}
    schemas = {"events": link_record.EVENTS}
    keys = [kept_frames.key_of([bytes([i])], []) for i in range(kept_frames.MOST + 3)]
    for key in keys:
        kept_frames.save(folder, key, frames)
    assert [kept_frames.load(folder, key, schemas) is not None for key in keys] == [i >= 3 for i in range(len(keys))]
    assert kept_frames.load(folder, keys[-1], {"events": {"habit": schemas["events"]["habit"]}}) is None
    assert kept_frames.load(folder, keys[-1], {"others": {}}) is None
    nowhere = msgspec.structs.replace(look(folder), folder=folder / "missing")
    assert nowhere.link_events.height >= 1, "where nothing can be kept it is computed"
