"""A walk with what is kept of the folders finds what a walk over all names finds, whatever happened before."""

from __future__ import annotations

import datetime as dt
import os
import random
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import journal
from journal.folder import discover, file_names, kept_listings, live_folder, name_states
from tests.folder.test_live_folder import CHANGES, Hand
from tests.journals import write

DAYS = [dt.date(2024, 3, 14) + dt.timedelta(days=n) for n in range(5)]


@pytest.fixture(autouse=True)
def keep_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep every walk that read a name."""
    monkeypatch.setattr(kept_listings, "LEAST", 0)
    monkeypatch.setattr(live_folder, "_live", type(live_folder._live)())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A journal of five days with a page in a folder of its own, whose folders are kept."""
    made = write(tmp_path / "journal", {day: {"mood": 4} for day in DAYS})
    (made / "more").mkdir()
    (made / "more" / "2024-05-01.toml").write_text("mood = 3")
    discover.find(made, keeps=True)
    assert (made / ".cache" / kept_listings.FILE_NAME).exists()
    return made


@pytest.mark.parametrize("has_handles", [True, False])
@pytest.mark.parametrize("seed", range(3))
def test_it_is_what_all_names_say(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, has_handles: bool, seed: int
) -> None:
    """Without the handles of folders as well, as on Windows."""
    monkeypatch.setattr(name_states, "_HAS_HANDLES", has_handles and name_states._HAS_HANDLES)
    top, outside, rng = tmp_path / "journal", tmp_path / "outside", random.Random(seed)
    top.mkdir()
    outside.mkdir()
    hand = Hand(top, outside, rng)
    for step in range(150):
        change = rng.choice(CHANGES if step % 60 > 20 else [Hand.write, Hand.replace, Hand.make_folder])
        try:
            change(hand)
        except (OSError, shutil.Error):
            continue  # there is no such file, or something is in the way
        assert discover.find(top, keeps=True) == discover.find(top), f"step {step}, {change.__name__}"


def test_no_name_of_a_folder_that_is_the_same_is_interpreted(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    discover.find(folder, keeps=True)  # for the first walk the journal had no `.cache`
    monkeypatch.setattr(file_names, "period", lambda stem: pytest.fail(f"{stem} is interpreted"))
    assert [file.key for file in discover.find(folder, keeps=True).pages] == [*map(str, DAYS), "2024-05-01"]
    (folder / "more" / "2024-05-02.toml").write_text("mood = 3")
    read = []

    def noted(stem: str) -> tuple[str, str]:
        read.append(stem)
        return "day", stem

    monkeypatch.setattr(file_names, "period", noted)
    assert len(discover.find(folder, keeps=True).pages) == 7
    assert sorted(read) == ["2024-05-01", "2024-05-02"], "those of the changed folder alone"


def test_content_of_the_same_size_and_time_is_read_again(folder: Path) -> None:
    """The time of the inode tells, and without one the tick of the file system's clock (`snapshot`)."""
    page = folder / "2024" / f"{DAYS[0]}.toml"
    assert journal.open(folder, today=DAYS[-1]).tables.days["mood"][0] == 4
    before = page.stat()
    page.write_text("mood = 2")
    os.utime(page, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert page.stat().st_size == before.st_size - 1 or page.stat().st_ctime_ns != before.st_ctime_ns
    assert journal.open(folder, today=DAYS[-1]).tables.days["mood"][0] == 2


def test_a_folder_that_is_gone_or_new_is_seen(folder: Path) -> None:
    shutil.rmtree(folder / "more")
    assert len(discover.find(folder, keeps=True).pages) == 5
    shutil.copytree(folder / "2024", folder / "2025")
    assert len(discover.find(folder, keeps=True).copies) == 5


def test_another_process_sees_the_change_of_the_first(folder: Path) -> None:
    code = (
        "import sys, pathlib; from journal.folder import discover, kept_listings; kept_listings.LEAST = 0\n"
        "print(len(discover.find(pathlib.Path(sys.argv[1]), keeps=True).pages))"
    )
    numbers = []
    for name in ("2024-06-01.toml", "2024-06-02.toml"):
        (folder / "2024" / name).write_text("mood = 1")
        done = subprocess.run([sys.executable, "-c", code, folder], capture_output=True, text=True, check=True)
        numbers += [int(done.stdout), len(discover.find(folder, keeps=True).pages)]
    assert numbers == [7, 7, 8, 8]


@pytest.mark.parametrize("change", ["bit", "end", "code", "folder of folders"])
def test_what_is_broken_or_foreign_is_ignored(folder: Path, monkeypatch: pytest.MonkeyPatch, change: str) -> None:
    kept = folder / ".cache" / kept_listings.FILE_NAME
    data, listings = kept.read_bytes(), dict(kept_listings.load(folder))
    assert {"", "2024", "more"} == listings.keys()
    if change == "bit":
        kept.write_bytes(data[:-9] + bytes([data[-9] ^ 1]) + data[-8:])
    elif change == "end":
        kept.write_bytes(data[: len(data) // 2])
    elif change == "code":
        monkeypatch.setattr(kept_listings, "_stamp", lambda: "another")
    else:  # a journal from elsewhere that says of an empty folder that it has a page outside of the journal
        listing = listings["more"]
        foreign = listing.pages[0].__class__("../outside.toml", "day", "2024-05-01", 8, 1, 1)
        listing.pages, listing.seen = [foreign], name_states.NameStates([], b"")
        monkeypatch.setattr(kept_listings, "_is_told", lambda _: True)
        kept_listings.save(folder, listings)
        monkeypatch.undo()
        assert kept_listings.load(folder).keys() == {"", "2024"}
        return
    assert kept_listings.load(folder) == {}


def test_without_the_cache_nothing_is_kept(tmp_path: Path) -> None:
    folder = write(tmp_path, {day: {"mood": 4} for day in DAYS})
    journal.open(folder, today=DAYS[-1], cache=False)
    assert not (folder / ".cache").exists()
