"""Whatever lies in `.cache` and `.history`: nothing outside changes, nothing hangs, every result is that without them.

    python -m tests.promises.cache_content --count 10000

Each case puts links, pipes, devices, sockets, sparse, broken, truncated and foreign files under the names that Duskbook
uses there, and others, then opens the journal, closes a box, saves a page, and opens the journal again.
"""

from __future__ import annotations

import datetime as dt
import os
import random
import shutil
import socket
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any
from unittest import mock

import journal
from journal import Journal
from journal.charts import kept_drawings
from journal.commands import page_readings, quick_streaks
from journal.commands.quick_streaks import StreaksAsked
from journal.folder import dismissed_boxes, history, kept_listings, writing
from journal.folder.opened_files import OpenedFiles
from tests.journals import HOME
from tests.promises import campaign, kept_days
from tests.time_limit import TooSlowError, time_limit

TODAY = dt.date(2025, 3, 14)
NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
SECONDS = 10  # of a case. One takes about a tenth of a second
HABIT = '[[habits]]\nkey = "walk"\nname = "Walk"\nevery = "FREQ=DAILY"\nfrom = 2025-01-01\n'
SETTINGS = f'title = "Spine and thread"\n{HOME}{HABIT}'
FOLDERS = (".cache", ".history")
DRAWN_FROM = ("a specification", "its texts")
DRAWING = f".cache/{kept_drawings.BELOW}/{kept_drawings.name_of(DRAWN_FROM)}"
OURS = (
    ".cache/snapshot", ".cache/snapshot", ".cache/days", ".cache/days", ".cache/folders", ".cache/folders",
    ".cache/readings", ".cache/readings",
    ".cache/closed.json", ".cache/CACHEDIR.TAG", ".cache/lock", ".cache/before",
    ".cache/before/2025-03-13T22-05-00-000000 2025-03-13.toml", ".history", ".history/README.txt", ".history/2025",
    ".history/2025/2025-03-12.txt", ".history/2025/2025-03-13.txt", ".cache/drawings", *(".cache/drawings/seal",) * 2,
    DRAWING, DRAWING, DRAWING,
)  # fmt: skip
THEIRS = (
    ".cache/mine", ".cache/2025-03-15.toml", ".cache/.snapshot.writing", ".cache/before/2025-03-12.toml",
    ".cache/before/notes", ".cache/drawings/mine", ".cache/journal.toml", ".cache/later/x",
    ".history/mine", ".history/2025/notes.txt", f"{DRAWING}.svg",
)  # fmt: skip
TEMPORARY = (".cache/.snapshot.0123456789abcdef.writing", ".cache/snapshot.ab12_x9z")


class Broken(AssertionError):
    """A promise that was not kept in a case."""


