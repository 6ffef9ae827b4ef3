"""The snapshot: a journal opens to the same result with and without it, and in spite of any damage to its file."""

from __future__ import annotations

import datetime as dt
import os
import random
import shutil
from pathlib import Path
from typing import Any

import polars as pl
import pytest

import journal
from journal import Journal, tables
from journal.folder import discover, reading, snapshot
from tests.folder.journals import SETTINGS, begin, no_permission, put

TODAY = dt.date(2025, 3, 31)
LONG_AGO = 1_000_000_000_000_000_000  # ns after the epoch


def page(seed: int) -> str:
    rng = random.Random(seed)
    lines = [f"mood = {rng.randint(1, 5)}", f'memory = "Memory {seed}."'] if rng.random() < 0.8 else []
    lines += ["mood = 9"] if not lines and rng.random() < 0.5 else []
    lines += ["[habits]", f"walk = {rng.choice(['true', 'false', '3'])}", f"read = {rng.randint(-1, 40)}"]
    lines += ["[hours.actual]", 'sleep = ["00:00-06:15"]'] + ["[["] * (rng.random() < 0.1)
    return "\n".join(lines) + "\n"


def age(folder: Path) -> None:
    """Set the times of all pages to long ago. Pages with old times keep theirs."""
    for path in folder.rglob("*.toml"):
        if path.stat().st_mtime_ns != LONG_AGO:
            os.utime(path, ns=(LONG_AGO, LONG_AGO))


def year(folder: Path, days: int = 60) -> Path:
    begin(folder)
    for n in range(days):
        put(folder, f"2025/{dt.date(2025, 1, 1) + dt.timedelta(days=n)}.toml", page(n))
    put(folder, "2025-W11.toml", '[[reflection]]\nprompt = "What?"\nanswer = "Slow."\n')
    age(folder)
    return folder


def assert_same(one: Journal, other: Journal) -> None:
    assert one.problems == other.problems
    assert (one.settings, one.undated, one.today) == (other.settings, other.undated, other.today)
    for name in tables.Tables.__struct_fields__:
        mine, its = getattr(one.tables, name), getattr(other.tables, name)
        assert mine.equals(its) if hasattr(mine, "equals") else mine == its, name


def opened(folder: Path) -> Journal:
    """Open the journal with the cache, and compare it with the journal opened without."""
    book = journal.open(folder, today=TODAY)
    assert_same(book, journal.open(folder, today=TODAY, cache=False))
    return book


def stamp(folder: Path) -> bytes:
    return snapshot.stamp_of(reading.read_settings(folder).source, tables.RECORDED)


def fresh(folder: Path) -> list[str]:
    """The pages that would be read again now."""
    kept = snapshot.load(folder, stamp(folder), tables.RECORDED)
    return [file.path for file in snapshot.compare(kept, discover.find(folder).pages).fresh]


def test_a_second_opening_reads_no_page(tmp_path: Path) -> None:
    year(tmp_path)
    assert len(fresh(tmp_path)) == 61
    opened(tmp_path)
    assert fresh(tmp_path) == []
    opened(tmp_path)


def test_one_changed_page_is_read_again_and_the_snapshot_left_alone(tmp_path: Path) -> None:
    year(tmp_path)
    opened(tmp_path)
    before = (tmp_path / ".cache" / "snapshot").read_bytes()
    put(tmp_path, "2025/2025-02-01.toml", 'memory = "Changed."')
    book = opened(tmp_path)
    assert "Changed." in book.tables.lines.get_column("text").to_list()
    assert fresh(tmp_path) == ["2025/2025-02-01.toml"]
    assert (tmp_path / ".cache" / "snapshot").read_bytes() == before


def test_many_changed_pages_are_worth_a_new_snapshot(tmp_path: Path) -> None:
    year(tmp_path)
    opened(tmp_path)
    for n in range(snapshot.FEW + 1):
        put(tmp_path, f"2025/{dt.date(2025, 1, 1) + dt.timedelta(days=n)}.toml", page(100 + n))
    age(tmp_path)
    assert len(fresh(tmp_path)) == snapshot.FEW + 1
    opened(tmp_path)
    assert fresh(tmp_path) == []


def test_changed_content_with_the_same_size_and_time_is_noticed(tmp_path: Path) -> None:
    year(tmp_path)
    opened(tmp_path)
    path = put(tmp_path, "2025/2025-01-05.toml", page(4).replace("4", "5"))
    os.utime(path, ns=(LONG_AGO, LONG_AGO))  # like a copy program that preserves times
    assert fresh(tmp_path) == ["2025/2025-01-05.toml"]
    opened(tmp_path)


