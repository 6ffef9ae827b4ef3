"""Every reader of the journal against random and damaged inputs. Run with `python -m tests.promises.readers --count N`.

A reader may answer with a value, with problems that name the place and the remedy, or with an error that the project
declares. It raises nothing else, never hangs, and no control character of the input comes back raw.
"""

from __future__ import annotations

import argparse
import datetime as dt
import random
import sys
import tempfile
import time
import traceback
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path

import polars as pl

import journal
from journal import periods, tables
from journal.calendars.appointments import appointments
from journal.errors import JournalError, Problem
from journal.folder import file_names, reading, snapshot, stray_files, stray_names
from journal.folder.calendar_files import CalendarFile
from journal.folder.discover import CACHE_NAME
from journal.folder.page_frames import PageFrames
from journal.folder.page_versions import Base
from journal.folder.stray_files import StrayFile
from journal.importing import spreadsheet
from tests.promises import forms, inputs
from tests.time_limit import time_limit

SECONDS_A_CASE = 5.0
"""How long one input may take. The slowest known takes a tenth of a second; a machine that others use takes longer."""

_UNSEEN = frozenset(("Cc", "Cf", "Cs", "Zl", "Zp"))
TODAY = dt.date(2025, 3, 16)
PAGES = {"2025-03-14": inputs.DAY, "2025-W11": inputs.REVIEW, "2025-03": inputs.REVIEW, "2025": inputs.REVIEW}
TEXTS = (inputs.DAY, inputs.REVIEW, inputs.UNDATED, inputs.JOURNAL)


class Broken(AssertionError):
    """A promise that one input has broken."""


def check_text(text: str) -> None:
    """Raise Broken for a message that is empty, or that has raw control characters or changes of direction."""
    if not text.strip():
        raise Broken("an empty message")
    if any(unicodedata.category(c) in _UNSEEN and c not in "\u200c\u200d" for c in text):
        raise Broken(f"raw control characters in {text!r}")


def check_problems(problems: Iterable[Problem], rows: int, *, is_whole: bool = False) -> None:
    """Raise Broken for a problem without file, remedy, or a place inside of the text of so many rows."""
    for problem in problems:
        check_text(str(problem))
        if not (problem.path and problem.expected and problem.got and problem.remedy):
            raise Broken(f"a problem that leaves something out: {problem}")
        if problem.line > rows or (problem.line and problem.column < 1):
            raise Broken(f"a place outside of the file: {problem}")
        if not (problem.line or problem.where or is_whole):
            raise Broken(f"no place: {problem}")


def with_paths(frames: PageFrames) -> list[tuple[str, pl.DataFrame]]:
    """All frames of a snapshot, unpacked."""
    return [(name, frames.with_path(name)) for name in frames]


