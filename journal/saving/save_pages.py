"""Saving of several pages: all of them, or none and the problem beside its field.

Every page is rehearsed before the first is written. Then the pages are written atomically, in the given order, in which
it must be safe to stop between any two. If the process is stopped there, the next one finishes the save
(`folder/interrupted_save`).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal
from zoneinfo import ZoneInfo

import msgspec

from journal.errors import FolderError, JournalError, WriteError
from journal.folder import failed_save, interrupted_save, reading, save_record, writing
from journal.folder.applied_changes import changed
from journal.folder.history_records import PageWriter
from journal.folder.opened_files import OpenedFiles
from journal.folder.save_record import VersionPair
from journal.folder.writing import Base, Clash, Conflict, Pick
from journal.language.catalogue import _
from journal.saving import base_pages, stale_moves
from journal.saving.base_pages import Pages
from journal.saving.form_values import Trouble
from journal.settings import Settings
from journal.wording import dates, numbers

ChangeSet = dict[tuple[str, ...], Any]
"""The changes of a page: a value or REMOVE by key path."""

FormField = Callable[[str, Sequence[str | int]], str]
"""Function from a page's key and a path in it to the form field; empty if the form has no such field."""


class PageWrite(msgspec.Struct, frozen=True):
    """One page to write: its key, and its changes."""

    key: str
    changes: ChangeSet


class Disagreement(msgspec.Struct, frozen=True):
    """One value that was changed here and elsewhere, differently: the field, both values, and the file.

    To resolve it, save the same again with `"resolve": [{"field": ..., "file": ..., "theirs": ..., "which": "mine"}]`.
    "theirs" takes the other value, "both" puts two texts one below the other.
    """

    field: str
    yours: Any
    theirs: Any
    file: str


class SaveResult(msgspec.Struct, frozen=True, kw_only=True):
    """The result of a save.

    `saved` is true if everything is on disk. Otherwise `problems` or `conflict` give the reason. `partly` is true if
    everything is on disk except for pages that cannot be read. `undo` is what the form sends back to take the save back
    (`take_back`), empty if nothing was written. `lost` tells of pages that were deleted or emptied elsewhere.
    """

    saved: bool
    partly: bool = False
    said: str = ""
    problems: list[Trouble] = []
    conflict: list[Disagreement] = []
    undo: str = ""
    lost: str = ""


def packed(replaced: Sequence[tuple[Base, Base]]) -> str:
    """Return what a save replaced, each version with the one written, as one string. Empty if it replaced nothing."""
    return base_pages.packed(tuple(base for pair in replaced for base in pair)) if replaced else ""