def test_a_page_as_young_as_the_snapshot_is_not_trusted(tmp_path: Path) -> None:
    year(tmp_path)
    path = put(tmp_path, "2025/2025-01-05.toml", "mood = 4")
    opened(tmp_path)
    assert fresh(tmp_path) == ["2025/2025-01-05.toml"]
    written = (tmp_path / ".cache" / "snapshot").stat().st_mtime_ns
    for seconds, trusted in ((1, False), (60, True)):
        os.utime(path, ns=(written - seconds * 10**9, written - seconds * 10**9))
        shutil.rmtree(tmp_path / ".cache")
        journal.open(tmp_path, today=TODAY)
        assert (fresh(tmp_path) == []) is trusted


def test_changed_settings_cause_all_pages_to_be_read_again(tmp_path: Path) -> None:
    year(tmp_path)
    opened(tmp_path)
    put(tmp_path, "journal.toml", SETTINGS.replace("target = 20", 'target = 10\naim = "at most"'))
    assert len(fresh(tmp_path)) == 61
    opened(tmp_path)
    put(tmp_path, "journal.toml", "title = ")
    opened(tmp_path)
    put(tmp_path, "journal.toml", SETTINGS)
    opened(tmp_path)


def test_the_snapshot_agrees_after_any_change_of_the_pages(tmp_path: Path) -> None:
    year(tmp_path, days=45)
    rng = random.Random(20250314)
    live = journal.open(tmp_path, today=TODAY)
    for step in range(40):
        pages = sorted(tmp_path.rglob("2025-*.toml"))
        for _ in range(rng.choice([0, 1, 1, 3, 40])):
            victim = rng.choice(pages)
            match rng.randrange(6):
                case 0 | 1:
                    put(tmp_path, str(victim.relative_to(tmp_path)), page(rng.randrange(10**6)))
                case 2:
                    victim.unlink(missing_ok=True)
                case 3:
                    day = dt.date(2025, 1, 1) + dt.timedelta(days=rng.randrange(90))
                    put(tmp_path, f"{rng.choice(['2025', '.', 'copy'])}/{day}.toml", page(rng.randrange(10**6)))
                case 4:
                    put(tmp_path, f"2025/2025-03-{rng.randrange(40)}.toml", b"\xff\xfe")
                case 5 if victim.exists():
                    (tmp_path / "moved").mkdir(exist_ok=True)
                    victim.rename(tmp_path / "moved" / victim.name)
        if rng.random() < 0.5:
            age(tmp_path)
        if rng.random() < 0.2:
            put(tmp_path, "journal.toml", SETTINGS.replace("target = 20", f"target = {step + 1}"))
        live = journal.open(tmp_path, today=TODAY, files=live.files.later())  # reads what differs since the last one
        assert_same(live, opened(tmp_path))


def test_a_page_that_could_not_be_read_is_tried_again(open_path: Path) -> None:
    year(open_path, days=5)
    path = "2025/2025-01-05.toml"
    put(open_path, path, 'memory = "Kept to myself."')
    age(open_path)
    line = f"{path}: expected a file that can be read, got no permission; let your user read it"
    (open_path / ".cache").mkdir(mode=0o777)
    (open_path / ".cache").chmod(0o777)

    def is_reported() -> bool:
        book = journal.open(open_path, today=TODAY)
        texts = book.tables.lines.get_column("text").to_list()
        assert ("Kept to myself." in texts) is (line not in map(str, book.problems))
        return line in map(str, book.problems)

    with no_permission(open_path / path):
        assert is_reported()
        assert is_reported()  # from the snapshot of the others
    assert (open_path / ".cache" / "snapshot").exists()
    assert not is_reported()
    with no_permission(open_path / path):
        assert is_reported()


# --- Damage to the file