class Readers:
    """Each reader, on a journal that is only read: its format is newer, so that no form can write to it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        (folder / "journal.toml").write_text(f"format = 2\n{inputs.JOURNAL}", encoding="utf-8")
        (folder / "undated.toml").write_text(inputs.UNDATED, encoding="utf-8")
        for key, text in PAGES.items():
            (folder / f"{key}.toml").write_text(text, encoding="utf-8")
        self.book = journal.open(folder, today=TODAY)
        self.known = self.book.files.basis.known
        self.basis = self.book.files.basis
        self.forms = forms.all_forms(self.book)
        self.schemas = tables.RECORDED
        self.stamp = snapshot.stamp_of(self.basis.source, self.schemas)
        nothing = PageFrames(tables.record([]), self.schemas)
        snapshot.save(folder, self.stamp, [], nothing, [], since_walk_ns=0)
        self.snapshot = (folder / CACHE_NAME / snapshot.FILE_NAME).read_bytes()

    def page(self, rng: random.Random) -> None:
        key = rng.choice(list(PAGES))
        data = inputs.changed_bytes(PAGES[key], rng, TEXTS)
        problems = reading.read_base(Base(key, f"{key}.toml", data), self.known)[1]
        check_problems(problems, data.count(b"\n") + 1, is_whole=_is_unread(problems))

    def undated(self, rng: random.Random) -> None:
        data = inputs.changed_bytes(inputs.UNDATED, rng, TEXTS)
        (self.folder / "undated.toml").write_bytes(data)
        check_problems(
            (found := reading.read_undated(self.folder))[1], data.count(b"\n") + 1, is_whole=_is_unread(found[1])
        )

    def settings(self, rng: random.Random) -> None:
        data = inputs.changed_bytes(inputs.JOURNAL, rng, TEXTS)
        problems = reading.basis_of(Base("settings", "journal.toml", data), self.folder).problems
        check_problems(problems, data.count(b"\n") + 1, is_whole=_is_unread(problems))

    def calendar(self, rng: random.Random) -> None:
        data = inputs.changed_bytes(inputs.CALENDAR, rng)
        last = TODAY + dt.timedelta(days=7)
        problems = appointments([CalendarFile("work.ics", data)], TODAY, last, "Europe/Ljubljana")[1]
        check_problems(problems, data.count(b"\n") + data.count(b"\r") + 1, is_whole=True)

    def table(self, rng: random.Random) -> None:
        data = inputs.changed_bytes(inputs.TABLE, rng)
        path = self.folder / "table.csv"
        path.write_bytes(data)
        imported = spreadsheet.read(path, self.basis, today=TODAY, years=[2025])
        check_problems(imported.problems, data.count(b"\n") + data.count(b"\r") + 1, is_whole=True)

    def name(self, rng: random.Random) -> None:
        name = inputs.changed_text(rng.choice(inputs.NAMES), rng).replace("/", "-").replace("\0", "")[:255]
        if name in ("", ".", ".."):
            return
        if (stray := stray_names.stray(name)) is not None or name.endswith(".toml"):
            stem = name.removesuffix(".toml")
            if name.endswith(".toml") and file_names.period(stem):
                return
            found, _ = stray_files.told([StrayFile(name, name, stray)], {"2025-03-14": "2025/2025-03-14.toml"})
            check_problems(found, 0, is_whole=True)
            for meant in () if stray is None else stray.meant:
                if meant not in stray_files.FIXED_KEYS:
                    periods.parse_name(meant.removesuffix(".toml"))

    def cached(self, rng: random.Random) -> None:
        head = len(b"Duskbook snapshot\n") + 64
        body = bytearray(self.snapshot[head:])
        for _ in range(rng.choice((1, 2, 20))):
            body[rng.randrange(len(body))] = rng.randrange(256)
        body = body[: rng.randrange(len(body) + 1)] if rng.random() < 0.2 else body
        start = self.snapshot[: head - 32] if rng.random() < 0.9 else rng.randbytes(head - 32)
        digest = snapshot._digest(body) if rng.random() < 0.9 else rng.randbytes(32)
        (self.folder / CACHE_NAME / snapshot.FILE_NAME).write_bytes(start + digest + body)
        frames = snapshot.load(self.folder, self.stamp, self.schemas).frames
        if frames is not None:
            frames.afresh = lambda: tables.record([])
            if any(frame.schema != pl.Schema(self.schemas[name]) for name, frame in with_paths(frames)):
                raise Broken("a frame with other columns")

    def form(self, rng: random.Random) -> None:
        read, sent = rng.choice(self.forms)
        raw = inputs.changed_json(sent, rng)
        raw = raw if isinstance(raw, dict) else {}  # what is no object, a page refuses by itself
        for problem in forms.problems_of(read(self.book, raw)):
            check_text(problem.message)

    def one(self, rng: random.Random) -> str:
        """Read one random input. Return the name of its reader."""
        reader = rng.choices(_READERS, _WEIGHTS)[0]
        try:
            reader(self, rng)
        except JournalError as error:
            check_text(str(error))
        return reader.__name__


_SHARES: dict[Callable[[Readers, random.Random], None], int] = {
    Readers.page: 30, Readers.undated: 8, Readers.settings: 8, Readers.calendar: 4, Readers.table: 10, Readers.name: 25,
    Readers.cached: 5, Readers.form: 10,
}  # fmt: skip
_READERS, _WEIGHTS = list(_SHARES), list(_SHARES.values())


def _is_unread(problems: Iterable[Problem]) -> bool:
    """Whether a problem is of a file as a whole: too large, or in an encoding that has no lines."""
    return any("bytes" in problem.expected or problem.got == "UTF-16" for problem in problems)


def run(count: int, seed: int, told: Callable[[str], None] = lambda _text: None) -> list[str]:
    """Read so many inputs. Return a line for each that breaks a promise; every case has a seed of its own."""
    failures: list[str] = []
    with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as folder:
        readers = Readers(Path(folder))
        for i in range(count):
            try:
                with time_limit(SECONDS_A_CASE):
                    readers.one(random.Random(f"{seed}:{i}"))
            except KeyboardInterrupt:
                raise
            except BaseException as error:  # also a panic of the libraries in Rust
                last = traceback.extract_tb(error.__traceback__)[-1]
                failures.append(f"{seed}:{i} {type(error).__name__} {last.filename}:{last.lineno}: {error}"[:600])
                told(failures[-1])
    return failures


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    started = time.monotonic()
    failures = run(asked.count, asked.seed, told=lambda text: print(text, file=sys.stderr, flush=True))
    kinds = Counter(failure.split(" ", 2)[1] for failure in failures)
    seconds = time.monotonic() - started
    print(
        f"readers: {asked.count:,} inputs, {len(failures)} failures {dict(kinds)}, {seconds:.0f} s, seed {asked.seed}"
    )
    return bool(failures)


if __name__ == "__main__":
    sys.exit(main())