class PagesSave:
    """One save: the base versions, the decisions on clashes, and the pages written so far.

    `files` are those of the request, so one journal.toml validates all pages. `raw` is the submitted form; only
    "resolve" is read here. `replaced` has each version that was replaced, with the one written, in order.
    """

    def __init__(
        self, files: OpenedFiles, pages: Pages, raw: object, *, field: FormField, now: dt.datetime, by: PageWriter
    ) -> None:
        self.files, self.pages, self.now, self.by, self._field = files, pages, now, by, field
        self.decided = decisions(raw)
        self.picks: dict[str, list[Pick]] = {}
        self.written: list[str] = []
        self.replaced: list[tuple[Base, Base]] = []
        self.merged = False
        self._planned: dict[str, VersionPair] = {}  # by page, the version found at the rehearsal and the one to write
        self._unchanged: dict[str, Base] = {}  # by page, the version found that has all changes already, or clashes

    def rehearse(self, steps: Sequence[PageWrite]) -> SaveResult | None:
        """Return the answer of a save that cannot be made, or None. Nothing is written."""
        by_page: dict[str, ChangeSet] = {}
        for step in steps:
            by_page.setdefault(step.key, {}).update(step.changes)
        return self._rehearse_all(by_page)

    def save(self, steps: Sequence[PageWrite]) -> SaveResult:
        """Write the steps in order. One page may have several. An interrupted save is finished first."""
        return one_save(self.files, lambda: self.rehearse(steps) or self._save_all(steps), now=self.now)

    def _save_all(self, steps: Sequence[PageWrite]) -> SaveResult:
        changes = [self._planned[key] for key in dict.fromkeys(step.key for step in steps) if key in self._planned]
        with save_record.kept(self.files.folder, changes, self.now, self.by):
            return self._save_steps(steps)

    def _save_steps(self, steps: Sequence[PageWrite]) -> SaveResult:
        so_far: dict[str, ChangeSet] = {}
        for step in steps:
            key, is_first = step.key, step.key not in so_far
            # All changes so far are applied to the original page each time: its tasks may have other identities by now,
            # from this save or from an interrupted one.
            changes = so_far.setdefault(key, {})
            changes |= step.changes
            try:
                result = self._save(key, changes, resolve=self.picks.get(key, []))
            except WriteError as error:
                return self._stopped(key, error)
            if isinstance(result, Conflict):  # it changed after the rehearsal
                return self._conflicts([(key, result)])
            self.merged |= result.merged and is_first
            if result.written and result.base.path not in self.written:
                self.written.append(result.base.path)
            if result.written and result.before is not None:
                self.replaced.append((result.before, result.base))
        return SaveResult(saved=True, said=self._message(self.files.basis.settings), undo=packed(self.replaced))

    def _rehearse_all(self, by_page: Mapping[str, ChangeSet]) -> SaveResult | None:
        """Rehearse every page without writing. The problems of any page stop all."""
        clashing: list[tuple[str, Conflict]] = []
        problems: list[Trouble] = []
        self._planned.clear()
        self._unchanged.clear()
        for key, changes in by_page.items():
            try:
                result = self._rehearse(key, changes)
            except WriteError as error:
                problems += self._troubles(key, error)
                continue
            except JournalError as error:
                problems.append(Trouble("", f"{error}."))
                continue
            if isinstance(result, Conflict):
                clashing.append((key, result))
                if not lost_text(result):  # what a deleted page had is in question as a whole
                    self._unchanged[key] = result.now
            elif result.before is not None and result.base.data != result.before.data:
                self._planned[key] = result.before, result.base
            else:
                self._unchanged[key] = result.base
        problems = problems or self._stale_moves(by_page)
        if problems:
            return SaveResult(saved=False, problems=problems)
        return self._conflicts(clashing) if clashing else None

    def _stale_moves(self, by_page: Mapping[str, ChangeSet]) -> list[Trouble]:
        """Return a problem for each task that another window has moved from where this save would take it."""
        pages = []
        rehearsed = self._planned | {key: (found, found) for key, found in self._unchanged.items()}
        for key, (found, written) in rehearsed.items():
            if any(path[0] == "tasks" for path in by_page[key]):
                base = self.pages.base(key)
                mine = changed(base.values, by_page[key]).get("tasks") or []
                seen, there, after = map(stale_moves.tasks, (base, found, written))
                pages.append(stale_moves.TaskPage(seen, there, after, mine))
        return [Trouble("", _moved_text(title)) for title in stale_moves.titles(pages)]

    def _rehearse(self, key: str, changes: ChangeSet) -> writing.Saved | Conflict:
        result = self._save(key, changes, rehearse=True)
        if isinstance(result, Conflict):
            self.picks[key] = [
                pick
                for clash in result.clashes
                if (pick := decided_pick(self.decided, self._field(key, clash.path), clash, result.now.path))
                is not None
            ]
            if self.picks[key]:
                return self._save(key, changes, rehearse=True, resolve=self.picks[key])
        return result

    def _save(
        self, key: str, changes: ChangeSet, *, rehearse: bool = False, resolve: Sequence[Pick] = ()
    ) -> writing.Saved | Conflict:
        folder, base = self.files.folder, self.pages.base(key)
        return writing.save(
            folder, key, base, changes, now=self.now, by=self.by, resolve=resolve, rehearse=rehearse, files=self.files
        )

    def _conflicts(self, clashing: Sequence[tuple[str, Conflict]]) -> SaveResult:
        disagreements = [
            Disagreement(self._field(key, clash.path), plain(clash.mine), plain(clash.theirs), conflict.now.path)
            for key, conflict in clashing
            for clash in conflict.clashes
        ]
        saved = _saved_already(self.written)
        lost = "; ".join(filter(None, (lost_text(conflict) for _other, conflict in clashing)))
        changed = [_('"{text}"', text=conflict.now.path) for _other, conflict in clashing if not lost_text(conflict)]
        reasons = [
            *([lost] if lost else []),
            *([_("{files} was changed elsewhere", files=numbers.listed(changed))] if changed else []),
        ]
        said = _("{reasons}; say which to keep.", reasons="; ".join(reasons)) + saved
        return SaveResult(saved=False, conflict=disagreements, said=said, lost=lost and f"{lost}.")

    def _stopped(self, key: str, error: WriteError) -> SaveResult:
        """Return the answer for a failed write after others succeeded. The same save can be repeated."""
        saved = _saved_already(self.written)
        return SaveResult(saved=False, said=_("Not all of it is saved.") + saved, problems=self._troubles(key, error))

    def _troubles(self, key: str, error: WriteError) -> list[Trouble]:
        if not error.problems:
            return [Trouble("", f"{error}.")]
        return [
            Trouble(self._field(key, tuple(problem.where.replace("[", ".").replace("]", "").split("."))), f"{problem}.")
            for problem in error.problems
        ]

    def _message(self, settings: Settings) -> str:
        if not self.written:
            return _("Nothing to save: the pages say all of it already.")
        home = self.now
        if settings.places:
            home = self.now.astimezone(ZoneInfo(settings.places[0].timezone))
        kept = " " + _("What was changed there meanwhile is kept.") if self.merged else ""
        at = dates.clock(home.hour * 60 + home.minute, settings.clock)
        first = {base.path: i for i, base in enumerate(self.pages.bases.values())}
        written = sorted(self.written, key=lambda path: first.get(path, len(first)))
        return _("Saved to {files} at {time}.", files=numbers.listed(written), time=at) + kept


