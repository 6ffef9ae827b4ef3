"""The only code that writes pages. Look at one, change it, save it: nothing that anyone wrote is lost on the way.

    base = writing.look(folder, "2025-03-14")
    saved = writing.save(folder, "2025-03-14", base, {("mood",): 4, ("habits", "walk"): True}, now=now)

What is saved is a set of changes to what was looked at, not a page. So a page that another tab, device or editor has
changed since keeps their changes beside these; where both changed one thing, nothing is written and a `Conflict` holds
both for the person to decide. On disk there is the old page or the new one, never a part of one (`replacing`); what is
not changed stays to the byte (`editing`); before the first change of a day a copy is put by (`backups`).
"""

from __future__ import annotations

import datetime as dt
import errno
from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import msgspec

from journal.errors import FolderError, Problem, UsageError, WriteError
from journal.folder import atomic_write, backups, locking, reading, toml_format
from journal.folder.faults import key_text
from journal.folder.identity import is_same
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_names import Known
from journal.folder.page_versions import UNDATED, Base, PageVersions, file_of
from journal.folder.three_way_merge import REMOVE, Changes, Clash, Pick, changed, merged
from journal.folder.toml_edit import rewritten

__all__ = ["REMOVE", "UNDATED", "Base", "Changes", "Clash", "Conflict", "Pick", "Saved", "file_of", "look", "save"]

_BOM = "\ufeff"
_ATTEMPTS = 20  # each fails only where someone else has just written the page


class Saved(msgspec.Struct, frozen=True):
    """A page is as it was to be. `base` is what to save from next; `written` says whether it had to be changed for
    it, `merged` whether it holds what someone else wrote meanwhile; `backup` is the copy of what was before."""

    base: Base
    written: bool
    merged: bool = False
    backup: Path | None = None


class Conflict(msgspec.Struct, frozen=True):
    """Nothing was written: others changed the same since. `now` is the page as it is on disk.

    Save again from the same base, with the same changes and `resolve=[clash.pick("mine"), ...]`.
    """

    clashes: tuple[Clash, ...]
    now: Base


def look(folder: Path, key: str) -> Base:
    """The page of a day, week, month, year or the "undated" one, as `PageVersions.look` has it, read now."""
    return PageVersions(folder).look(key)


def save(
    folder: Path,
    key: str,
    base: Base,
    changes: Changes,
    *,
    now: dt.datetime,
    resolve: Iterable[Pick] = (),
    rehearse: bool = False,
    files: OpenedFiles | None = None,
) -> Saved | Conflict:
    """Make changes to a page: by key path, a value or REMOVE. With `rehearse`, nothing is written, and what would come
    of it is returned or raised, so that of several pages none need be written where one cannot.

    `files` are those of the request that the changes come from: the page is checked by its journal.toml, and is read
    only if it changed since the request read it.

    >>> import tempfile
    >>> directory = tempfile.TemporaryDirectory()
    >>> folder, now = Path(directory.name), dt.datetime(2025, 3, 14, 22, 5)
    >>> _ = (folder / "journal.toml").write_text('title = "Spine and thread"')
    >>> base = look(folder, "2025-03-14")
    >>> save(folder, "2025-03-14", base, {("mood",): 4}, now=now).written
    True
    >>> save(folder, "2025-03-14", base, {("memory",): "Sewn."}, now=now).merged  # from what another tab looked at
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

    Tasks, appointments and reflection are given whole, as lists of tables, or one by its identity:
    `{("tasks", "t7k2", "status"): "done"}` (see `merging.changed`). A table is set key by key, or whole.
    A page that was deleted meanwhile is a conflict at the empty path: "mine" brings it back with the changes,
    "theirs" leaves it deleted.

    Raises WriteError, which carries what was typed, where the page cannot be written, is broken on disk, or would have
    problems that it does not have yet; UsageError where the changes are none that a page can have. The file is
    untouched then.
    """
    files = OpenedFiles(folder) if files is None else files
    base = files.pages.same(base)
    try:
        begun = base.values
        wanted = _Wanted(key, base, begun, changed(begun, changes), tuple(resolve), files)
        reading.refuse_if_gone(folder)
        with locking.alone(folder):
            for _ in range(_ATTEMPTS):
                current = files.pages.current(key)
                result = _result(current, wanted)
                try:
                    return result if rehearse else _written(folder, current, result, now)
                except atomic_write.ChangedError:
                    files.pages.forget(key)
        raise WriteError(f'"{base.path}" is being written by something else all the time; save again in a while')
    except WriteError as error:
        error.typed = _typed(changes)
        raise
    except FolderError as error:
        raise WriteError(str(error), _typed(changes)) from None
    except OSError as error:
        raise WriteError(_reason(folder, base.path, error), _typed(changes)) from None
    except UnicodeEncodeError:
        raise WriteError(
            "a text has half a character in it that no file can hold; type it anew", _typed(changes)
        ) from None