class Case:
    """A journal, and another folder, which is a journal too."""

    def __init__(self, folder: Path, outside: Path, seed: int) -> None:
        self.rng = random.Random(seed)
        self.folder, self.outside = folder, outside
        self.cache = self.folder / ".cache"
        self.placed: list[str] = []

    def build(self) -> None:
        _write_journal(self.folder, self.rng)
        for path in self.folder.rglob("*.toml"):
            os.utime(path, (1e9, 1e9))
        kept_days.opened(self.folder, TODAY)  # writes a snapshot, and keeps the days
        self.drawn = _drawing(self.rng.random())
        _keep_drawing(self.folder, self.drawn)
        _keep_readings(self.folder)
        both, kept = (self.folder, self.outside), ("snapshot", "days", "folders", "readings")
        sealed = [(folder / DRAWING).read_bytes() for folder in both]
        self.made = [(folder / ".cache" / name).read_bytes() for folder in both for name in kept] + sealed * 2
        if self.rng.random() < 0.7:
            shutil.rmtree(self.cache)

    def fill(self) -> None:
        """Put things into the private folders, or in the place of one."""
        if self.rng.random() < 0.08:
            whole = self.folder / self.rng.choice(FOLDERS)
            shutil.rmtree(whole, ignore_errors=True)
            self._place(whole)
        ours, others = self.rng.sample(OURS, self.rng.randint(1, 3)), [*THEIRS, *TEMPORARY]
        for name in (*ours, *self.rng.sample(others, self.rng.randint(0, 3))):
            path = self.folder / name
            try:
                if _leads_elsewhere(self.folder, name):
                    continue  # never through a link: it may lead to the whole disk
                path.parent.mkdir(parents=True, exist_ok=True)
                _remove(path)
                self._place(path)
                if self.rng.random() < 0.3:
                    age = self.rng.choice([-1e9, -90_000, 0, 90_000, 1e9])
                    os.utime(path, (time.time() + age,) * 2, follow_symlinks=False)
            except (FileExistsError, NotADirectoryError, FileNotFoundError):
                continue  # something that was placed before is in the way

    def _place(self, path: Path) -> None:
        kinds = [getattr(self, name) for name in dir(self) if name.startswith("put_")]
        kind = self.rng.choice(kinds)
        self.placed.append(f"{path.relative_to(self.folder)}: {kind.__name__[4:]}")
        kind(path)

    def put_link(self, path: Path) -> None:
        page = self.outside / "2025" / "2025-03-13.toml"
        elsewhere = [self.outside, self.outside, self.outside, page, self.outside / ".cache", self.outside / "new"]
        devices = [Path("/"), Path("/dev/zero"), Path("/dev/tty"), Path("/nowhere")]
        targets = [*elsewhere, *devices, path, path.parent, self.folder, self.folder / "journal.toml"]
        path.symlink_to(self.rng.choice(targets), target_is_directory=False)

    def put_second_name(self, path: Path) -> None:
        path.hardlink_to(self.outside / "2025" / "2025-03-13.toml")

    def put_pipe(self, path: Path) -> None:
        os.mkfifo(path)

    def put_device(self, path: Path) -> None:
        if os.geteuid() == 0:
            os.mknod(path, 0o600 | 0o020000, os.makedev(1, 5))  # that of /dev/zero

    def put_socket(self, path: Path) -> None:
        with socket.socket(socket.AF_UNIX) as plug:
            plug.bind(os.path.relpath(path))  # a path of a socket may have about 100 bytes

    def put_sparse(self, path: Path) -> None:
        with path.open("wb") as file:
            file.truncate(self.rng.choice([100_001, 100_000_001, 1 << 42]))

    def put_noise(self, path: Path) -> None:
        path.write_bytes(self.rng.randbytes(self.rng.choice([0, 1, 1000])))

    def put_made(self, path: Path) -> None:
        """What Duskbook made, for this journal or another, damaged or whole."""
        data = bytearray(self.rng.choice(self.made))
        change = self.rng.random()
        if change < 0.3:
            data = data[: self.rng.randrange(len(data))]
        elif change < 0.6:
            data[self.rng.randrange(len(data))] ^= 1 << self.rng.randrange(8)
        path.write_bytes(data)

    def put_json(self, path: Path) -> None:
        texts = ['{"mood": "2025-03-01"}', '{"mood": 3}', "[" * 9_000, '{"mood": "2025-03-01", "x": "9999-12-31"}', "{"]
        path.write_text(self.rng.choice(texts))

    def put_folder(self, path: Path) -> None:
        if path.name == kept_drawings.BELOW and self.rng.random() < 0.7:
            shutil.copytree((self.outside / DRAWING).parent, path)  # with its key
            return
        path.mkdir(mode=self.rng.choice([0o700, 0o000]))

    def check(self) -> None:
        """Work in the journal. Raises Broken."""
        outside, theirs = _state(self.outside), self._theirs()
        expected = _rows(journal.open(self.folder, today=TODAY, cache=False))
        for _ in range(2):
            _compare(_rows(journal.open(self.folder, today=TODAY)), expected, "opened")
            request = StreaksAsked(str(self.folder), TODAY, "csv")
            if (told := quick_streaks.told(request, NOW)) not in (None, kept_days.expected(self.folder, TODAY, "csv")):
                raise Broken(f"other streaks are printed: {told}")
        self.check_drawing()
        dismissed_boxes.read(self.folder)
        if dismissed_boxes.add(self.folder, {"sleep": TODAY}) and "sleep" not in dismissed_boxes.read(self.folder):
            raise Broken("a box that was closed is open")
        day, mood = f"2025-03-{self.rng.randint(10, 16)}", self.rng.randint(1, 5)
        changes: dict[tuple[str, ...], Any] = {("mood",): mood, ("notes",): [f"note {mood}"]}
        history.pages(self.folder)
        history.states(self.folder, day)
        saved = writing.save(self.folder, day, writing.look(self.folder, day), changes, now=NOW)
        page = self.folder / "2025" / f"{day}.toml"
        if not isinstance(saved, writing.Saved) or page.read_bytes() != saved.base.data:
            raise Broken("a save that is not on disk")
        expected = _rows(journal.open(self.folder, today=TODAY, cache=False))
        _compare(_rows(journal.open(self.folder, today=TODAY)), expected, "opened after a save")
        if _state(self.outside) != outside:
            raise Broken("something outside has changed")
        if gone := {path for path, state in theirs.items() if self._theirs().get(path) != state}:
            raise Broken(f"foreign files have changed: {sorted(gone)}")

    def check_drawing(self) -> None:
        """What is kept of a drawing is that drawing or nothing, before it is kept again and afterwards."""
        for drawn in (self.drawn, _drawing(self.rng.random())):
            kept_drawings.keep_in(self.folder)
            if kept_drawings.load(DRAWN_FROM) not in {None, self.drawn, drawn}:
                raise Broken("a drawing is another")
            _keep_drawing(self.folder, drawn)
            self.drawn = drawn

    def _theirs(self) -> dict[str, object]:
        """The states of what is no file of Duskbook in the private folders."""
        names = [*(name for name in FOLDERS if not _is_folder(self.folder / name)), *THEIRS]
        there = [name for name in names if os.path.lexists(self.folder / name)]
        return {name: _state_of(self.folder / name) for name in there if not _leads_elsewhere(self.folder, name)}