@pytest.mark.parametrize("seed", range(12))
def test_a_damaged_snapshot_is_ignored(tmp_path: Path, seed: int) -> None:
    year(tmp_path, days=5)
    opened(tmp_path)
    path = tmp_path / ".cache" / "snapshot"
    data = bytearray(path.read_bytes())
    rng = random.Random(seed)
    if seed < 3:
        data = data[: rng.choice([0, 10, len(data) // 2])]
    elif seed < 6:
        data = bytearray(rng.randbytes(2000))
    else:
        data[rng.randrange(len(data))] ^= 1 << rng.randrange(8)
    path.write_bytes(data)
    assert snapshot.load(tmp_path, stamp(tmp_path), tables.RECORDED) is snapshot.EMPTY
    opened(tmp_path)
    assert fresh(tmp_path) == []  # and written anew


def test_a_snapshot_of_another_version_or_other_schemas_is_ignored(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    year(tmp_path, days=5)
    opened(tmp_path)
    right = stamp(tmp_path)
    other = {name: schema | {list(schema)[-1]: pl.Binary} for name, schema in tables.RECORDED.items()}
    assert snapshot.stamp_of(b"", tables.RECORDED) != right
    assert snapshot.stamp_of(reading.read_settings(tmp_path).source, other) != right
    frames = snapshot.load(tmp_path, right, other | {"more": {"path": pl.String}}).frames
    assert frames is not None
    for name in frames:
        with pytest.raises((ValueError, KeyError)):
            frames.with_path(name)
    monkeypatch.setattr(snapshot, "__version__", "0.0.0")
    assert stamp(tmp_path) != right
    assert len(fresh(tmp_path)) == 6


def test_nothing_is_written_outside_the_cache(tmp_path: Path) -> None:
    year(tmp_path, days=5)
    before = sorted(path for path in tmp_path.rglob("*"))
    opened(tmp_path)
    cache = tmp_path / ".cache"
    assert sorted(set(tmp_path.rglob("*")) - set(before)) == [cache, cache / "CACHEDIR.TAG", cache / "snapshot"]
    assert (cache / "CACHEDIR.TAG").read_text().startswith("Signature: 8a477f597d28d172789f06886806bc55\n")
    # Only the owner can read content of the pages.
    assert [path.stat().st_mode & 0o077 for path in (cache, cache / "snapshot")] == [0, 0]


def test_without_cache_nothing_is_written(tmp_path: Path) -> None:
    year(tmp_path, days=5)
    journal.open(tmp_path, today=TODAY, cache=False)
    assert not (tmp_path / ".cache").exists()


def test_a_cache_that_leads_out_of_the_journal_is_not_used(tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    folder = tmp_path / "journal"
    folder.mkdir()
    year(folder, days=5)
    (folder / ".cache").symlink_to(outside)
    opened(folder)
    assert list(outside.iterdir()) == []


def test_a_cache_that_is_a_file_is_left_alone(tmp_path: Path) -> None:
    year(tmp_path, days=5)
    (tmp_path / ".cache").write_text("mine", encoding="utf-8")
    opened(tmp_path)
    assert (tmp_path / ".cache").read_text(encoding="utf-8") == "mine"


def test_a_folder_that_cannot_be_written_opens(open_path: Path) -> None:
    year(open_path, days=5)
    superuser = os.geteuid() == 0
    open_path.chmod(0o555)
    if superuser:
        os.seteuid(65534)
    try:
        with pytest.raises(PermissionError):
            (open_path / "probe").touch()
        opened(open_path)
    finally:
        if superuser:
            os.seteuid(0)
        open_path.chmod(0o777)
    assert not (open_path / ".cache").exists()


def test_a_full_disk_leaves_the_old_snapshot_and_no_temp_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    year(tmp_path, days=5)
    opened(tmp_path)
    before = (tmp_path / ".cache" / "snapshot").read_bytes()
    put(tmp_path, "journal.toml", SETTINGS + "\n")

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    opened(tmp_path)
    assert (tmp_path / ".cache" / "snapshot").read_bytes() == before
    assert sorted(path.name for path in (tmp_path / ".cache").iterdir()) == ["CACHEDIR.TAG", "snapshot"]


def test_a_snapshot_that_makes_the_library_panic_is_ignored(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of Parquet with a few bytes changed and a digest that fits, polars may raise what is no Exception."""
    folder = year(tmp_path, days=3)
    expected = journal.open(folder, today=TODAY, cache=False)
    journal.open(folder, today=TODAY)

    def panic(_source: object, **_options: object) -> None:
        raise pl.exceptions.PanicException("not yet implemented")

    monkeypatch.setattr(pl, "read_parquet", panic)
    assert_same(journal.open(folder, today=TODAY), expected)


def test_a_frame_that_makes_the_library_panic_later_is_made_of_the_pages(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A frame is unpacked when it is asked for: by then the journal is open, and has to give what the files have."""
    folder = year(tmp_path, days=3)
    put(folder, "2025/2025-01-02.toml", 'memory = "Kept in the snapshot."')
    journal.open(folder, today=TODAY)
    put(folder, "2025/2025-01-02.toml", 'memory = "Written since."')
    expected = journal.open(folder, today=TODAY, cache=False)
    book = journal.open(folder, today=TODAY)

    def panic(_source: object, **_options: object) -> None:
        raise pl.exceptions.PanicException("not yet implemented")

    monkeypatch.setattr(pl, "read_parquet", panic)
    assert_same(book, expected)


def test_only_the_frames_that_are_asked_for_are_unpacked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = year(tmp_path)
    journal.open(folder, today=TODAY)
    columns: list[list[str]] = []
    unpack = pl.read_parquet

    def listed(*given: Any, **options: Any) -> pl.DataFrame:
        columns.append(options["columns"])
        return unpack(*given, **options)

    monkeypatch.setattr(pl, "read_parquet", listed)
    book = journal.open(folder, today=TODAY)
    assert columns == [list(tables.RECORDED["days"])[1:]]
    for _ in range(2):
        assert book.as_of("2025-02-01").tables.hours.equals(book.tables.hours)
    assert columns[1:] == [list(tables.RECORDED["hours"])[1:]]
    put(folder, "2025/2025-01-02.toml", "mood = 4")
    changed = journal.open(folder, today=TODAY)
    assert [names[0] for names in columns[2:]] == ["path"] and not changed.tables.marks.is_empty()
    assert [names[0] for names in columns[3:]] == ["path"]