class _Wanted(msgspec.Struct, frozen=True):
    key: str
    base: Base
    begun: dict[str, Any]
    mine: dict[str, Any]
    picks: tuple[Pick, ...]
    files: OpenedFiles


def _result(current: Base, wanted: _Wanted) -> Saved | Conflict:
    """What comes of a page that is on disk as `current`: the version that is to be in its place, or the clashes."""
    if is_same(wanted.begun, wanted.mine):
        return Saved(current, written=False, merged=current.data != wanted.base.data)
    starting = current
    if current.data is None and wanted.base.data is not None:
        pick = next((pick for pick in wanted.picks if pick.path == ()), None)
        if pick is None:
            return Conflict((Clash((), wanted.begun, None, wanted.mine),), current)
        if pick.which == "theirs":
            return Saved(current, written=False, merged=True)
        starting = wanted.base
    values, clashes = merged(wanted.begun, starting.values, wanted.mine, wanted.picks)
    if clashes:
        return Conflict(tuple(clashes), current)
    after = _rewritten(starting, current.path, values, wanted.files)
    return Saved(after, written=False, merged=starting.data != wanted.base.data)


def _rewritten(starting: Base, path: str, values: dict[str, Any], files: OpenedFiles) -> Base:
    """The version with those values. Raises WriteError where it does not say what it is to say, or has new problems."""
    try:
        text = rewritten(starting.text, starting.values, values)
    except TypeError as error:
        raise UsageError(f"{error}; give text, numbers, dates, true or false, lists or tables") from None
    mark = _BOM if (starting.data or b"").startswith(_BOM.encode()) else ""
    after = files.pages.same(Base(starting.key, path, (mark + text).encode()))
    told = _problems(after, files.basis.known)
    worse = Counter(map(_regardless_of_place, told)) - Counter(
        map(_regardless_of_place, _problems(starting, files.basis.known))
    )
    problems = tuple(problem for problem in told if _regardless_of_place(problem) in worse)
    if problems:
        raise WriteError(str(problems[0]), problems=problems)
    if not is_same(_said(after.values), _said(values)):
        raise WriteError(f'"{path}" is written in a way that cannot be changed safely; change it in an editor')
    return after


def _problems(base: Base, names: Known) -> tuple[Problem, ...]:
    return reading.check(file_of(base.key, base.path), base.text, names, base.values)


def _written(folder: Path, current: Base, result: Saved | Conflict, now: dt.datetime) -> Saved | Conflict:
    """Put the result in place of the page. Raises ChangedError where that is no longer as it was read."""
    path = folder / current.path
    after = None if isinstance(result, Conflict) else result.base.data
    if isinstance(result, Conflict) or after is None or after == current.data:
        if atomic_write.content(path) != current.data:
            raise atomic_write.ChangedError
        return result
    if current.data is None:
        path.parent.mkdir(exist_ok=True)
    atomic_write.sweep(path)
    backup = None
    if current.data is not None:
        backup = backups.keep(folder, current.key, current.data, now, always=result.merged)
    atomic_write.replace(path, after, current.data)
    return msgspec.structs.replace(result, written=True, backup=backup)


def _regardless_of_place(problem: Problem) -> tuple[str, str, str]:
    """What a problem is about, whatever line or position in a list it has moved to."""
    where = "".join(c for c in problem.where if not c.isdigit())
    return where, problem.expected, problem.got


def _said(value: Any, name: str = "") -> Any:
    """Without empty tables and lists of tables, which say nothing; an empty [habits] says that the day is logged."""
    if not isinstance(value, Mapping):
        return [_said(part) for part in value] if isinstance(value, list | tuple) else value
    found = {key: _said(part, key) for key, part in value.items()}
    return {k: v for k, v in found.items() if k == "habits" or not (v == {} or (v == [] and k in toml_format.LISTS))}


def _typed(changes: Changes) -> str:
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
    errno.EFBIG: ("the disk takes no more", "make room"),
    errno.EACCES: ("it may not be written", "let your user write it"),
    errno.EPERM: ("it may not be written", "let your user write it"),
    errno.EROFS: ("the drive is read-only", "make it writable"),
    errno.ENOENT: ("its folder is gone", "bring the folder back"),
}


def _reason(folder: Path, path: str, error: OSError) -> str:
    what, remedy = _REASONS.get(error.errno or 0, (error.strerror or str(error), "see to its place"))
    return f'"{folder / path}" is not saved: {what}; {remedy}, then save again'
