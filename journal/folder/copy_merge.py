"""Merging of a page with a copy of it, which a program that synchronises, or a person, has left in the folder.

    plan = copy_merge.plan(files, copy, now=now)
    copy_merge.merge(files, plan, now=now)

The kept states of the page may have the one from which both come (`base_of`). Then the two are merged by the same rules
as a page that changed while a form was open. Without such a state, what only one of them has stays, and where they
differ the person decides. The copy is removed only when its bytes are kept in the history of its page.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any, Literal

import msgspec

from journal.errors import JournalError, WriteError
from journal.folder import discover, history, locking, plain_file, toml_format, writing
from journal.folder.folder_walk import is_outside
from journal.folder.history_records import PageState
from journal.folder.identity import TomlTable, is_same, matched
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base
from journal.folder.stray_files import PageCopy
from journal.folder.three_way_merge import Clash
from journal.folder.writing import Conflict

Side = Literal["page", "copy"]

_WHICH: dict[Side, Literal["theirs", "mine"]] = {"page": "theirs", "copy": "mine"}
MOST_STATES = 200
"""How many states, the newest first, are compared with a copy. It is merged within weeks of its coming."""


class CopyMerge(msgspec.Struct, frozen=True):
    """What merging a copy would do. Nothing is written yet.

    `page` and `copied` are the two versions, `since` the moment of the state from which both come, None if none is
    known. `after` is the merged page, None while `clashes` are open, or if `problem` says why the two cannot be merged.
    """

    copy: PageCopy
    page: Base | None = None
    copied: Base | None = None
    base: Base | None = None
    since: dt.datetime | None = None
    after: Base | None = None
    clashes: tuple[Clash, ...] = ()
    problem: str = ""


def plan(files: OpenedFiles, copy: PageCopy, *, now: dt.datetime, keep: Side | None = None) -> CopyMerge:
    """Return what merging a copy would do. `keep` decides all clashes: the value of the page, or that of the copy."""
    try:
        copied = _read(files, copy)
        page = files.pages.current(copy.key)
        if page.path != copy.page:
            raise WriteError(f'"{copy.page}" is read no more; look again')
        state = base_of(history.states(files.folder, copy.key, page.data), page, copied)
        base = Base(copy.key, page.path, state.data if state else b"")
        found = CopyMerge(copy, page, copied, base, state.moment if state else None)
        result = _save(files, found, now=now, rehearse=True)
        if isinstance(result, Conflict):
            found = msgspec.structs.replace(found, clashes=result.clashes)
            if keep is None:
                return found
            result = _save(files, found, now=now, rehearse=True, keep=keep)
            if isinstance(result, Conflict):
                return msgspec.structs.replace(found, clashes=result.clashes)
        return msgspec.structs.replace(found, after=result.base)
    except JournalError as error:
        return CopyMerge(copy, problem=str(error))


def merge(files: OpenedFiles, planned: CopyMerge, *, now: dt.datetime, keep: Side | None = None) -> bool:
    """Merge a copy into its page as planned, and remove the copy. Return False if either was changed meanwhile.

    Raises WriteError if the copy cannot be kept in the history of its page, or the page cannot be written. The copy
    stays then.
    """
    page, copied = planned.page, planned.copied
    assert page is not None, "it is planned"
    assert copied is not None, "and so is what is copied"
    path = files.folder / planned.copy.path
    if _read(files, planned.copy).data != copied.data or files.pages.current(page.key).data != page.data:
        return False
    with locking.write_lock(files.folder):
        for version in (copied, page):  # the present page last, as it is what the next state follows
            if history.keep(files.folder, page.key, version.data, now=now, by="elsewhere") is None:
                raise WriteError(f'"{planned.copy.path}" stays: it cannot be kept in .history; make that writable')
    result = _save(files, planned, now=now, keep=keep)
    if isinstance(result, Conflict):
        return False
    with locking.write_lock(files.folder):
        if _read(files, planned.copy).data != copied.data:
            return False
        path.unlink(missing_ok=True)
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
    if is_outside(str(files.folder), copy.path):
        raise WriteError(f'"{copy.path}" is a link that leads out of the journal; move its file into the journal')
    try:
        data = plain_file.read(files.folder / copy.path, discover.SIZE_LIMIT)
    except OSError as error:
        raise WriteError(f'"{copy.path}" cannot be read ({error.strerror}); look whether it is still there') from None
    copied = Base(copy.key, copy.path, data)
    _ = copied.values  # raises
    return copied


def _save(
    files: OpenedFiles, planned: CopyMerge, *, now: dt.datetime, rehearse: bool = False, keep: Side | None = None
) -> writing.Saved | Conflict:
    """Save what the copy changed since the base to the page, or rehearse it."""
    base, copied = planned.base, planned.copied
    assert base is not None, "it is planned"
    assert copied is not None, "and so is what is copied"
    changes: dict[tuple[str, ...], Any] = {
        (name,): value for name, value in copied.values.items() if not is_same(base.values.get(name), value)
    }
    picks = [clash.pick(_WHICH[keep]) for clash in planned.clashes] if keep else []
    return writing.save(
        files.folder, base.key, base, changes, now=now, by="merge", resolve=picks, rehearse=rehearse, files=files
    )
