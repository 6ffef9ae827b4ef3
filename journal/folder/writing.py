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
import errno
from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import msgspec

from journal.errors import FolderError, Problem, UsageError, WriteError
from journal.folder import atomic_write, history, locking, reading, settings_order, toml_format, write_refusals
from journal.folder.faults import key_text
from journal.folder.history_records import PageWriter
from journal.folder.identity import is_same
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_names import Known
from journal.folder.page_versions import UNDATED, Base, PageVersions, file_of
from journal.folder.three_way_merge import REMOVE, Changes, Clash, Pick, changed, merged
from journal.folder.toml_edit import rewritten

__all__ = [
    "REMOVE", "UNDATED", "Base", "Changes", "Clash", "Conflict", "Pick", "Saved", "file_of", "look", "put_back", "save",
]  # fmt: skip

_BOM, _ATTEMPTS = "\ufeff", 20  # an attempt fails only if someone else has just written the page


class Saved(msgspec.Struct, frozen=True):
    """The page has the requested values.

    `base` is the version to save from next. `written` says whether the file had to change, `merged` whether it includes
    someone else's changes. `before` is the version that was replaced.
    """

    base: Base
    written: bool
    merged: bool = False
    before: Base | None = None


class Conflict(msgspec.Struct, frozen=True):
    """Nothing was written: others have changed the same keys. `now` is the page as it is on disk.

    To resolve, save again from the same base, with the same changes and `resolve=[clash.pick("mine"), ...]`.
    """

    clashes: tuple[Clash, ...]
    now: Base


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
    try:
        base_values = base.values
        request = _Request(key, base, base_values, changed(base_values, changes), tuple(resolve), files)
        reading.refuse_if_gone(folder)
        with locking.write_lock(folder):
            for _ in range(_ATTEMPTS):
                current = files.pages.writable(key)
                result = _result(current, request)
                try:
                    return result if rehearse else _write(folder, current, result, now, by)
                except atomic_write.ChangedError:
                    files.pages.forget(key)
        raise WriteError(f'"{base.path}" is being written by something else all the time; save again in a while')
    except WriteError as error:
        error.typed = _typed_text(changes)
        raise
    except FolderError as error:
        raise WriteError(str(error), _typed_text(changes)) from None
    except OSError as error:
        raise WriteError(reason_of(folder, base.path, error), _typed_text(changes)) from None
    except UnicodeEncodeError:
        raise WriteError(
            "a text contains half a character, which no file can store; type it again", _typed_text(changes)
        ) from None


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
    current = files.pages.writable(before.key)
    if current.data != after.data:
        changes: dict[tuple[str, ...], Any] = {
            (name,): before.values.get(name, REMOVE)
            for name in dict.fromkeys([*after.values, *before.values])
            if not is_same(before.values.get(name), after.values.get(name))
        }
        return save(folder, before.key, after, changes, now=now, by=by, resolve=resolve, rehearse=rehearse, files=files)
    write_refusals.refuse_newer(files.basis)
    if rehearse:
        return Saved(before, written=False)
    try:
        with locking.write_lock(folder):
            path = folder / current.path
            if before.data is not None:
                _write(folder, current, Saved(before, written=False), now, by)
            elif atomic_write.content(path) != current.data:
                raise atomic_write.ChangedError
            else:
                with history.replacing(folder, current, None, now=now, by=by):
                    path.unlink()
                if path.parent != folder:
                    with contextlib.suppress(OSError):  # it holds other pages
                        path.parent.rmdir()
    except atomic_write.ChangedError:
        raise WriteError(f'"{current.path}" was changed just now; take it back again') from None
    except OSError as error:
        raise WriteError(reason_of(folder, current.path, error)) from None
    return Saved(before, written=True)


class _Request(msgspec.Struct, frozen=True):
    key: str
    base: Base
    base_values: dict[str, Any]
    mine: dict[str, Any]
    picks: tuple[Pick, ...]
    files: OpenedFiles


def _result(current: Base, request: _Request) -> Saved | Conflict:
    """Return the result for a page that is on disk as `current`: the new version, or the clashes."""
    if is_same(request.base_values, request.mine):
        return Saved(current, written=False, merged=current.data != request.base.data)
    starting = current
    if current.data is None and request.base.data is not None:
        pick = next((pick for pick in request.picks if pick.path == ()), None)
        if pick is None:
            return Conflict((Clash((), request.base_values, None, request.mine),), current)
        if pick.which == "theirs":
            return Saved(current, written=False, merged=True)
        starting = request.base
    values, clashes = merged(request.base_values, starting.values, request.mine, request.picks)
    if clashes:
        return Conflict(tuple(clashes), current)
    after = _rewritten(starting, current.path, values, request.files)
    return Saved(after, written=False, merged=starting.data != request.base.data)


