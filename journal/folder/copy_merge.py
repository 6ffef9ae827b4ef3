"""Merging of a page with a copy of it, which a program that synchronises, or a person, has left in the folder.

    plan = copy_merge.plan(files, copy, now=now)
    copy_merge.merge(files, plan, now=now)
    copy_merge.put_away(files, plan, now=now)  # or this: the page stays as it is

The kept states of the page may have the one from which both come (`base_of`). Then the two are merged by the same rules
as a page that changed while a form was open. Without such a state, what only one of them has stays, and where they
differ the person decides. The copy is removed only when its bytes are kept in the history of its page.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from typing import Any, Literal

import msgspec

from journal.errors import JournalError, WriteError
from journal.folder import (
    atomic_write,
    discover,
    history,
    plain_file,
    stray_files,
    stray_names,
    toml_format,
    write_refusals,
    writing,
)  # fmt: skip
from journal.folder.folder_walk import is_outside
from journal.folder.history_records import PageState
from journal.folder.identity import TomlTable, is_same, matched
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base
from journal.folder.stray_files import PageCopy, StrayFile
from journal.folder.three_way_merge import Clash, Pick
from journal.folder.writing import Conflict
from journal.language import system_errors
from journal.language.catalogue import N_, _

Side = Literal["page", "copy"]

Decide = Callable[[Clash], Pick | None]
"""The decision about a clash, None if there is none yet. "theirs" is the value of the page, "mine" that of the copy."""

_WHICH: dict[Side, Literal["theirs", "mine"]] = {"page": "theirs", "copy": "mine"}
MOST_STATES = 200
"""How many states, the newest first, are compared with a copy. It is merged within weeks of its coming."""


class CopyMerge(msgspec.Struct, frozen=True):
    """What merging a copy would do. Nothing is written yet.

    `page` and `copied` are the two versions, `since` the moment of the state from which both come, None if none is
    known. `clashes` are the places where the two differ, `picks` the decisions about them. `after` is the merged page,
    None while a clash is undecided, or if `problem` says why the two cannot be merged.
    """

    copy: PageCopy
    page: Base | None = None
    copied: Base | None = None
    base: Base | None = None
    since: dt.datetime | None = None
    after: Base | None = None
    clashes: tuple[Clash, ...] = ()
    picks: tuple[Pick, ...] = ()
    problem: str = ""


class MergedCopy(msgspec.Struct, frozen=True):
    """The page with a copy merged into it. `stays` is the reason why the copy still lies beside it, normally empty."""

    page: Base
    stays: str


def keeping(side: Side) -> Decide:
    """Return the decision that every clash gets the value of one side."""
    return lambda clash: clash.pick(_WHICH[side])


def plan(files: OpenedFiles, copy: PageCopy, *, now: dt.datetime, decide: Decide | None = None) -> CopyMerge:
    """Return what merging a copy would do, with the decisions about its clashes."""
    found = CopyMerge(copy)
    try:
        copied = _read(files, copy)
        page = files.pages.current(copy.key)
        found = msgspec.structs.replace(found, page=page, copied=copied)
        if page.path != copy.page:
            raise WriteError(_('"{path}" is read no more; look again', path=copy.page))
        copied.values  # noqa: B018 (raises)
        state = base_of(history.states(files.folder, copy.key, page.data), page, copied)
        base = Base(copy.key, page.path, state.data if state else b"")
        found = msgspec.structs.replace(found, base=base, since=state.moment if state else None)
        result = _save(files, found, now=now, rehearse=True)
        if isinstance(result, Conflict):
            decided = [decide(clash) for clash in result.clashes] if decide else []
            picks = tuple(pick for pick in decided if pick is not None)
            found = msgspec.structs.replace(found, clashes=result.clashes, picks=picks)
            if len(picks) < len(result.clashes):
                return found
            result = _save(files, found, now=now, rehearse=True)
            if isinstance(result, Conflict):
                return msgspec.structs.replace(found, clashes=result.clashes, picks=())
        return msgspec.structs.replace(found, after=result.base)
    except JournalError as error:
        return msgspec.structs.replace(found, problem=str(error))


def merge(files: OpenedFiles, planned: CopyMerge, *, now: dt.datetime) -> MergedCopy | None:
    """Merge a copy into its page as planned, and remove the copy. Return None if either was changed meanwhile.

    Raises WriteError if the copy cannot be kept in the history of its page, or the page cannot be written. The copy
    stays then. A copy that cannot be removed after its page was written is told in the answer.
    """
    copied = planned.copied
    assert copied is not None, "it is planned"
    with files.lock():
        if not _kept(files, planned, now):
            return None
        result = _save(files, planned, now=now)
        if isinstance(result, Conflict):
            return None
        try:
            changed = _('"{path}" was changed just now', path=planned.copy.path)
            stays = "" if _removed(files, planned.copy, copied) else changed
        except WriteError as error:
            stays = str(error)
        return MergedCopy(result.base, stays)


def put_away(files: OpenedFiles, planned: CopyMerge, *, now: dt.datetime) -> bool:
    """Remove a copy and leave its page as it is. Return False if either was changed meanwhile.

    Raises WriteError if the copy cannot be kept in the history of its page. The copy stays then.
    """
    copied = planned.copied
    assert copied is not None, "it is planned"
    write_refusals.refuse_other(files.basis)
    with files.lock():
        return _kept(files, planned, now) and _removed(files, planned.copy, copied)


def put_copy_back(files: OpenedFiles, copied: Base, page: str) -> None:
    """Put the file of a copy back that was merged or put away. `page` is the path of its page.

    Raises WriteError if another file has its name by now, if it cannot be written, or if the name is none of a copy.
    """
    write_refusals.refuse_other(files.basis)
    name = copied.path.rpartition("/")[2]
    found = stray_files.told([StrayFile(copied.path, name, stray_names.stray(name))], {copied.key: page})[1]
    is_second = name == f"{copied.key}.toml" and copied.path != page
    if not (is_second or any(copy.key == copied.key for copy in found)) or _is_hidden(copied.path):
        raise WriteError(_('"{path}" is no name of a copy', path=copied.path))
    _refuse_outside(files, copied.path)
    try:
        with files.lock():
            atomic_write.replace(files.folder / copied.path, copied.data or b"", None)
    except atomic_write.ChangedError:
        text = N_('"{path}" is not put back: another file has its name by now')
        raise WriteError(_(text, path=copied.path)) from None
    except OSError as error:
        text = N_('"{path}" is not put back ({reason}); its text is in the history')
        raise WriteError(_(text, path=copied.path, reason=system_errors.reason(error))) from None


def _is_hidden(path: str) -> bool:
    return any(not name or name.startswith(".") for name in path.split("/"))


def _kept(files: OpenedFiles, planned: CopyMerge, now: dt.datetime) -> bool:
    """Keep both versions in the history of the page. Return False if either was changed since. Raises WriteError."""
    page, copied = planned.page, planned.copied
    assert page is not None, "it is planned"
    assert copied is not None, "and so is what is copied"
    if _read(files, planned.copy).data != copied.data or files.pages.current(page.key).data != page.data:
        return False
    for version in (copied, page):  # the present page last, as it is what the next state follows
        if history.keep(files.folder, page.key, version.data, now=now, by="elsewhere") is None:
            text = N_('"{path}" stays: it cannot be kept in .history; make that writable')
            raise WriteError(_(text, path=planned.copy.path))
    return True


def _removed(files: OpenedFiles, copy: PageCopy, copied: Base) -> bool:
    """Remove a copy whose bytes are kept. Return False if it was changed since. Raises WriteError.

    What another program writes into it until it is gone is put back, or kept (`atomic_write.remove`).
    """
    path = files.folder / copy.path
    if _read(files, copy).data != copied.data:
        return False
    try:
        if path.is_symlink():
            path.unlink(missing_ok=True)  # the link alone
        else:
            atomic_write.remove(path, copied.data or b"")
    except atomic_write.ChangedError:
        return False
    except OSError as error:
        text = N_('"{path}" stays: it cannot be removed ({reason})')
        raise WriteError(_(text, path=copy.path, reason=system_errors.reason(error))) from None
    return True


def base_of(states: Sequence[PageState], page: Base, copied: Base) -> PageState | None:
    """Return the kept state of a page from which both the page and a copy come, None if none is certain enough.

    The copy must have everything of the state, with the same value or another: what it lacks may have been removed in
    it, or written here after the two parted. Of several such states, the one that differs least from the copy is it, of
    equal ones the newest. The page as it is now is none.

    >>> moment = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
    >>> states = [PageState(moment, "evening", text) for text in (b"mood = 3", b"mood = 4")]
    >>> page, copied = (Base("2025", "2025.toml", text) for text in (b"mood = 4", b'mood = 3\\nmemory = "Sewn."'))
    >>> base_of(states, page, copied).data
    b'mood = 3'
    """
    best: tuple[int, PageState] | None = None
    for state in reversed(states[-MOST_STATES:]):
        if state.data in (None, page.data):
            continue
        try:
            values = Base(page.key, page.path, state.data).values
        except WriteError:  # a state that an editor had left broken
            continue
        distance = _distance(values, copied.values)
        if distance is not None and not is_same(values, page.values) and (best is None or distance < best[0]):
            best = distance, state
    return None if best is None else best[1]


def _distance(old: TomlTable, new: TomlTable) -> int | None:
    """Return how many values differ between two tables; None if the new one lacks something of the old."""
    total = sum(name not in old for name in new)
    for name, value in old.items():
        part = _between(name, value, new[name]) if name in new else None
        if part is None:
            return None
        total += part
    return total


def _between(name: str, old: Any, new: Any) -> int | None:
    if isinstance(old, dict) and isinstance(new, dict):
        return _distance(old, new)
    if not (isinstance(old, list) and isinstance(new, list)):
        return int(not is_same(old, new))
    if name in (*toml_format.LISTS, *toml_format.SETTINGS_LISTS):
        pairs = matched(name, old, new)
        if len(pairs) < len(old):
            return None
        parts = [_distance(old[i], new[j]) for j, i in pairs.items()]
        return None if None in parts else sum(filter(None, parts)) + len(new) - len(old)
    missing = [value for value in old if not any(is_same(value, other) for other in new)]
    return None if missing else len(new) - len(old)


def _read(files: OpenedFiles, copy: PageCopy) -> Base:
    """Return the version that a copy has. Raises WriteError if it cannot be read, or leads out of the journal."""
    _refuse_outside(files, copy.path)
    try:
        data = plain_file.read(files.folder / copy.path, discover.SIZE_LIMIT)
    except OSError as error:
        text = N_('"{path}" cannot be read ({reason}); look whether it is still there')
        raise WriteError(_(text, path=copy.path, reason=system_errors.reason(error))) from None
    return Base(copy.key, copy.path, data)


def _refuse_outside(files: OpenedFiles, path: str) -> None:
    if is_outside(str(files.folder), path):
        text = N_('"{path}" is a link that leads out of the journal; move its file into the journal')
        raise WriteError(_(text, path=path))


def _save(
    files: OpenedFiles, planned: CopyMerge, *, now: dt.datetime, rehearse: bool = False
) -> writing.Saved | Conflict:
    """Save what the copy changed since the base to the page, or rehearse it."""
    base, copied = planned.base, planned.copied
    assert base is not None, "it is planned"
    assert copied is not None, "and so is what is copied"
    changes: dict[tuple[str, ...], Any] = {
        (name,): value for name, value in copied.values.items() if not is_same(base.values.get(name), value)
    }
    return writing.save(
        files.folder,
        base.key,
        base,
        changes,
        now=now,
        by="merge",
        resolve=planned.picks,
        rehearse=rehearse,
        files=files,
    )
