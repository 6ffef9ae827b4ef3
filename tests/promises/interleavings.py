"""An editor that saves a page while Duskbook saves it: `python -m tests.promises.interleavings --count 10000`.

Each case is one way of writing, with an editor that begins before any of its file operations and ends before another
one. It replaces the page by a rename, writes it in place, empties it first and writes it later, keeping it open or
opening it again, or moves it away and writes it anew. Afterwards each line of both is in a page, in the answer as a
conflict, or among the kept states of the page.
"""

from __future__ import annotations

import functools
import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Literal, get_args

import pytest

from journal.folder import half_written, open_writers
from tests.promises import campaign, file_operations, ways
from tests.promises.file_operations import Operation
from tests.promises.kills import MEMORY, copied
from tests.promises.ways import OURS, Told, Way

Manner = Literal["rename", "in place", "emptied", "held open", "moved away"]
"""How an editor writes a file."""

MANNERS: tuple[Manner, ...] = get_args(Manner)
THEIRS = "typed in an editor"


class Editor:
    """An editor that has a page open, and saves it with a line more in one or two steps."""

    def __init__(self, page: Path, manner: Manner) -> None:
        self.page, self.manner = page, manner
        self.text = f"# {THEIRS}\n{page.read_text(encoding='utf-8')}"
        self._handle: int | None = None
        self.has_begun = self.is_done = False

    def begin(self) -> None:
        self.has_begun = True
        if self.manner == "rename":
            new = self.page.with_name("page.new")
            new.write_text(self.text, encoding="utf-8")
            new.replace(self.page)
            self.is_done = True
        elif self.manner == "in place":
            self.page.write_text(self.text, encoding="utf-8")
            self.is_done = True
        elif self.manner == "emptied":
            self.page.write_text("", encoding="utf-8")
        elif self.manner == "held open":
            self._file = self.page.open("w", encoding="utf-8")
        elif self.page.exists():
            self.page.replace(self.page.with_name("page~"))

    def end(self) -> None:
        self.is_done = True
        if self.manner == "held open":
            self._file.write(self.text)
            self._file.close()
        else:
            self.page.write_text(self.text, encoding="utf-8")


def run(count: int, seed: int, told: Callable[[str], None] = print, *, only: str = "") -> list[str]:
    """Interleave so many saves with an editor's. Return a line for each that breaks the promise."""
    failures = []
    with tempfile.TemporaryDirectory(dir=MEMORY) as name:
        place = Path(name)
        every = [way for way in ways.prepared(place) if only in ("", way.name)]
        lengths = {way.name: len(_operations(way, place)) for way in every}
        for number in range(count):
            chance = random.Random(f"{seed}:{number}")
            way = chance.choice(every)
            if wrong := one(way, lengths[way.name], place, chance):
                failures.append(f"{seed}:{number} {way.name}: {wrong}")
                told(failures[-1])
    return failures


def one(way: Way, length: int, place: Path, chance: random.Random) -> str:
    """Interleave one save. Return what is lost, or an empty text."""
    folder = copied(way, place)
    pages = [*sorted(folder.glob("2025/*.toml")), folder / "undated.toml"]
    written = [page for page in pages if page.name in _WRITTEN[way.name]] or [folder / "journal.toml"]
    editor = Editor(chance.choice(written), chance.choice(MANNERS))
    begins = chance.randrange(length)
    ends = begins + chance.randint(1, 30)
    answer = _interleaved(way, folder, editor, begins, ends)
    for note in ("Later.", "Later still."):  # the next saves clear what is left
        ways.later(folder, note)
    for whose in (THEIRS, OURS):
        if whose == OURS and (way.name in _WITHOUT_TEXT or not answer.saved):
            continue  # what is not saved stays in the form
        if not any(whose in text for text in (answer.text, *_texts(folder))):
            what = "the editor's text" if whose == THEIRS else "what was typed"
            where = f"{editor.manner} {editor.page.name}, {begins} to {ends} of {length}"
            return f"{what} is lost ({where}): {answer.text[:200]!r}"
    if list(folder.glob("2025/.*")) or list(folder.glob(".*.toml*")):
        return f"left behind ({editor.manner}, {begins} to {ends} of {length})"
    return ""


def _interleaved(way: Way, folder: Path, editor: Editor, begins: int, ends: int) -> Told:
    count, is_inside = 0, False

    def step() -> None:
        nonlocal is_inside
        is_inside = True  # the editor's own operations are not counted
        if not editor.has_begun:
            editor.begin()
        elif not editor.is_done:
            editor.end()
        is_inside = False

    def before(_operation: Operation) -> None:
        nonlocal count
        if is_inside:
            return
        count += 1
        if (count > begins and not editor.has_begun) or (count > ends and not editor.is_done):
            step()

    def waited(_seconds: float) -> None:
        """While Duskbook waits, the editor ends."""
        if editor.has_begun and not editor.is_done:
            step()

    with pytest.MonkeyPatch.context() as patch, file_operations.watched(before):
        for module in (half_written, open_writers):
            patch.setattr(module, "time", _Clock(waited))
        answer = way.save(folder)
    if not editor.has_begun:
        editor.begin()
    if not editor.is_done:
        editor.end()
    return answer


class _Clock:
    """The time, with waiting that only tells."""

    def __init__(self, waited: Callable[[float], None]) -> None:
        self.sleep, self.time, self.monotonic = waited, time.time, time.monotonic


def _operations(way: Way, place: Path) -> list[Operation]:
    folder, operations = copied(way, place), list[Operation]()
    before = {path: path.read_bytes() for path in folder.rglob("*.toml")}
    with file_operations.watched(operations.append):
        assert way.save(folder).saved, way.name
    _WRITTEN[way.name] = {path.name for path, data in before.items() if not path.exists() or path.read_bytes() != data}
    return operations


_WRITTEN: dict[str, set[str]] = {}
"""The names of the pages that each way changes."""

_WITHOUT_TEXT = ("move", "month", "decision", "undo", "stop a trial", "look at a trial")


def _texts(folder: Path) -> list[str]:
    return [path.read_text(encoding="utf-8", errors="replace") for path in folder.rglob("*") if path.is_file()]


def narrowed(way: str) -> campaign.RunCases:
    """The campaign of one way of writing."""
    return functools.partial(run, only=way)


if __name__ == "__main__":
    sys.exit(
        campaign.main(
            "interleavings", "saves with an editor beside", run, count=10_000, about=__doc__, narrowed=narrowed
        )
    )