def _drawing(number: float) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0,{number}" /></svg>'


def _keep_drawing(folder: Path, drawn: str) -> None:
    """Keep a drawing of the parts `DRAWN_FROM`, and nothing afterwards."""
    kept_drawings.keep_in(folder)
    kept_drawings.save(DRAWN_FROM, drawn)
    kept_drawings.keep_in(None)


def _is_folder(path: Path) -> bool:
    return path.is_dir() and not path.is_symlink()


def _leads_elsewhere(folder: Path, name: str) -> bool:
    return any((folder / parent).is_symlink() for parent in Path(name).parents)


def _write_journal(folder: Path, rng: random.Random) -> None:
    (folder / "2025").mkdir(parents=True)
    (folder / "journal.toml").write_text(SETTINGS)
    for day in range(8, 14):
        (folder / "2025" / f"2025-03-{day:02d}.toml").write_text(
            f"mood = {rng.randint(1, 5)}\n# by hand\n[habits]\nwalk = {rng.choice(['true', 'false', '7'])}\n"
        )


def _remove(path: Path) -> None:
    if _is_folder(path):
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def _state_of(path: Path) -> object:
    status = path.lstat()
    return status.st_ino, status.st_mode, status.st_size, status.st_mtime_ns


def _state(folder: Path) -> dict[str, object]:
    """The files of a folder, with inode, mode, size and time of change. A second name changes only its count."""
    return {str(path): _state_of(path) for path in sorted(folder.rglob("*"))}


def _rows(book: Journal) -> tuple[object, ...]:
    return book.problems, *(getattr(book.tables, name).rows() for name in sorted(journal.tables.RECORDED))


def _compare(got: tuple[object, ...], expected: tuple[object, ...], when: str) -> None:
    if got != expected:
        raise Broken(f"{when} with a cache, the journal is another")


def run(count: int, seed: int, told: Callable[[str], object] = lambda _: None) -> list[str]:
    """Run the cases from a seed on. Returns a line for each failure."""
    failures = []
    with mock.patch.object(kept_listings, "LEAST", 0), tempfile.TemporaryDirectory(prefix="cache") as name:
        outside = _outside(Path(name) / "outside", seed)
        for number in range(seed, seed + count):
            case = Case(Path(name) / f"journal {number}", outside, number)
            case.build()
            case.fill()
            try:
                with time_limit(SECONDS):
                    case.check()
            except (Exception, TooSlowError) as error:
                failures.append(f"seed {number}: {type(error).__name__}: {error} with {case.placed}")
                told(failures[-1])
                outside = _outside(Path(name) / f"outside {number}", seed)
            for private in FOLDERS:
                _unlock(case.folder / private)
            shutil.rmtree(case.folder)
    return failures


def _outside(folder: Path, seed: int) -> Path:
    """Make another journal, with more pages than old versions are kept, named like these."""
    _write_journal(folder, random.Random(seed))
    for number in range(220):
        day = dt.date(2024, 1, 1) + dt.timedelta(days=number)
        (folder / f"{day}T22-05-00-000000 {day}.toml").write_text("mood = 1\n")
    for path in folder.rglob("*.toml"):
        os.utime(path, (1e9, 1e9))
    kept_days.opened(folder, TODAY)
    _keep_readings(folder)
    _keep_drawing(folder, _drawing(0.5))
    return folder


def _keep_readings(folder: Path) -> None:
    """Keep what a page says, as after a log. What is in `.cache/days` of that page is not certain then."""
    page = writing.look(folder, "2025-03-13")
    os.utime(folder / page.path)
    page_readings.keep(OpenedFiles(folder), page)


def _unlock(cache: Path) -> None:
    """Let the folder be removed by an ordinary user."""
    if _is_folder(cache):
        for path in [cache, *cache.rglob("*")]:
            if _is_folder(path):
                path.chmod(0o700)


if __name__ == "__main__":
    sys.exit(campaign.main("cache_content", "cases", run, count=1_000, about=__doc__))
