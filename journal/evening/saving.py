"""What was entered on an evening page, written: all of it, or nothing and the reason beside the field it is of.

    read the form          fields and days held to what a page may say     -> problems
    work out the changes   page by page, in a safe order                   -> problems
    rehearse every page    what others changed since is kept; a clash      -> conflict
    write them in order    each page whole, or as it was

Nothing typed is lost with any answer: the form keeps what it shows, and what it was begun from travels with it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal
from zoneinfo import ZoneInfo

import msgspec
import polars as pl

from journal import periods
from journal.errors import JournalError, WriteError
from journal.evening import basis, carry, changes, entered, tomorrow
from journal.evening.basis import DAY, Pages
from journal.evening.changes import Step, Steps
from journal.evening.entered import Entered
from journal.evening.fields import Trouble
from journal.evening.moves import Moves
from journal.folder import reading, writing
from journal.folder.writing import UNDATED, Base, Clash, Conflict, Pick
from journal.settings import Settings
from journal.wording import clock, listed

if TYPE_CHECKING:
    from journal import Journal


class Disagreement(msgspec.Struct, frozen=True):
    """One thing that was changed here and elsewhere since, each to something else: a field, both values, the file.

    To decide, save the same again with `"resolve": [{"field": ..., "file": ..., "theirs": ..., "which": "mine"}]`;
    "theirs" takes the other, and "both" puts two texts one below the other.
    """

    field: str
    yours: Any
    theirs: Any
    file: str


class Answer(msgspec.Struct, frozen=True, kw_only=True):
    """What came of saving. `saved` is true where all of it is on disk; else `problems` or `conflict` say why not."""

    saved: bool
    said: str = ""
    problems: list[Trouble] = []
    conflict: list[Disagreement] = []


def save(book: Journal, raw: object, *, now: dt.datetime) -> Answer:
    """Write an evening. `raw` is what the page sends, as JSON gives it; `now` is the moment, with its time zone.

    >>> import journal, pathlib, tempfile
    >>> from journal.evening.offer import offer
    >>> folder, now = tempfile.TemporaryDirectory(), dt.datetime(2025, 3, 13, 22, 4, tzinfo=dt.UTC)
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> book = journal.open(folder.name, today=dt.date(2025, 3, 13))
    >>> page = offer(book, book.today)
    >>> save(book, {"base": page.base, "day": page.day, "mood": 4, "memory": "Sewn."}, now=now).said
    'Saved to 2025/2025-03-13.toml at 22:04.'
    >>> save(book, {"base": page.base, "day": page.day, "mood": 9}, now=now).problems[0].field
    'mood'
    >>> folder.cleanup()
    """
    try:
        basis_now = reading.read_settings(book.folder)
        found, troubles = entered.read(raw, basis_now.settings, basis_now.known)
        if found is None:
            return Answer(saved=False, problems=troubles)
        pages = Pages(found.bases, lambda key: writing.look(book.folder, key))
        steps, troubles = _steps(book, found, pages, basis_now.settings, now)
    except JournalError as error:
        return Answer(saved=False, problems=[Trouble("", f"{error}.")])
    if troubles:
        return Answer(saved=False, problems=troubles)
    picks = raw.get("resolve") if isinstance(raw, Mapping) else None
    saving = _Saving(book.folder, pages, found, picks=picks if isinstance(picks, list) else [], now=now)
    return saving.save(steps, basis_now.settings)


def _steps(
    book: Journal, found: Entered, pages: Pages, settings: Settings, now: dt.datetime
) -> tuple[list[Step], list[Trouble]]:
    """The pages to write, in order, and what cannot be done."""
    known = reading.read_settings(book.folder).known
    day, next_day = found.day.isoformat(), (found.day + DAY).isoformat()
    tasks = book.tables.tasks

    def later(own: str) -> list[str]:
        rows = tasks.filter(pl.col("id") == own, pl.col("date") > found.day + DAY)
        return [date.isoformat() for date in rows.get_column("date")]

    steps = Steps(found.day)
    moves = Moves(found, pages, steps, in_use=carry.ids_in_use(tasks, book.undated), later=later)
    moves.take()
    steps.mark(day, changes.of_day(found, basis.entry(pages.base(day), known)[0], settings))
    if found.tomorrow is not None:
        entry = basis.entry(pages.base(next_day), known)[0]
        is_past = next_day < periods.day_of(now, settings).isoformat()
        strip, origin = tomorrow.strip(entry, settings, found.day + DAY)
        alone = strip if is_past and origin != "page" else None
        made = changes.of_next_day(found.tomorrow, entry, pages.base(next_day).values, not_planned=alone)
        steps.mark(next_day, made)
    return steps.in_order(), moves.troubles


class _Saving:
    """One save: the pages as they were looked at, what was decided of clashes, and what is written so far."""

    def __init__(self, folder: Path, pages: Pages, found: Entered, *, picks: Sequence[Any], now: dt.datetime) -> None:
        self.folder, self.pages, self.found, self.now = folder, pages, found, now
        self.decided = [pick for pick in picks if isinstance(pick, Mapping)]
        self.picks: dict[str, list[Pick]] = {}
        self.written: list[str] = []
        self.merged = False

    def save(self, steps: Sequence[Step], settings: Settings) -> Answer:
        together: dict[str, dict[tuple[str, ...], Any]] = {}
        for step in steps:
            together.setdefault(step.key, {}).update(step.changes)
        refused = self._rehearsed(together)
        if refused is not None:
            return refused
        bases: dict[str, Base] = {}
        for step in steps:
            base = bases.get(step.key, self.pages.base(step.key))
            try:
                result = writing.save(
                    self.folder, step.key, base, step.changes, now=self.now, resolve=self.picks.get(step.key, [])
                )
            except WriteError as error:
                return self._stopped(step.key, error)
            if isinstance(result, Conflict):  # of the moment since it was rehearsed
                return self._conflicts([(step.key, clash, result.now.path) for clash in result.clashes])
            bases[step.key] = result.base
            self.merged |= result.merged
            if result.written and result.base.path not in self.written:
                self.written.append(result.base.path)
        return Answer(saved=True, said=self._said(settings))

    def _rehearsed(self, together: Mapping[str, dict[tuple[str, ...], Any]]) -> Answer | None:
        """Try every page without writing any; what stops one stops all."""
        clashes: list[tuple[str, Clash, str]] = []
        problems: list[Trouble] = []
        for key, made in together.items():
            try:
                result = self._rehearse(key, made)
            except WriteError as error:
                problems += self._troubles(key, error)
                continue
            except JournalError as error:
                problems.append(Trouble("", f"{error}."))
                continue
            if isinstance(result, Conflict):
                clashes += [(key, clash, result.now.path) for clash in result.clashes]
        if problems:
            return Answer(saved=False, problems=problems)
        return self._conflicts(clashes) if clashes else None

    def _rehearse(self, key: str, made: dict[tuple[str, ...], Any]) -> writing.Saved | Conflict:
        base = self.pages.base(key)
        result = writing.save(self.folder, key, base, made, now=self.now, rehearse=True)
        if isinstance(result, Conflict):
            self.picks[key] = [
                pick for clash in result.clashes if (pick := self._decision(key, clash, result.now.path)) is not None
            ]
            if self.picks[key]:
                return writing.save(self.folder, key, base, made, now=self.now, rehearse=True, resolve=self.picks[key])
        return result

    def _decision(self, key: str, clash: Clash, path: str) -> Pick | None:
        """What the person decided of a clash, where she saw the same."""
        field, theirs = self._field(key, clash.path), plain(clash.theirs)
        for pick in self.decided:
            which = pick.get("which")
            if (pick.get("field"), pick.get("file"), pick.get("theirs")) == (field, path, theirs):
                return clash.pick(_WHICH[which]) if isinstance(which, str) and which in _WHICH else None
        return None

    def _conflicts(self, clashes: Sequence[tuple[str, Clash, str]]) -> Answer:
        found = [
            Disagreement(self._field(key, clash.path), plain(clash.mine), plain(clash.theirs), path)
            for key, clash, path in clashes
        ]
        said = f" {listed(self.written)} is saved already." if self.written else ""
        files = listed(dict.fromkeys(f'"{one.file}"' for one in found))
        return Answer(saved=False, conflict=found, said=f"{files} was changed elsewhere; say which to keep.{said}")

    def _stopped(self, key: str, error: WriteError) -> Answer:
        """A page could not be written after others were: nothing is lost, and the same can be saved again."""
        before = f" {listed(self.written)} is saved already." if self.written else ""
        return Answer(saved=False, said=f"Not all of it is saved.{before}", problems=self._troubles(key, error))

    def _troubles(self, key: str, error: WriteError) -> list[Trouble]:
        if not error.problems:
            return [Trouble("", f"{error}.")]
        return [
            Trouble(self._field(key, tuple(problem.where.replace("[", ".").replace("]", "").split("."))), f"{problem}.")
            for problem in error.problems
        ]

    def _field(self, key: str, path: Sequence[str | int]) -> str:
        """The field of the form that a way in a page is of; empty for one that the form has not got."""
        day, next_day = self.found.day.isoformat(), (self.found.day + DAY).isoformat()
        parts = [str(part) for part in path]
        if key not in (day, next_day):
            return UNDATED if key == UNDATED else ""
        if parts[:1] == ["hours"]:
            parts = parts[1:]
        elif parts[:1] in (["tasks"], ["appointments"]) and len(parts) > 1:
            place = self._place(key, parts[0], parts[1])
            parts = [parts[0]] if place is None else [parts[0], str(place), *parts[2:]]
        return ".".join(parts if key == day else ["tomorrow", *parts])

    def _place(self, key: str, name: str, ref: str) -> int | None:
        """Where in the form the row of a ref stands."""
        rows: Any = self.found.tasks if key == self.found.day.isoformat() else None
        if rows is None and self.found.tomorrow is not None:
            rows = getattr(self.found.tomorrow, name)
        return next((row.position for row in rows or [] if row.ref == ref), None)

    def _said(self, settings: Settings) -> str:
        if not self.written:
            return "Nothing to save: the pages say all of it already."
        home = self.now
        if settings.places:
            home = self.now.astimezone(ZoneInfo(settings.places[0].timezone))
        kept = " What was changed there meanwhile is kept." if self.merged else ""
        at = clock(home.hour * 60 + home.minute, settings.clock)
        first = {base.path: i for i, base in enumerate(self.found.bases)}
        written = sorted(self.written, key=lambda path: first.get(path, len(first)))
        return f"Saved to {listed(written)} at {at}.{kept}"


_WHICH: dict[str, Literal["mine", "theirs", "both"]] = {"mine": "mine", "theirs": "theirs", "both": "both"}


def plain(value: Any) -> Any:
    """A value as JSON has it."""
    return msgspec.to_builtins(value)
