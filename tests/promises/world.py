"""A small journal in which a person does one thing after the other, on pages that may be out of date by then."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
from hypothesis import strategies as st

import journal
from journal.saving.save_pages import SaveResult
from tests.choosing import Chooser
from tests.evening.evenings import written
from tests.promises.ledger import Ledger, Wrong, bytes_of, wrong

FIRST = dt.date(2025, 3, 13)
DAY = dt.timedelta(days=1)

Draw = Callable[[st.SearchStrategy[bytes]], bytes]
Effect = Callable[[Ledger], None]
"""What a gesture says of the journal, as far as it is saved."""


class World:
    """The journal in a folder, the ledger, the pages that are still open in windows, and what was done so far."""

    def __init__(self, folder: Path) -> None:
        self.folder = written(folder, {}, "# Some day.\n")
        self.today = FIRST
        self.ledger = Ledger()
        self.windows: dict[str, list[dict[str, Any]]] = {}
        self.undos: list[tuple[str, Ledger, Ledger]] = []
        self.told: list[str] = []
        self.faults: list[Wrong] = []
        self._number = 0
        self.choose = Chooser(lambda _: bytes(64))

    @property
    def now(self) -> dt.datetime:
        return dt.datetime.combine(self.today, dt.time(20), tzinfo=dt.UTC)

    def book(self) -> journal.Journal:
        return journal.open(self.folder, today=self.today, cache=False)

    def new(self, noun: str) -> str:
        """A text that no other is like."""
        self._number += 1
        return f"{noun} {self._number}"

    def shown(self, kind: str, offer: Callable[[journal.Journal], Any]) -> dict[str, Any]:
        """A page as a window has it: just opened, or open since some time."""
        opened = self.windows.setdefault(kind, [])
        if opened and self.choose.flip(4):
            return self.choose.one(opened)
        page = sent(offer(self.book()))
        assert isinstance(page, dict)
        opened[:] = [*opened[-2:], page]
        return page

    def gesture(
        self, what: str, save: Callable[[], SaveResult], *effects: Effect, undo: Callable[[], str] = str
    ) -> None:
        """Make a gesture. What it says counts if it is saved; if not, no file may have changed."""
        before, files = self.ledger.copy(), bytes_of(self.folder)
        answer = save()
        self.told.append(f"{self.today}: {what}: {answer.said or [problem.message for problem in answer.problems]}")
        if answer.saved or answer.partly:
            for effect in effects:
                effect(self.ledger)
            if answer.partly:
                self.ledger.keep_what_stands(before, self.folder)
            if back := undo():
                self.undos.append((back, before, self.ledger.copy()))
        elif bytes_of(self.folder) != files:
            self.faults.append(Wrong("other", "it was not saved, and yet a file has changed"))

    def wrong(self) -> list[Wrong]:
        """What is wrong by now."""
        return [*self.faults, *wrong(self.ledger, self.folder)]


def sent(value: Any) -> Any:
    """A value as it arrives at the browser, or from it."""
    return msgspec.json.decode(msgspec.json.encode(value))
