"""`show streaks` from what is kept in `.cache/days` is what the opened journal gives, whatever changes in between.

    python -m tests.promises.kept_days --count 2000

Each case makes a journal with habits of every kind, keeps its days, and edits the folder four times, as a person, an
editor or a synchronisation would. After each edit the command without libraries prints what the opened journal gives,
or leaves it to that. After edits of pages it prints it itself.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import functools
import io
import os
import random
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import journal
from journal.commands import kept_streaks, log, quick_streaks, show
from journal.commands.log import Given
from journal.commands.print_frame import as_text
from journal.commands.quick_streaks import StreaksAsked, StreaksTold
from journal.commands.show_catalogue import FORMATS, MEASURES
from journal.errors import JournalError
from tests.choosing import Chooser
from tests.journals import write
from tests.measures.test_running_streak import FIRST, MOODS, definitions, page, trials
from tests.promises import campaign

NOW = dt.datetime(2024, 4, 1, 22, 5, tzinfo=dt.UTC)
KEYS = ["walk", "read", "swim"]
MARKS = ["true  ", "false ", '"rest"', "12    "]
DAYS = [FIRST + dt.timedelta(days=n) for n in range(40)]
EDITS = 4


def opened(folder: Path, today: dt.date) -> journal.Journal:
    """The journal as `show streaks` opens it, and keeps its days."""
    book = journal.open(folder, today=today)
    kept_streaks.keep(book)
    return book


def expected(folder: Path, today: dt.date, form: str) -> StreaksTold:
    """What the opened journal gives, read without anything that was kept."""
    book = journal.open(folder, today=today, cache=False)
    rows = show.rows(book, "streaks", (book.tables.first, today), "", against=None, search=None)
    number = len(book.problems)
    told = f'duskbook: {number} problem{"s" * (number > 1)} in this journal; "duskbook check {folder}" tells where'
    return StreaksTold(as_text(rows, form, MEASURES["streaks"].keys), told if number else "")


class Edits:
    """Changes of a journal, as a person, an editor or a synchronisation makes them."""

    def __init__(self, folder: Path, choose: Chooser, days: list[dt.date]) -> None:
        self.folder, self.choose, self.days = folder, choose, days
        self.logged: list[dt.date] = []

    def path(self) -> Path:
        day = self.choose.one(self.logged[-1:] * 9 + self.days)  # often what a log has just written is changed
        return self.folder / str(day.year) / f"{day}.toml"

    def write(self) -> None:
        """A page with other marks, often of the same length, so that only its times tell."""
        lines = [f"{key} = {self.choose.one(MARKS)}" for key in KEYS]
        asked = self.choose.one(["", "", "asked = false\n"])
        mood = self.choose.one(["", "", "mood = 1\n", "mood = 4\n"])
        texts = [asked + mood + "\n".join(["[habits]", *lines])] * 4 + [
            f"{asked}mood = 4",
            "[habits]",
            'notes = ["Later."]',
        ]
        self.path().write_text(self.choose.one(texts), encoding="utf-8")

    def write_other_page(self) -> None:
        name = self.choose.one(["2024/2024-W10.toml", "2024/2024-03.toml", "undated.toml"])
        text = self.choose.one(['notes = ["Later."]', "tasks = 3", "mood = 4", '[[tasks]]\ntitle = "Cut board"'])
        (self.folder / name).write_text(text, encoding="utf-8")

    def break_page(self) -> None:
        self.path().write_text(
            self.choose.one(["mood = ", "", "mood = 99", "[habits]\nsweep = true"]), encoding="utf-8"
        )

    def log(self) -> None:
        """Marks or a mood by the command, which keeps what the page says then (`page_readings`)."""
        for _ in range(self.choose.one([1, 1, 2])):
            given = self.choose.one([Given(habits=("walk",)), Given(habits=("walk=no",)), Given(fields={"mood": 1.0})])
            # A page may be broken, and a habit not be kept on that day.
            with contextlib.suppress(JournalError), contextlib.redirect_stderr(io.StringIO()):
                self.logged.append(self.choose.one(self.days))
                log.log(self.folder, given, self.logged[-1], now=NOW)

    def remove(self) -> None:
        self.path().unlink(missing_ok=True)

    def move(self) -> None:
        if (path := self.path()).exists():
            path.rename(self.folder / path.name)

    def copy(self) -> None:
        if (path := self.path()).exists():
            (path.parent / f"{path.stem} (1).toml").write_bytes(path.read_bytes())

    def leave_a_backup(self) -> None:
        """What an editor, or a program that synchronises, leaves beside a page. It is a problem without the page."""
        path = self.path()
        (path.parent / self.choose.one([f"{path.name}~", f".{path.name}.icloud"])).write_text("", encoding="utf-8")

    def link(self) -> None:
        path, other = self.path(), self.path()
        if path != other and other.is_file() and not other.is_symlink():
            path.unlink(missing_ok=True)
            path.symlink_to(other)

    def change_settings(self) -> None:
        with (self.folder / "journal.toml").open("a", encoding="utf-8") as file:
            file.write(self.choose.one(["# seen\n", "[day]\nturns = 3\n", "[[habits]]\n"]))

    def leave_a_save(self) -> None:
        (self.folder / ".history").mkdir(exist_ok=True)
        (self.folder / ".history" / "unfinished 2024-03-01.toml").write_text("mood = 4", encoding="utf-8")


USUAL = ("write", "write", "log", "log", "write_other_page", "remove")
RARE = ("break_page", "move", "copy", "link", "leave_a_backup", "change_settings", "leave_a_save")


def case(choose: Chooser, directory: Path) -> str:
    """Run a case in an empty folder. Returns what is wrong, or an empty text."""
    moods, on_trial = choose.one(MOODS), KEYS[: choose.one([0, 0, 1, 3])]
    pages = {day: written for day in DAYS if (written := page(choose, KEYS, moods)) is not None and choose.byte() < 230}
    folder = write(
        directory,
        pages,
        habits=[block for key in KEYS for block in definitions(choose, key)],
        rests=[{"from": DAYS[9], "until": DAYS[15], "habits": KEYS[:2]}],
        unmarked=choose.one(["missed", "blank"]),
        blank=choose.one(["breaks", "bridges"]),
        trials=trials(choose, on_trial),
    )
    for path in folder.rglob("*.toml"):
        os.utime(path, (1e9, 1e9))
    edits = Edits(folder, choose, DAYS)
    opened(folder, choose.one(DAYS))
    is_usual = not on_trial or moods == [None]  # low days may end a trial on another day
    for _ in range(EDITS):
        kind = choose.one(USUAL) if choose.byte() < 170 else choose.one(RARE)
        getattr(edits, kind)()
        is_usual = is_usual and kind in USUAL
        today, form = choose.one([*DAYS[-3:], DAYS[20], DAYS[-1] + dt.timedelta(days=30)]), choose.one(FORMATS)
        told, right = quick_streaks.told(StreaksAsked(str(folder), today, form), NOW), expected(folder, today, form)
        if told not in (None, right):
            return f"{kind}, then as of {today}: printed {told}, and it is {right}"
        if told is None and is_usual:
            return f"{kind}, then as of {today}: the journal was opened"
        if told is None:
            opened(folder, today)
    return ""


def _bytes(rng: random.Random, _: object) -> bytes:
    return rng.randbytes(400)


def run(count: int, seed: int, told: Callable[[str], object] = lambda _: None) -> list[str]:
    """Run the cases from a seed on. Returns a line for each failure."""
    failures = []
    for number in range(seed, seed + count):
        rng = random.Random(number)
        with tempfile.TemporaryDirectory(prefix="days") as name:
            if wrong := case(Chooser(functools.partial(_bytes, rng), at_once=400), Path(name) / "journal"):
                failures.append(f"seed {number}: {wrong}")
                told(failures[-1])
    return failures


if __name__ == "__main__":
    sys.exit(campaign.main("kept_days", "cases", run, count=500, about=__doc__))