def _saved_already(written: Sequence[str]) -> str:
    return " " + _("{files} is saved already.", files=numbers.listed(written)) if written else ""


def _moved_text(title: str) -> str:
    return _(
        '"{title}" was moved elsewhere since this page was opened; look at what changed, then save again.', title=title
    )


def one_save(files: OpenedFiles, make: Callable[[], SaveResult], *, now: dt.datetime) -> SaveResult:
    """Make a save while no other process writes. One that was interrupted earlier is finished first, and told."""
    finished = interrupted_save.finish(files, now)
    try:
        reading.refuse_if_gone(files.folder)
    except FolderError:
        return make()  # it says so; the lock would make a folder there
    try:
        with files.lock():
            result = make()
    except WriteError as error:  # another process does not end writing
        result = SaveResult(saved=False, problems=[Trouble("", f"{error}.")])
    except OSError as error:
        reason = failed_save.reason_of(files.folder, "", error)
        result = SaveResult(saved=False, problems=[Trouble("", f"{reason}.")])
    return msgspec.structs.replace(result, said=f"{finished} {result.said}".strip()) if finished else result


_WHICH: dict[str, Literal["mine", "theirs", "both"]] = {"mine": "mine", "theirs": "theirs", "both": "both"}


def decisions(raw: object) -> list[Mapping[str, Any]]:
    """Return the decisions on clashes of a submitted form, as they were sent."""
    picks = raw.get("resolve") if isinstance(raw, Mapping) else None
    return [pick for pick in picks if isinstance(pick, Mapping)] if isinstance(picks, list) else []


def decided_pick(decided: Sequence[Mapping[str, Any]], field: str, clash: Clash, path: str) -> Pick | None:
    """Return the decision on a clash, if it was made for the same values."""
    for pick in decided:
        which = pick.get("which")
        if (pick.get("field"), pick.get("file"), pick.get("theirs")) == (field, path, plain(clash.theirs)):
            return clash.pick(_WHICH[which]) if isinstance(which, str) and which in _WHICH else None
    return None


def lost_text(conflict: Conflict) -> str:
    """Return what is told of a page that was deleted or emptied elsewhere, or an empty text."""
    if not any(clash.path == () for clash in conflict.clashes):
        return ""
    path, is_gone = conflict.now.path, conflict.now.data is None
    text = (
        _('"{path}" was deleted elsewhere', path=path)
        if is_gone
        else _('"{path}" has lost its text elsewhere', path=path)
    )
    return text + (_(' (what it held is kept: "duskbook history" shows it)') if conflict.is_kept else "")


def plain(value: Any) -> Any:
    """Return a value as JSON has it."""
    return msgspec.to_builtins(value)
