"""Which pages a snapshot is of."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import journal
from journal import tables
from journal.folder import discover, snapshot
from tests.journals import write


def test_the_pages_of_a_snapshot_are_compared_by_their_bytes(tmp_path: Path) -> None:
    """Of a journal that is as it was, no page is made from them; with another page all are looked at."""
    folder = write(tmp_path, {dt.date(2025, 3, day): {"mood": 4} for day in (13, 14)})
    for path in folder.rglob("*.toml"):
        os.utime(path, (1e9, 1e9))
    journal.open(folder, today=dt.date(2025, 3, 14))
    stamp = snapshot.stamp_of((folder / "journal.toml").read_bytes(), tables.RECORDED)
    kept, pages = snapshot.load(folder, stamp, tables.RECORDED), discover.find(folder).pages
    assert kept.known is None and kept.is_of(pages) and list(kept.files) == pages
    assert not kept.is_of(pages[:1]) and not kept.is_of([*pages, pages[0]])
    assert snapshot.compare(kept, pages).fresh == []
    (folder / "2025" / "2025-03-14.toml").write_text("mood = 5")
    changed = discover.find(folder).pages
    assert not kept.is_of(changed) and [file.key for file in snapshot.compare(kept, changed).fresh] == ["2025-03-14"]
