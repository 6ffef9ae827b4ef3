"""A walk over a live folder finds what a walk over all files finds, whatever happened before."""

from __future__ import annotations

import os
import random
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from journal.folder import discover, folder_signals, live_folder

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="signals of Linux")

NAMES = (
    "2025-03-14.toml",
    "2025-03-15.toml",
    "2025-03.toml",
    "2025-03-14 (1).toml",
    ".2025-03-16.toml.icloud",
    "a.txt",
    "work.ics",
)
FOLDERS = ("2025", "2024", "2025/more", "2025/more/deep", ".history", "2025.toml")


@pytest.fixture(autouse=True)
def registry(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(live_folder, "_live", type(live_folder._live)())
    yield


def live(folder: Path) -> live_folder.LiveFolder[object]:
    begun = live_folder.begin(folder)
    assert begun is not None, "this folder is on a file system without signals"
    return begun


def anew(folder: Path) -> discover.Discovery:
    """What a walk over all files finds."""
    return discover._discovery(discover._PageWalk(str(folder), None, None))


class Hand:
    """Changes of a folder, as programs make them."""

    def __init__(self, top: Path, outside: Path, rng: random.Random) -> None:
        self.top, self.outside, self.rng = top, outside, rng

    def place(self) -> Path:
        below = self.rng.choice(("", *FOLDERS))
        return self.top / below / self.rng.choice((*NAMES, *NAMES, "journal.toml", "undated.toml"))

    def write(self) -> None:
        self.place().write_text("x" * self.rng.randrange(9))

    def append(self) -> None:
        with self.place().open("r+") as file:
            file.seek(0, os.SEEK_END)
            file.write("more")

    def replace(self) -> None:
        temporary = self.top / ".new"
        temporary.write_text("mood = 3")
        temporary.replace(self.place())

    def remove(self) -> None:
        self.place().unlink()

    def touch(self) -> None:
        os.utime(self.place(), ns=(1, self.rng.randrange(10**9)))

    def change_mode(self) -> None:
        self.place().chmod(self.rng.choice([0o600, 0o644]))

    def move(self) -> None:
        self.place().rename(self.place())

    def move_out(self) -> None:
        self.place().rename(self.outside / "moved.toml")

    def move_in(self) -> None:
        source = self.outside / f"in-{self.rng.random()}"
        source.write_text("mood = 5")
        source.rename(self.place())

    def targets(self) -> list[Path]:
        """Files that a link may lead to: elsewhere, and where no walk comes to."""
        (self.top / ".hidden").mkdir(exist_ok=True)
        return [self.outside / "target.toml", self.top / ".hidden" / "target.toml"]

    def link(self) -> None:
        target = self.rng.choice(self.targets())
        target.write_text("mood = 4")
        self.place().symlink_to(target)

    def edit_target(self) -> None:
        for target in self.targets():
            target.write_text("y" * self.rng.randrange(20))

    def second_name(self) -> None:
        first = self.outside / f"first-{self.rng.random()}"
        first.write_text("mood = 1")
        self.place().hardlink_to(first)

    def edit_second_name(self) -> None:
        for first in self.outside.glob("first-*"):
            with first.open("a") as file:
                file.write("z")

    def make_folder(self) -> None:
        (self.top / self.rng.choice(FOLDERS)).mkdir()

    def move_folder(self) -> None:
        (self.top / self.rng.choice(FOLDERS)).rename(self.top / self.rng.choice(FOLDERS))

    def remove_folder(self) -> None:
        shutil.rmtree(self.top / self.rng.choice(FOLDERS))

    def bring_folder(self) -> None:
        full = self.outside / f"full-{self.rng.random()}"
        full.mkdir()
        (full / self.rng.choice(NAMES)).write_text("mood = 2")
        full.rename(self.top / self.rng.choice(FOLDERS))

    def exchange_top(self) -> None:
        away = self.outside / f"top-{self.rng.random()}"
        self.top.rename(away)
        shutil.copytree(away, self.top, symlinks=True)


CHANGES: list[Callable[[Hand], None]] = [
    change for name, change in vars(Hand).items() if name[0] != "_" and name not in ("place", "targets")
]


@pytest.mark.parametrize("seed", range(8))
def test_it_is_what_all_files_say(tmp_path: Path, seed: int) -> None:
    top, outside, rng = tmp_path / "journal", tmp_path / "outside", random.Random(seed)
    top.mkdir()
    outside.mkdir()
    live(top)
    hand = Hand(top, outside, rng)
    kept = 0
    for step in range(250):
        change = rng.choice([*CHANGES[:-1] * 3, CHANGES[-1]] if step % 60 > 20 else [Hand.write, Hand.replace])
        try:
            change(hand)
        except (OSError, shutil.Error):
            continue  # there is no such file, or something is in the way
        if rng.random() < 0.7:
            found = discover.find(top, keeps=seed % 2 == 1)
            assert found == anew(top), f"step {step}, {change.__name__}"
            kept += discover.find(top) is found
        if step % 60 == 59:  # from nothing, without links
            shutil.rmtree(top)
            top.mkdir()
    assert kept > 3, "it is kept where nothing happens"


def test_another_folder_at_its_path_is_seen(tmp_path: Path) -> None:
    """Although of a folder above the journal nothing is heard."""
    above, other = tmp_path / "above", tmp_path / "other"
    for place, mood in ((above, 1), (other, 22)):
        (place / "journal").mkdir(parents=True)
        (place / "journal" / "2025-03-14.toml").write_text(f"mood = {mood}")
    live(above / "journal")
    assert [file.size for file in discover.find(above / "journal").pages] == [8]
    above.rename(tmp_path / "away")
    other.rename(above)
    assert [file.size for file in discover.find(above / "journal").pages] == [9]


def test_a_page_behind_a_link_is_looked_at_each_time(tmp_path: Path) -> None:
    target = tmp_path / ".hidden" / "target"
    target.parent.mkdir()
    target.write_text("mood = 1")
    (tmp_path / "2025-03-14.toml").symlink_to(target)
    (tmp_path / "2025").mkdir()
    begun = live(tmp_path)
    assert [file.size for file in discover.find(tmp_path).pages] == [8]
    target.write_text("mood = 22")
    assert [file.size for file in discover.find(tmp_path).pages] == [9]
    assert not begun.is_heard
    (tmp_path / "2025-03-14.toml").unlink()
    discover.find(tmp_path)
    assert begun.is_heard


def test_only_a_folder_that_changed_is_read_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for year in (2024, 2025):
        (tmp_path / str(year)).mkdir()
        (tmp_path / str(year) / f"{year}-03-14.toml").write_text("mood = 4")
    live(tmp_path)
    discover.find(tmp_path)
    read: list[str] = []
    scan = os.scandir

    def counted(path: str) -> object:
        read.append(path.removeprefix(str(tmp_path)))
        return scan(path)

    monkeypatch.setattr(os, "scandir", counted)
    (tmp_path / "2024" / "2024-03-14.toml").write_text("mood = 44")
    assert [file.size for file in discover.find(tmp_path).pages] == [9, 8]
    assert read == ["/2024"]
    begun = live(tmp_path)
    begun.forget_all()
    discover.find(tmp_path)
    assert len(read) == 4


def test_what_has_no_signals_is_read_each_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "2025-03-14.toml").write_text("mood = 4")
    monkeypatch.setattr(folder_signals, "_LOCAL", {})
    assert live_folder.begin(tmp_path) is None and live_folder.of(tmp_path) is None
    assert live_folder.begin(tmp_path / "missing") is None
    assert discover.find(tmp_path) is not discover.find(tmp_path)


def test_many_journals_take_few_queues(tmp_path: Path) -> None:
    before = len(list(Path("/proc/self/fd").iterdir()))
    for number in range(20):
        (tmp_path / str(number)).mkdir()
        live(tmp_path / str(number))
    assert len(list(Path("/proc/self/fd").iterdir())) - before <= 3 * live_folder._MOST


def test_calendar_files_follow_the_signals(tmp_path: Path) -> None:
    (tmp_path / "2025").mkdir()
    live(tmp_path)
    assert discover.calendars(tmp_path) == ()
    (tmp_path / "2025" / "work.ics").write_text("BEGIN:VCALENDAR")
    assert discover.calendars(tmp_path) == ("2025/work.ics",)
    (tmp_path / "2025" / "2025-03-14.toml").symlink_to("elsewhere.toml")
    assert discover.calendars(tmp_path) is None, "behind a link no change has a signal"
