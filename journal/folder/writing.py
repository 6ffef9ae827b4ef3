"""The only code that writes pages. Read a page, change it, save it: no one's changes are lost.

    base = writing.look(folder, "2025-03-14")
    saved = writing.save(folder, "2025-03-14", base, {("mood",): 4, ("habits", "walk"): True}, now=now)

A save takes a set of changes to a base version, not a whole page. If another tab, device or editor has changed the page
since, their changes are merged with these. If both changed the same key, nothing is written, and a `Conflict` holds
both values for the person to decide. Writes are atomic (`atomic_write`), all unchanged text keeps its bytes
(`toml_edit`), and both versions are kept (`history`).
"""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import msgspec

from journal.errors import FolderError, GoneError, WriteError
from journal.folder import atomic_write, failed_save, half_written, history, leftovers, reading, room, write_refusals
from journal.folder.applied_changes import changed, rows_kept
from journal.folder.failed_save import gone, reason_of, typed_text, uncertain
from journal.folder.history_records import PageWriter
from journal.folder.identity import is_same
from journal.folder.made_version import Conflict, PageRequest, Saved, made_version
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import UNDATED, Base, PageVersions, file_of
from journal.folder.three_way_merge import REMOVE, Changes, Clash, Pick

__all__ = [
    "REMOVE", "UNDATED", "Base", "Changes", "Clash", "Conflict", "Pick", "Saved", "file_of", "look", "put_back", "save",
]  # fmt: skip

_ATTEMPTS = 20  # an attempt fails only if someone else has just written the page


def look(folder: Path, key: str) -> Base:
    """Read a page, undated.toml or journal.toml now, as `PageVersions.look` does."""
    return PageVersions(folder).look(key)


def save(
    folder: Path, key: str, base: Base, changes: Changes, *, now: dt.datetime, by: PageWriter | None = None,
    resolve: Iterable[Pick] = (), rehearse: bool = False, files: OpenedFiles | None = None,
) -> Saved | Conflict:  # fmt: skip
    """Apply changes to a page: by key path, a value or REMOVE. `by` says who does, for the page's history.

    With `rehearse`, nothing is written, but the result is returned or the error raised. So a save of several pages can
    stop before the first write.

    `files` are those of the request that makes the changes. Its journal.toml validates the page, and the page is read
    only if it changed since the request read it.

    >>> import tempfile
    >>> directory = tempfile.TemporaryDirectory()
    >>> folder, now = Path(directory.name), dt.datetime(2025, 3, 14, 22, 5)
    >>> _ = (folder / "journal.toml").write_text('title = "Spine and thread"')
    >>> base = look(folder, "2025-03-14")
    >>> save(folder, "2025-03-14", base, {("mood",): 4}, now=now).written
    True
    >>> save(folder, "2025-03-14", base, {("memory",): "Sewn."}, now=now).merged  # from another tab's base
    True
    >>> print((folder / "2025" / "2025-03-14.toml").read_text().strip())
    mood = 4
    memory = "Sewn."
    >>> conflict = save(folder, "2025-03-14", base, {("mood",): 2}, now=now)
    >>> conflict.clashes
    (Clash(path=('mood',), base=None, theirs=4, mine=2),)
    >>> mine = [clash.pick("mine") for clash in conflict.clashes]
    >>> save(folder, "2025-03-14", base, {("mood",): 2}, now=now, resolve=mine).base.values
    {'mood': 2, 'memory': 'Sewn.'}
    >>> directory.cleanup()

    Tasks, appointments and reflection are given whole, as lists of tables, or one entry by its identity: `{("tasks",
    "t7k2", "status"): "done"}` (see `three_way_merge.changed`). A table is set key by key, or whole. A page that was
    deleted meanwhile is a conflict at the empty path: "mine" restores it with the changes, "theirs" leaves it deleted.

    Raises WriteError, which carries the typed text, if the page cannot be written, is broken on disk, or would get new
    problems. Raises UsageError if the changes are not valid for a page. The file is untouched then.
    """
    files = OpenedFiles(folder) if files is None else files
    base = files.pages.same(base)
    result: Saved | Conflict | None = None
    try:
        base_values = base.values
        mine, kept = changed(base_values, changes), rows_kept(base_values, changes)
        request = PageRequest(key, base, base_values, mine, kept, tuple(resolve), files)
        reading.refuse_if_gone(folder)
        with files.lock():
            for _attempt in range(_ATTEMPTS):
                current = half_written.settled(files, base)
                made = _with_lost_text_kept(folder, base, made_version(current, request), now)
                try:
                    result = made if rehearse else _write(files, current, made, now, by)
                    break
                except atomic_write.ChangedError:
                    files.pages.forget(key)
        if result is not None:
            return result
        raise WriteError(failed_save.never_still(base.path))
    except WriteError as error:
        error.typed = typed_text(changes)
        raise
    except GoneError:
        raise WriteError(gone(folder, base.path), typed_text(changes)) from None
    except FolderError as error:
        raise WriteError(str(error), typed_text(changes)) from None
    except OSError as error:
        if result is not None:  # releasing the lock failed
            return result
        raise WriteError(reason_of(folder, base.path, error), typed_text(changes)) from None
    except UnicodeEncodeError:
        raise WriteError(failed_save.half_a_character(), typed_text(changes)) from None


