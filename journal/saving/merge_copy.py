"""Merging a copy of a page into its page, or putting the copy away, from a form. Both can be taken back.

The form shows what a copy brings and sends back what it showed. Nothing is written if the page or its copy is another
by then.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import msgspec

from journal import opened
from journal.errors import JournalError, UsageError
from journal.folder import arriving, copy_merge, differences, discover, stray_files
from journal.folder.copy_merge import CopyMerge
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base
from journal.folder.stray_files import PageCopy
from journal.folder.three_way_merge import Clash, Pick
from journal.language.catalogue import N_, _, _n
from journal.saving import base_pages, take_back
from journal.saving.form_values import Trouble
from journal.saving.save_pages import SaveResult, decided_pick, decisions, one_save, packed, plain
from journal.saving.wall_clock import at_home
from journal.wording import pages

MOST_LINES = 40
"""Most shown lines of what a side has. A copy that differs in more is looked at in its page once it is merged."""

_TEXTS = (("memory",), ("answer",))
_CHANGED = N_("The copy or its page was changed just now. Look at it again, then choose.")


class CopyOffer(msgspec.Struct, frozen=True):
    """A copy that lies in the folder: its path, that of its page, and the name of the page."""

    path: str
    page: str
    title: str


class ClashOffer(msgspec.Struct, frozen=True):
    """A place where page and copy differ, to be decided. `field`, `file` and `theirs` are sent back with the decision:
    "theirs" is the value of the page, "mine" that of the copy, "both" the two texts one below the other."""

    field: str
    file: str
    theirs: Any
    name: str
    in_page: str
    in_copy: str
    can_be_both: bool


class CopyView(msgspec.Struct, frozen=True):
    """What a copy brings. `seen` stands for the two versions that are shown.

    `in_page` and `in_copy` are what only one of the two has, `otherwise` other differences, `changes` what merging
    changes in the page. `is_ready` is true if all is decided. `problem` says why the two cannot be merged.
    """

    path: str
    page: str
    known: str
    in_page: list[str]
    in_copy: list[str]
    otherwise: list[str]
    clashes: list[ClashOffer]
    changes: list[str]
    is_ready: bool
    seen: str
    problem: str = ""


def offers(files: OpenedFiles) -> list[CopyOffer]:
    """Return the copies that lie in the folder of a journal, by path, without those that may still be arriving."""
    starts = files.basis.settings.week_starts
    return [
        CopyOffer(copy.path, copy.page, pages.title(copy.key, week_starts=starts))
        for copy in (discover.find(files.folder).copies if files.copies is None else files.copies)
        if not arriving.is_waited_for(files.folder, stray_files.beside(copy.path, copy.key, copy.page))
    ]


def view(files: OpenedFiles, sent: Mapping[str, Any], *, now: dt.datetime) -> CopyView:
    """Return what the copy at the sent "path" brings, with the decisions sent as "resolve".

    Raises UsageError if there is no such copy.
    """
    return _view(files, _planned(files, sent, now))


def merge(files: OpenedFiles, sent: Mapping[str, Any], *, now: dt.datetime) -> SaveResult:
    """Merge the copy at the sent "path" as it was shown ("seen"), with the decisions sent as "resolve"."""

    def merged(planned: CopyMerge) -> SaveResult:
        if planned.problem:
            return _not_done(planned.problem)
        if planned.after is None:
            return _not_done(_("Not every place is decided; choose in each what stays"))
        merged = copy_merge.merge(files, planned, now=now)
        if merged is None:
            return _not_done(_(_CHANGED))
        said = _("Merged into {path} at {time}.", path=merged.page.path, time=at_home(files, now))
        if merged.stays:  # the page is written; to take it back, the copy would have to be gone
            stays = _("The copy still lies beside it: {reason}. Merge it once more.", reason=merged.stays.rstrip("."))
            return SaveResult(saved=True, said=f"{said} {stays}")
        said = " ".join([said, _("The text of the copy is kept among the earlier states.")])
        return SaveResult(saved=True, said=said, undo=_undo(planned, merged.page))

    return _done(files, sent, merged, now)


def put_away(files: OpenedFiles, sent: Mapping[str, Any], *, now: dt.datetime) -> SaveResult:
    """Remove the copy at the sent "path" as it was shown, and leave its page as it is."""

    def removed(planned: CopyMerge) -> SaveResult:
        if planned.copied is None or planned.page is None or not copy_merge.put_away(files, planned, now=now):
            return _not_done(planned.problem or _(_CHANGED))
        said = _(
            "The copy is put away, {path} stays as it is. Its text is kept among the earlier states.",
            path=planned.page.path,
        )
        return SaveResult(saved=True, said=said, undo=_undo(planned, planned.page))

    return _done(files, sent, removed, now)


def back(files: OpenedFiles, sent: Mapping[str, Any], *, now: dt.datetime) -> SaveResult:
    """Take a merge, or putting away, back: the page as before, and the copy beside it."""
    try:
        before, after, copied = _unpacked(sent.get("undo"))
        result = SaveResult(saved=True)
        if before.data != after.data:
            undo = packed([(before, after)])
            book = opened.read(files.again(), today=now.date(), cache=True)
            result = take_back.take_back(book, undo, now=now, by="merge", raw=sent)
        if not result.saved:
            return result
        copy_merge.put_copy_back(files, copied, before.path)
    except JournalError as error:
        return _not_done(str(error))
    merged = " " + _("What was changed in the page meanwhile is kept.") if "meanwhile" in result.said else ""
    return SaveResult(saved=True, said=_("Taken back. {path} lies beside its page again.", path=copied.path) + merged)


def _planned(files: OpenedFiles, sent: Mapping[str, Any], now: dt.datetime) -> CopyMerge:
    copy = _copy(files, sent.get("path"))
    decided = decisions(sent)

    def decide(clash: Clash) -> Pick | None:
        return decided_pick(decided, _field(clash), clash, copy.page)

    return copy_merge.plan(files, copy, now=now, decide=decide)


def _copy(files: OpenedFiles, path: object) -> PageCopy:
    """Return the copy with a path. Raises UsageError if there is none."""
    found = next((copy for copy in discover.find(files.folder).copies if copy.path == path), None)
    if found is None:
        raise UsageError(_("the copy is not there any more; it may have been merged elsewhere"))
    return found


def _view(files: OpenedFiles, planned: CopyMerge) -> CopyView:
    name_of = files.basis.settings.habit_name
    page, copied, copy = planned.page, planned.copied, planned.copy
    data = None if page is None else page.data
    changes = [] if copied is None else differences.between(copy.key, data, copied.data, name_of)
    after = planned.after
    brought = [] if after is None else differences.between(copy.key, data, after.data, name_of)
    return CopyView(
        path=copy.path,
        page=copy.page,
        known=_known(files, planned),
        in_page=_first([change.removed for change in changes if change.removed]),
        in_copy=_first([change.added for change in changes if change.added]),
        otherwise=_first([change.words for change in changes if not (change.added or change.removed)]),
        clashes=[_clash(files, planned, clash) for clash in planned.clashes],
        changes=_first([change.words for change in brought]),
        is_ready=after is not None,
        seen=_seen(planned),
        problem=planned.problem,
    )


def _known(files: OpenedFiles, planned: CopyMerge) -> str:
    if planned.problem:
        return ""
    if planned.since is None:
        return _("No earlier state is kept from which both come. What only one of them has stays.")
    since = at_home(files, planned.since, day=True)
    return _("Both come from the state of {moment}. What each changed since is merged.", moment=since)


def _first(lines: Sequence[str]) -> list[str]:
    more = len(lines) - MOST_LINES
    return [*lines[:MOST_LINES], *([_n("and {count} more line", "and {count} more lines", more)] if more > 0 else [])]


def _clash(files: OpenedFiles, planned: CopyMerge, clash: Clash) -> ClashOffer:
    versions = [base.values for base in (planned.page, planned.copied) if base is not None]
    return ClashOffer(
        field=_field(clash),
        file=planned.copy.page,
        theirs=plain(clash.theirs),
        name=differences.place(clash.path, versions, files.basis.settings.habit_name),
        in_page=differences.shown(clash.path, clash.theirs),
        in_copy=differences.shown(clash.path, clash.mine),
        can_be_both=clash.path[-1:] in _TEXTS and isinstance(clash.theirs, str) and isinstance(clash.mine, str),
    )


def _field(clash: Clash) -> str:
    return ".".join(map(str, clash.path))


def _seen(planned: CopyMerge) -> str:
    """Return a digest of the two versions."""
    digest = hashlib.sha256()
    for base in (planned.page, planned.copied):
        data = None if base is None else base.data
        digest.update(b"-" if data is None else b"%d:" % len(data) + data)
    return digest.hexdigest()[:32]


def _done(
    files: OpenedFiles, sent: Mapping[str, Any], make: Callable[[CopyMerge], SaveResult], now: dt.datetime
) -> SaveResult:
    def made() -> SaveResult:
        try:
            planned = _planned(files, sent, now)
            return make(planned) if _seen(planned) == sent.get("seen") else _not_done(_(_CHANGED))
        except JournalError as error:
            return _not_done(str(error))

    return one_save(files, made, now=now)


def _undo(planned: CopyMerge, after: Base) -> str:
    assert planned.page is not None, "it is planned"
    assert planned.copied is not None, "and so is what is copied"
    return base_pages.packed((planned.page, after, planned.copied))


def _unpacked(text: object) -> tuple[Base, Base, Base]:
    """Return the page before and after, and the copy. Raises UsageError for a string that `_undo` did not make."""
    found = base_pages.unpacked(text)
    if len(found) != 3 or len({base.key for base in found}) != 1 or found[2].data is None:
        raise UsageError(_("what is to be taken back is missing; open the page anew"))
    return found[0], found[1], found[2]


def _not_done(reason: str) -> SaveResult:
    message = reason if reason.endswith(".") else f"{reason}."
    return SaveResult(saved=False, problems=[Trouble("", message[:1].upper() + message[1:])])
