"""The version that a save makes of a page: the changes merged with the version on disk, and checked. Or the clashes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

import msgspec

from journal.errors import Problem, UsageError, WriteError
from journal.folder import failed_save, half_written, reading, settings_order, toml_format, write_refusals
from journal.folder.identity import is_same
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_names import Known
from journal.folder.page_versions import Base, file_of
from journal.folder.three_way_merge import Clash, Pick, merged
from journal.folder.toml_edit import rewritten
from journal.language.catalogue import N_, _
from journal.language.lazy_text import Phrase

_BOM = "\ufeff"


class Saved(msgspec.Struct, frozen=True):
    """The page has the requested values.

    `base` is the version to save from next. `written` says whether the file had to change, `merged` whether it includes
    someone else's changes. `before` is the version that was replaced, or, at a rehearsal, the one that would be.
    """

    base: Base
    written: bool
    merged: bool = False
    before: Base | None = None


class Conflict(msgspec.Struct, frozen=True):
    """Nothing was written: others have changed the same keys. `now` is the page as it is on disk.

    If they deleted or emptied the page, `is_kept` says whether its history has the earlier state.

    To resolve, save again from the same base, with the same changes and `resolve=[clash.pick("mine"), ...]`.
    """

    clashes: tuple[Clash, ...]
    now: Base
    is_kept: bool = False


class PageRequest(msgspec.Struct, frozen=True):
    """The changes to a page: the version they were made to, its values without and with them, and the picks.

    `kept` are the rows that were changed in place (`applied_changes.rows_kept`).
    """

    key: str
    base: Base
    base_values: dict[str, Any]
    mine: dict[str, Any]
    kept: dict[str, dict[int, int]]
    picks: tuple[Pick, ...]
    files: OpenedFiles


class MadePage(msgspec.Struct, frozen=True):
    """The version `after` that was made of the version `starting`, for a path, with some values; and it is valid."""

    starting: Base
    path: str
    values: dict[str, Any]
    after: Base


def made_version(current: Base, request: PageRequest) -> Saved | Conflict:
    """Return the result for a page that is on disk as `current`: the new version, or the clashes."""
    if is_same(request.base_values, request.mine):
        return Saved(current, written=False, merged=current.data != request.base.data)
    starting = current
    is_gone = current.data is None and request.base.data is not None
    if is_gone or half_written.has_lost_text(request.files, current, request.base):
        left = None if is_gone else _left(current)
        pick = next((pick for pick in request.picks if pick.path == () and is_same(pick.theirs, left)), None)
        if pick is None:
            return Conflict((Clash((), request.base_values, left, request.mine),), current)
        if pick.which == "theirs":
            return Saved(current, written=False, merged=True)
        starting = request.base
    values, clashes = merged(request.base_values, starting.values, request.mine, request.picks, request.kept)
    if clashes:
        return Conflict(tuple(clashes), current)
    after = _rewritten(starting, current.path, values, request.files)
    return Saved(after, written=False, merged=starting.data != request.base.data, before=current)


def _left(current: Base) -> dict[str, Any]:
    """Return the values of a page that has lost its end, none if what is left cannot be read."""
    try:
        return current.values
    except WriteError:
        return {}


def _rewritten(starting: Base, path: str, values: dict[str, Any], files: OpenedFiles) -> Base:
    """Return the version with those values. Raises WriteError if the text does not have them, or has new problems.

    A save rehearses each page before it writes the first: then this has been made already.
    """
    made = files.made.get(starting.key)
    if made is None or made.starting is not starting or made.path != path or not is_same(made.values, values):
        made = MadePage(starting, path, values, _with_values(starting, path, values, files))
    write_refusals.refuse(files, starting, made.after)
    if files.made.get(starting.key) is not made:
        _refuse_problems(made, files.basis.known)
        files.made[starting.key] = made
    return made.after


def _with_values(starting: Base, path: str, values: dict[str, Any], files: OpenedFiles) -> Base:
    try:
        text = rewritten(starting.text, starting.values, values, settings_order.rank_of(starting.key))
    except TypeError as error:
        text = N_("{reason}; give text, numbers, dates, true or false, lists or tables")
        raise UsageError(_(text, reason=error)) from None
    byte_order_mark = _BOM if (starting.data or b"").startswith(_BOM.encode()) else ""
    return files.pages.same(Base(starting.key, path, (byte_order_mark + text).encode()))


def _refuse_problems(made: MadePage, names: Known) -> None:
    """Raise WriteError if the new version has problems that the one it starts from has not, or other values."""
    all_problems = _problems(made.after, names)
    new_problems = Counter(map(_without_position, all_problems)) - Counter(
        map(_without_position, _problems(made.starting, names))
    )
    problems = tuple(problem for problem in all_problems if _without_position(problem) in new_problems)
    if problems:
        raise WriteError(str(problems[0]), problems=problems)
    if not is_same(_without_empty(made.after.values), _without_empty(made.values)):
        raise WriteError(failed_save.not_safely(made.path))


def _problems(base: Base, names: Known) -> tuple[Problem, ...]:
    return reading.check(file_of(base.key, base.path), base.text, names, base.values)


def _without_position(problem: Problem) -> tuple[str, Phrase, Phrase]:
    """Return what identifies a problem regardless of its line and its position in a list."""
    where = "".join(c for c in problem.where if not c.isdigit())
    return where, problem.words.expected, problem.words.got


def _without_empty(value: Any, name: str = "") -> Any:
    """Return values without empty tables and lists of tables. An empty [habits] stays: it marks the day as logged."""
    if not isinstance(value, Mapping):
        return [_without_empty(part) for part in value] if isinstance(value, list | tuple) else value
    parts = {key: _without_empty(part, key) for key, part in value.items()}
    lists = (*toml_format.LISTS, *toml_format.SETTINGS_LISTS)
    return {k: v for k, v in parts.items() if not (v == [] and k in lists) and (k == "habits" or v != {})}
