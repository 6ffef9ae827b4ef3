"""What is kept of the pages that a command has just written."""

from __future__ import annotations

import os
from pathlib import Path

from journal.folder import folder_state, kept_readings
from journal.folder.kept_readings import PageReading

PATH = "2025-03-14.toml"


def read(folder: Path, data: bytes) -> PageReading:
    (folder / PATH).write_bytes(data)
    facts = folder_state.facts_of(f"{folder}/{PATH}")
    marks: dict[str, bool | float | str] = {"walk": True, "read": 24, "swim": 1.5, "rest": "rest"}
    return PageReading("2025-03-14", 739324, 2, True, marks, True, None, facts, kept_readings.sums_of(data))


def test_what_is_kept_is_found_under_its_stamp_and_journal_alone(tmp_path: Path) -> None:
    reading = read(tmp_path, b"mood = 4\0\xff")
    kept_readings.add(tmp_path, "one", b"title", PATH, reading)
    assert b"mood" not in (tmp_path / ".cache" / kept_readings.FILE_NAME).read_bytes(), "a text is on its page alone"
    assert kept_readings.load(tmp_path, "one", b"title") == {PATH: reading}
    assert not kept_readings.load(tmp_path, "another", b"title") and not kept_readings.load(tmp_path, "one", b"Title")
    path = tmp_path / ".cache" / kept_readings.FILE_NAME
    data = path.read_bytes()
    for place in range(len(data)):
        path.write_bytes(data[:place] + bytes([data[place] ^ 4]) + data[place + 1 :])
        assert not kept_readings.load(tmp_path, "one", b"title")
        path.write_bytes(data[:place])
        assert not kept_readings.load(tmp_path, "one", b"title")


def test_the_newest_pages_stay(tmp_path: Path) -> None:
    for number in range(kept_readings.MOST + 2):
        kept_readings.add(tmp_path, "one", b"", f"{number}.toml", read(tmp_path, b"mood = %d" % number))
    kept_readings.add(tmp_path, "one", b"", "4.toml", read(tmp_path, b"mood = 9"))
    kept = kept_readings.load(tmp_path, "one", b"")
    assert list(kept) == [f"{number}.toml" for number in (4, 9, 8, 7, 6, 5, 3, 2)] and kept[
        "4.toml"
    ].sums == kept_readings.sums_of(b"mood = 9")


def test_a_page_is_as_it_was_with_the_same_times_and_bytes_only(tmp_path: Path) -> None:
    """Bytes alone would do for a person's own journal; one from elsewhere has no page with these times."""
    reading = read(tmp_path, b"mood = 4")
    assert reading.is_of(tmp_path, PATH, reading.facts) and reading.is_of(str(tmp_path), PATH, reading.facts)
    assert not reading.is_of(tmp_path, PATH, (*reading.facts[:3], reading.facts[3] + 1))
    for data in (b"mood = 5", b"mood = 4 ", b"mood =", b""):
        (tmp_path / PATH).write_bytes(data)
        assert not reading.is_of(tmp_path, PATH, reading.facts)
    (tmp_path / PATH).unlink()
    os.mkfifo(tmp_path / PATH)
    assert not reading.is_of(tmp_path, PATH, reading.facts), "and it does not wait"