def put_back(
    folder: Path, before: Base, after: Base, *, now: dt.datetime, by: PageWriter | None = None,
    resolve: Iterable[Pick] = (), rehearse: bool = False, files: OpenedFiles,
) -> Saved | Conflict:  # fmt: skip
    """Undo one save of a page: `before` and `after` are the versions that it replaced and wrote.

    A page that is still as it was written gets its earlier bytes, comments and blank lines included; one that the save
    made is removed, with its folder if that is empty. Changes that others have made since are kept: the undo is merged
    with them, or is a conflict.

    Raises WriteError and UsageError as `save` does.
    """
    current = half_written.settled(files, after)
    if current.data != after.data:
        changes: dict[tuple[str, ...], Any] = {
            (name,): before.values.get(name, REMOVE)
            for name in dict.fromkeys([*after.values, *before.values])
            if not is_same(before.values.get(name), after.values.get(name))
        }
        return save(folder, before.key, after, changes, now=now, by=by, resolve=resolve, rehearse=rehearse, files=files)
    write_refusals.refuse_other(files.basis)
    if rehearse:
        return Saved(before, written=False)
    path, is_done = folder / current.path, False
    try:
        reading.refuse_if_gone(folder)
        with files.lock():
            if before.data is not None:
                _write(files, current, Saved(before, written=False), now, by)
                is_done = True
            else:
                with history.replacing(folder, current, None, now=now, by=by):
                    _remove(folder, path, current.data or b"")
                is_done = True
                if path.parent != folder:
                    with contextlib.suppress(OSError):  # it holds other pages
                        path.parent.rmdir()
    except atomic_write.ChangedError:  # merged with what is there now, or a conflict
        files.pages.forget(before.key)
        return put_back(folder, before, after, now=now, by=by, resolve=resolve, files=files)
    except GoneError:
        raise WriteError(gone(folder, current.path)) from None
    except FolderError as error:
        raise WriteError(str(error)) from None
    except OSError as error:
        if not is_done:  # otherwise releasing the lock failed
            raise WriteError(reason_of(folder, current.path, error)) from None
    return Saved(before, written=True)


def _write(
    files: OpenedFiles, current: Base, result: Saved | Conflict, now: dt.datetime, by: PageWriter | None
) -> Saved | Conflict:
    """Write the result in place of the page. Raises ChangedError if the page has changed since it was read."""
    folder, path = files.folder, files.folder / current.path
    after = None if isinstance(result, Conflict) else result.base.data
    if isinstance(result, Conflict) or after is None or after == current.data:
        if atomic_write.content(path) != current.data:
            raise atomic_write.ChangedError
        return result
    if current.data is None:
        atomic_write.make_folder(path.parent)
    leftovers.clear(folder, path, lambda key, data: history.kept_once(folder, key, data, now=now))
    with history.replacing(folder, current, after, now=now, by=by):
        _replace(folder, path, after, current.data)
    return msgspec.structs.replace(result, written=True, before=current)


def _replace(folder: Path, path: Path, after: bytes, before: bytes | None) -> None:
    """Replace a page. On a full disk, copies of earlier states make room.

    An error after which the new version is on disk is none: what is told is what is there.
    """
    while True:
        try:
            return atomic_write.replace(path, after, before)
        except OSError as error:
            if _now(folder, path, error) == after:
                return None
            if error.errno not in room.FULL or not room.make(folder, len(after)):
                raise


def _remove(folder: Path, path: Path, before: bytes) -> None:
    """Remove a page. An error after which it is gone is none."""
    try:
        atomic_write.remove(path, before)
    except OSError as error:
        if _now(folder, path, error) is not None:
            raise


def _now(folder: Path, path: Path, error: OSError) -> bytes | None:
    """Return what a page is after an error. Raises WriteError if that cannot be read either."""
    try:
        return atomic_write.content(path)
    except OSError:
        raise WriteError(uncertain(folder, path.relative_to(folder).as_posix(), error)) from None


def _with_lost_text_kept(folder: Path, base: Base, result: Saved | Conflict, now: dt.datetime) -> Saved | Conflict:
    """Keep the earlier state of a page that was emptied or deleted: there may be no other copy of it."""
    if isinstance(result, Saved) or not base.data or not any(clash.path == () for clash in result.clashes):
        return result
    return msgspec.structs.replace(result, is_kept=history.kept_once(folder, base.key, base.data, now=now))
