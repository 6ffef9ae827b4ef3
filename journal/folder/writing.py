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

from journal import periods
from journal.errors import FolderError, Problem, UsageError, WriteError
from journal.folder import atomic_write, backups, discover, locking, reading, toml_format, toml_read
from journal.folder.discover import JournalFile
from journal.folder.faults import key_text
from journal.folder.identity import is_same
from journal.folder.page_names import Known
from journal.folder.three_way_merge import REMOVE, Changes, Clash, Pick, changed, merged
from journal.folder.toml_edit import rewritten
from journal.folder.toml_read import NotReadError

__all__ = ["REMOVE", "UNDATED", "Base", "Changes", "Clash", "Conflict", "Pick", "Saved", "look", "look_at_all", "save"]

UNDATED = "undated"
_BOM = "\ufeff"
_ATTEMPTS = 20  # each fails only where someone else has just written the page


class Base(msgspec.Struct, frozen=True):
    """A page as it was looked at: where it lies or will lie, and its bytes, None where there was none."""

    key: str
    path: str
    data: bytes | None

    @property
    def text(self) -> str:
        """Its text; empty where there is none. Raises WriteError, with place and remedy, where it is none."""
        try:
            return "" if self.data is None else toml_read.text(self.path, self.data)
        except NotReadError as error:
            raise WriteError(str(error.problem), problems=(error.problem,)) from None

    @property
    def values(self) -> dict[str, Any]:
        """Its values as TOML has them. Raises WriteError, with place and remedy, where it cannot be read."""
        try:
            return toml_read.values(self.path, self.text)
        except NotReadError as error:
            raise WriteError(str(error.problem), problems=(error.problem,)) from None


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
    """The page of a day, week, month or year ("2025-03-14", "2025-W11", "2025-03", "2025") or the "undated" one.

    It may be missing, and may be broken: that is said when its values are asked for.

    Raises UsageError where there is no such period, FolderError where the file cannot be read.
    """
    return _looked(folder, key, _path(folder, key))


def look_at_all(folder: Path, keys: Iterable[str]) -> dict[str, Base]:
    """As `look`, of the pages of several days, weeks, months and years, after one walk over the folder."""
    found = {file.key: file.path for file in discover.find(folder).pages}
    return {key: _looked(folder, key, found.get(key) or _usual(key)) for key in keys}


def _looked(folder: Path, key: str, path: str) -> Base:
    try:
        return Base(key, path, atomic_write.content(folder / path))
    except OSError as error:
        raise FolderError(f'"{folder / path}" cannot be read ({error.strerror}); see to its place') from None


def save(
    folder: Path,
    key: str,
    base: Base,
    changes: Changes,
    *,
    now: dt.datetime,
    resolve: Iterable[Pick] = (),
    rehearse: bool = False,
) -> Saved | Conflict:
    """Make changes to a page: by key path, a value or REMOVE. With `rehearse`, nothing is written, and what would come
    of it is returned or raised, so that of several pages none need be written where one cannot.

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
    picks = tuple(resolve)
    try:
        begun = base.values
        mine = changed(begun, changes)
        names = reading.read_settings(folder).known
        with locking.alone(folder):
            for _ in range(_ATTEMPTS):
                try:
                    return _attempt(folder, _Wanted(key, base, begun, mine, names, picks, rehearse), now)
                except atomic_write.ChangedError:
                    continue
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
    names: Known
    picks: tuple[Pick, ...]
    rehearse: bool


def _attempt(folder: Path, wanted: _Wanted, now: dt.datetime) -> Saved | Conflict:
    current = look(folder, wanted.key)
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
    text = _text(starting, values, wanted)
    is_theirs = starting.data != wanted.base.data
    if text == current.text and current.data is not None:
        return Saved(current, written=False, merged=is_theirs)
    mark = _BOM if (starting.data or b"").startswith(_BOM.encode()) else ""
    data = (mark + text).encode()
    done = Saved(Base(current.key, current.path, data), written=False, merged=is_theirs)
    return done if wanted.rehearse else _written(folder, current, data, now, is_theirs)


def _text(starting: Base, values: dict[str, Any], wanted: _Wanted) -> str:
    """The page's new text. Raises WriteError where it does not say what it is to say, or has new problems."""
    try:
        text = rewritten(starting.text, starting.values, values)
    except TypeError as error:
        raise UsageError(f"{error}; give text, numbers, dates, true or false, lists or tables") from None
    file = file_of(wanted.key, starting.path)
    after = reading.check(file, text, wanted.names)
    worse = Counter(map(_regardless_of_place, after)) - Counter(
        map(_regardless_of_place, reading.check(file, starting.text, wanted.names))
    )
    problems = tuple(problem for problem in after if _regardless_of_place(problem) in worse)
    if problems:
        raise WriteError(str(problems[0]), problems=problems)
    if not is_same(_said(toml_read.values(starting.path, text)), _said(values)):
        raise WriteError(f'"{starting.path}" is written in a way that cannot be changed safely; change it in an editor')
    return text


def _written(folder: Path, current: Base, data: bytes, now: dt.datetime, is_theirs: bool) -> Saved:
    path = folder / current.path
    if current.data is None:
        path.parent.mkdir(exist_ok=True)
    atomic_write.sweep(path)
    backup = None
    if current.data is not None:
        backup = backups.keep(folder, current.key, current.data, now, always=is_theirs)
    atomic_write.replace(path, data, current.data)
    return Saved(Base(current.key, current.path, data), written=True, merged=is_theirs, backup=backup)


def _path(folder: Path, key: str) -> str:
    """Where a page lies below the folder, with forward slashes: under its year where there is none yet."""
    if key == UNDATED:
        return discover.UNDATED_NAME
    periods.parse(key)
    if not discover.EARLIEST_YEAR <= int(key[:4]) <= discover.LATEST_YEAR:
        raise UsageError(f'"{key}" is too far from today; write a year from {discover.EARLIEST_YEAR}')
    usual = _usual(key)
    return usual if (folder / usual).exists() else discover.path_of(folder, key) or usual


def _usual(key: str) -> str:
    return f"{key[:4]}/{key}.toml"


def file_of(key: str, path: str) -> JournalFile:
    """The file of a page that need not be there, to read its text by."""
    return JournalFile(path, "day" if key == UNDATED else periods.parse(key).kind, key, 0, 0, 0)


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