def _rewritten(starting: Base, path: str, values: dict[str, Any], files: OpenedFiles) -> Base:
    """Return the version with those values. Raises WriteError if the text does not have them, or has new problems."""
    try:
        text = rewritten(starting.text, starting.values, values, settings_order.rank_of(starting.key))
    except TypeError as error:
        raise UsageError(f"{error}; give text, numbers, dates, true or false, lists or tables") from None
    mark = _BOM if (starting.data or b"").startswith(_BOM.encode()) else ""
    after = files.pages.same(Base(starting.key, path, (mark + text).encode()))
    write_refusals.refuse(files, starting, after)
    all_problems = _problems(after, files.basis.known)
    new_problems = Counter(map(_without_position, all_problems)) - Counter(
        map(_without_position, _problems(starting, files.basis.known))
    )
    problems = tuple(problem for problem in all_problems if _without_position(problem) in new_problems)
    if problems:
        raise WriteError(str(problems[0]), problems=problems)
    if not is_same(_without_empty(after.values), _without_empty(values)):
        raise WriteError(f'"{path}" is written in a way that cannot be changed safely; change it in an editor')
    return after


def _problems(base: Base, names: Known) -> tuple[Problem, ...]:
    return reading.check(file_of(base.key, base.path), base.text, names, base.values)


def _write(
    folder: Path, current: Base, result: Saved | Conflict, now: dt.datetime, by: PageWriter | None
) -> Saved | Conflict:
    """Write the result in place of the page. Raises ChangedError if the page has changed since it was read."""
    path = folder / current.path
    after = None if isinstance(result, Conflict) else result.base.data
    if isinstance(result, Conflict) or after is None or after == current.data:
        if atomic_write.content(path) != current.data:
            raise atomic_write.ChangedError
        return result
    if current.data is None:
        atomic_write.make_folder(path.parent)
    atomic_write.remove_leftovers(path)
    with history.replacing(folder, current, after, now=now, by=by):
        atomic_write.replace(path, after, current.data)
    return msgspec.structs.replace(result, written=True, before=current)


def _without_position(problem: Problem) -> tuple[str, str, str]:
    """Return what identifies a problem regardless of its line and its position in a list."""
    where = "".join(c for c in problem.where if not c.isdigit())
    return where, problem.expected, problem.got


def _without_empty(value: Any, name: str = "") -> Any:
    """Return values without empty tables and lists of tables. An empty [habits] stays: it marks the day as logged."""
    if not isinstance(value, Mapping):
        return [_without_empty(part) for part in value] if isinstance(value, list | tuple) else value
    parts = {key: _without_empty(part, key) for key, part in value.items()}
    lists = (*toml_format.LISTS, *toml_format.SETTINGS_LISTS)
    return {k: v for k, v in parts.items() if not (v == [] and k in lists) and (k == "habits" or v != {})}


def _typed_text(changes: Changes) -> str:
    """Return the changes as text, so that a failed save loses nothing."""
    lines = []
    for path, value in changes.items():
        try:
            lines.append(
                f"{key_text(path)} = {toml_format.value(value)}" if value is not REMOVE else f"# no {key_text(path)}"
            )
        except TypeError:
            lines.append(f"# {key_text(path)}: {value!r}")
    return "\n".join(lines)


_REASONS = {
    errno.ENOSPC: ("the disk is full", "make room"),
    errno.EDQUOT: ("the disk is full", "make room"),
    errno.EFBIG: ("the file would be too large for the disk", "make room"),
    errno.EACCES: ("there is no write permission", "allow your user to write it"),
    errno.EPERM: ("there is no write permission", "allow your user to write it"),
    errno.EROFS: ("the drive is read-only", "make it writable"),
    errno.ENOENT: ("its folder is gone", "bring the folder back"),
}


def reason_of(folder: Path, path: str, error: OSError) -> str:
    """Return why a page is not saved, with the remedy, from the error of the system."""
    cause, remedy = _REASONS.get(error.errno or 0, (error.strerror or str(error), "check its location"))
    return f'"{folder / path}" is not saved: {cause}; {remedy}, then save again'
