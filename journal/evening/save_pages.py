"""Several pages written together: all of them, or none and the reason beside the field it is of.

Every page is rehearsed before the first is written. Pages are then written one by one, each whole or as it was, in the
order in which they are given, which is to be one in which it is safe to stop between any two.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal
from zoneinfo import ZoneInfo

import msgspec

from journal.errors import JournalError, WriteError
from journal.evening.base_pages import Pages
from journal.evening.form_values import Trouble
from journal.evening.page_changes import ChangeSet, PageWrite
from journal.folder import writing
from journal.folder.opened_files import OpenedFiles
from journal.folder.writing import Clash, Conflict, Pick
from journal.settings import Settings
from journal.wording import dates, numbers

FormField = Callable[[str, Sequence[str | int]], str]
"""The field of the form that a way in a page is of, by the page's key; empty for one that the form has not got."""


class Disagreement(msgspec.Struct, frozen=True):
    """One thing that was changed here and elsewhere since, each to something else: a field, both values, the file.

    To decide, save the same again with `"resolve": [{"field": ..., "file": ..., "theirs": ..., "which": "mine"}]`;
    "theirs" takes the other, and "both" puts two texts one below the other.
    """

    field: str
    yours: Any
    theirs: Any
    file: str


class SaveResult(msgspec.Struct, frozen=True, kw_only=True):
    """What came of saving. `saved` is true where all of it is on disk; else `problems` or `conflict` say why not."""

    saved: bool
    said: str = ""
    problems: list[Trouble] = []
    conflict: list[Disagreement] = []


class Together:
    """One save: the pages as they were looked at, what was decided of clashes, and what is written so far.

    `files` are those of the request, so that all pages are checked by one journal.toml. `raw` is what the form sent;
    of it only "resolve" is read here.
    """

    def __init__(self, files: OpenedFiles, pages: Pages, raw: object, *, field: FormField, now: dt.datetime) -> None:
        self.files, self.pages, self.now, self._field = files, pages, now, field
        picks = raw.get("resolve") if isinstance(raw, Mapping) else None
        self.decided = [pick for pick in picks if isinstance(pick, Mapping)] if isinstance(picks, list) else []
        self.picks: dict[str, list[Pick]] = {}
        self.written: list[str] = []
        self.merged = False

    def save(self, steps: Sequence[PageWrite]) -> SaveResult:
        """Write the steps in their order; one page may have several."""
        together: dict[str, ChangeSet] = {}
        for step in steps:
            together.setdefault(step.key, {}).update(step.changes)
        refused = self._rehearsed(together)
        if refused is not None:
            return refused
        so_far: dict[str, ChangeSet] = {}
        for step in steps:
            key, is_first = step.key, step.key not in so_far
            # All that the page has been changed by yet, against what was looked at: by now its tasks may go by other
            # names, from this save or from one that stopped half-way.
            made = so_far.setdefault(key, {})
            made |= step.changes
            try:
                result = self._save(key, made, resolve=self.picks.get(key, []))
            except WriteError as error:
                return self._stopped(key, error)
            if isinstance(result, Conflict):  # of the moment since it was rehearsed
                return self._conflicts([(key, clash, result.now.path) for clash in result.clashes])
            self.merged |= result.merged and is_first
            if result.written and result.base.path not in self.written:
                self.written.append(result.base.path)
        return SaveResult(saved=True, said=self._said(self.files.basis.settings))

    def _rehearsed(self, together: Mapping[str, ChangeSet]) -> SaveResult | None:
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
            return SaveResult(saved=False, problems=problems)
        return self._conflicts(clashes) if clashes else None

    def _rehearse(self, key: str, made: ChangeSet) -> writing.Saved | Conflict:
        result = self._save(key, made, rehearse=True)
        if isinstance(result, Conflict):
            self.picks[key] = [
                pick for clash in result.clashes if (pick := self._decision(key, clash, result.now.path)) is not None
            ]
            if self.picks[key]:
                return self._save(key, made, rehearse=True, resolve=self.picks[key])
        return result

    def _save(
        self, key: str, made: ChangeSet, *, rehearse: bool = False, resolve: Sequence[Pick] = ()
    ) -> writing.Saved | Conflict:
        folder, base = self.files.folder, self.pages.base(key)
        return writing.save(folder, key, base, made, now=self.now, resolve=resolve, rehearse=rehearse, files=self.files)

    def _decision(self, key: str, clash: Clash, path: str) -> Pick | None:
        """What the person decided of a clash, where she saw the same."""
        field, theirs = self._field(key, clash.path), plain(clash.theirs)
        for pick in self.decided:
            which = pick.get("which")
            if (pick.get("field"), pick.get("file"), pick.get("theirs")) == (field, path, theirs):
                return clash.pick(_WHICH[which]) if isinstance(which, str) and which in _WHICH else None
        return None

    def _conflicts(self, clashes: Sequence[tuple[str, Clash, str]]) -> SaveResult:
        found = [
            Disagreement(self._field(key, clash.path), plain(clash.mine), plain(clash.theirs), path)
            for key, clash, path in clashes
        ]
        said = f" {numbers.listed(self.written)} is saved already." if self.written else ""
        files = numbers.listed(dict.fromkeys(f'"{one.file}"' for one in found))
        return SaveResult(saved=False, conflict=found, said=f"{files} was changed elsewhere; say which to keep.{said}")

    def _stopped(self, key: str, error: WriteError) -> SaveResult:
        """A page could not be written after others were: nothing is lost, and the same can be saved again."""
        before = f" {numbers.listed(self.written)} is saved already." if self.written else ""
        return SaveResult(saved=False, said=f"Not all of it is saved.{before}", problems=self._troubles(key, error))

    def _troubles(self, key: str, error: WriteError) -> list[Trouble]:
        if not error.problems:
            return [Trouble("", f"{error}.")]
        return [
            Trouble(self._field(key, tuple(problem.where.replace("[", ".").replace("]", "").split("."))), f"{problem}.")
            for problem in error.problems
        ]

    def _said(self, settings: Settings) -> str:
        if not self.written:
            return "Nothing to save: the pages say all of it already."
        home = self.now
        if settings.places:
            home = self.now.astimezone(ZoneInfo(settings.places[0].timezone))
        kept = " What was changed there meanwhile is kept." if self.merged else ""
        at = dates.clock(home.hour * 60 + home.minute, settings.clock)
        first = {base.path: i for i, base in enumerate(self.pages.bases.values())}
        written = sorted(self.written, key=lambda path: first.get(path, len(first)))
        return f"Saved to {numbers.listed(written)} at {at}.{kept}"


_WHICH: dict[str, Literal["mine", "theirs", "both"]] = {"mine": "mine", "theirs": "theirs", "both": "both"}


def plain(value: Any) -> Any:
    """A value as JSON has it."""
    return msgspec.to_builtins(value)
