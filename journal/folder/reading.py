"""Read pages, settings and undated tasks: typed values, and a problem with position and remedy for each invalid one.

A valid file takes the fast path: bytes, text, values, types, checks. An invalid file takes the slow path. It finds
every invalid value, locates it in the text, and keeps all others.
"""

from __future__ import annotations

import datetime as dt
import gc
import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from functools import lru_cache, partial
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from journal.entry import Clock, Entry, Page, Review, Span, Undated
from journal.errors import FolderError, Problem
from journal.folder import check_day, check_settings, toml_read
from journal.folder.discover import SETTINGS_NAME, UNDATED_NAME, JournalFile
from journal.folder.faults import Fault, Key, key_text
from journal.folder.page_names import Known, known
from journal.folder.page_versions import SETTINGS, UNDATED, Base, PageVersions, file_of
from journal.folder.toml_read import NotReadError
from journal.settings import Settings

T = TypeVar("T", bound=msgspec.Struct)
Check = Callable[[T], list[Fault]]

MAX_PROBLEMS = 50
"""Problems of one file. A file with more has one cause for most of them, and a longer list would hide it."""

# Dates come from the parser as dates, so a date in quotes is reported rather than converted.
_DATES = (dt.date, dt.datetime, dt.time)


class _Source(msgspec.Struct, frozen=True):
    """A syntactically valid file: its path, its text and its values."""

    path: str
    text: str
    values: dict[str, Any]


class Basis(msgspec.Struct, frozen=True):
    """journal.toml in use: its settings, the names that pages may use, its problems, and its version."""

    settings: Settings
    known: Known
    problems: tuple[Problem, ...]
    base: Base

    @property
    def source(self) -> bytes:
        return self.base.data or b""


def read_settings(folder: Path) -> Basis:
    """Read journal.toml. Invalid values get their defaults and a problem each.

    Raises FolderError if the folder is missing, cannot be read, or has no journal.toml.
    """
    base = Base(SETTINGS, SETTINGS_NAME, b"\0")  # differs from every readable journal.toml
    try:
        status = _settings_status(folder)
        base = Base(SETTINGS, SETTINGS_NAME, toml_read.content(str(folder), SETTINGS_NAME, status.st_size))
        text, values = base.toml
    except NotReadError as error:
        settings = _with_defaults({}, folder)
        return Basis(settings, known(settings, None), (error.problem,), base)
    written = _Source(SETTINGS_NAME, text, values)
    settings, problems = _read_settings(written, folder)
    return Basis(settings, known(settings, values), problems, base)


def _read_settings(source: _Source, folder: Path) -> tuple[Settings, tuple[Problem, ...]]:
    check, convert = check_settings.settings, partial(_with_defaults, folder=folder)
    return _read_valid(source, Settings, check) or _read_invalid(source, Settings, check, convert)


def read_page(folder: Path, file: JournalFile, names: Known) -> tuple[Page | None, tuple[Problem, ...]]:
    """Read one page. The page is None if nothing of it can be read."""
    return _read_page(str(folder), file, names, None)


def read_pages(
    folder: Path, files: Iterable[JournalFile], names: Known, versions: PageVersions | None = None
) -> tuple[list[Page], list[Problem]]:
    """Read many pages, in order, without unreadable ones. `versions` supplies and receives page versions."""
    pages: list[Page] = []
    problems: list[Problem] = []
    top = str(folder)
    with gc_paused():
        for file in files:
            page, page_problems = _read_page(top, file, names, versions)
            if page is not None:
                pages.append(page)
            problems += page_problems
    return pages, problems


@contextmanager
def gc_paused() -> Iterator[None]:
    """Pause the garbage collector, which doubles the time: there are millions of values and no cycles."""
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()


def read_undated(folder: Path, versions: PageVersions | None = None) -> tuple[Undated, tuple[Problem, ...]]:
    """Read undated.toml. A missing file gives an empty list. `versions` as in `read_pages`."""
    try:
        status = toml_read.file_status(folder, UNDATED_NAME)
        if status is None:
            return Undated(), ()
        size, times = status.st_size, (status.st_mtime_ns, status.st_ctime_ns)
        source = _opened(str(folder), JournalFile(UNDATED_NAME, "day", UNDATED, size, *times), versions)
    except NotReadError as error:
        return Undated(), (error.problem,)
    return _read(source, Undated, check_day.undated)


def refuse_if_gone(folder: Path) -> None:
    """Raise FolderError as `read_settings` does, without reading: a removed drive can leave an empty folder."""
    with suppress(NotReadError):
        _settings_status(folder)


def _settings_status(folder: Path) -> os.stat_result:
    _refuse_unreadable(folder)
    status = toml_read.file_status(folder, SETTINGS_NAME)
    if status is None:
        raise FolderError(f'there is no {SETTINGS_NAME} in "{folder}"; begin a journal with "duskbook start {folder}"')
    return status


def _refuse_unreadable(folder: Path) -> None:
    """Raise FolderError if the path is not a readable folder."""
    try:
        if folder.is_dir():
            os.scandir(folder).close()
            return
        if folder.exists():
            raise FolderError(f'"{folder}" is a file, and a journal is a folder; name the folder it is in')
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FolderError(f'folder "{folder}" cannot be read ({reason}); let your user read it') from None
    raise FolderError(f'there is no folder "{folder}"; begin a journal with "duskbook start {folder}"')


def check(file: JournalFile, text: str, names: Known, values: dict[str, Any] | None = None) -> tuple[Problem, ...]:
    """Return the problems that a page with this text would have. `values` are its values, if parsed already."""
    try:
        source = _Source(file.path, text, toml_read.values(file.path, text) if values is None else values)
    except NotReadError as error:
        return (error.problem,)
    if file.path == UNDATED_NAME:
        return _read(source, Undated, check_day.undated)[1]
    if file.path == SETTINGS_NAME:
        return _read_settings(source, Path())[1]
    return _typed(source, file, names)[1]


def read_base(base: Base, names: Known) -> tuple[Page | None, tuple[Problem, ...]]:
    """Read a page from one of its versions, not from its file. The page is None if nothing of it can be read."""
    try:
        source = _Source(base.path, *base.toml)
    except NotReadError as error:
        return None, (error.problem,)
    return _typed(source, file_of(base.key, base.path), names)


def _read_page(
    folder: str, file: JournalFile, names: Known, versions: PageVersions | None
) -> tuple[Page | None, tuple[Problem, ...]]:
    try:
        source = _opened(folder, file, versions)
    except NotReadError as error:
        return None, (error.problem,)
    return _typed(source, file, names)


def _opened(folder: str, file: JournalFile, versions: PageVersions | None) -> _Source:
    if versions is not None:
        return _Source(file.path, *versions.opened(file).toml)
    text = toml_read.text(file.path, toml_read.content(folder, file.path, file.size))
    return _Source(file.path, text, toml_read.values(file.path, text))


def _typed(source: _Source, file: JournalFile, names: Known) -> tuple[Page, tuple[Problem, ...]]:
    if file.kind == "day":
        day = dt.date.fromisoformat(file.key)
        entry, problems = _read(source, Entry, lambda entry: check_day.entry(entry, day, names))
        return Page(path=file.path, kind=file.kind, key=file.key, content=entry), problems
    review, problems = _read(source, Review, lambda review: check_day.review(review, file.kind, names))
    return Page(path=file.path, kind=file.kind, key=file.key, content=review), problems


def _read(source: _Source, page: type[T], check: Check[T]) -> tuple[T, tuple[Problem, ...]]:
    def convert(values: dict[str, Any]) -> T:
        return typed(values, page)

    return _read_valid(source, page, check) or _read_invalid(source, page, check, convert)


def _read_valid(source: _Source, page: type[T], check: Check[T]) -> tuple[T, tuple[Problem, ...]] | None:
    """The fast path: return the whole content of a valid file, or None for an invalid one."""
    try:
        content = typed(source.values, page)
    except (msgspec.ValidationError, ValueError):
        return None
    return None if check(content) else (content, ())


def _read_invalid(
    source: _Source, page: type[T], check: Check[T], convert: Callable[[dict[str, Any]], T]
) -> tuple[T, tuple[Problem, ...]]:
    """The slow path: return the valid part of a file, and a problem for each invalid value."""
    from journal.folder import type_errors  # noqa: PLC0415 (most journals never need it)

    fit = type_errors.fitting(source.values, page)
    faults = list(fit.faults)
    while True:
        content = convert(fit.values)
        new_faults = check(content)
        # A fault that only follows from one inside it, such as a list that became empty, is not reported.
        reported = {fault.where[:n] for fault in faults for n in range(1, len(fault.where) + 1)}
        faults += [fault for fault in _at_origin(new_faults, fit) if fault.where not in reported]
        # Dropping a value can cause or remove other faults, so check again.
        if not [path for path in _outermost({fault.dropped for fault in new_faults}) if type_errors.without(fit, path)]:
            return content, _with_positions(source, faults)


def _at_origin(faults: Iterable[Fault], fit: Any) -> list[Fault]:
    return [msgspec.structs.replace(fault, where=fit.origin(fault.where)) for fault in faults]


def _outermost(paths: Iterable[Key]) -> list[Key]:
    """Return the paths that are not below another, later list positions first, so each stays valid until it is used."""
    paths = {path for path in paths if path}
    outer = [path for path in paths if not any(path[:n] in paths for n in range(1, len(path)))]
    return sorted(outer, key=lambda path: [part if isinstance(part, int) else -1 for part in path], reverse=True)


def _with_positions(source: _Source, faults: Iterable[Fault]) -> tuple[Problem, ...]:
    from journal.folder.source_position import places  # noqa: PLC0415 (the syntax tree is for problems only)

    positions = places(source.text)
    problems = set()
    for fault in faults:
        line, column = positions.key(fault.where) if fault.at_key else positions.value(fault.where)
        problems.add(
            Problem(
                path=source.path,
                line=line,
                column=column,
                where=key_text(fault.where),
                expected=fault.expected,
                got=fault.got,
                remedy=fault.remedy,
            )
        )
    shown = sorted(problems)
    if len(shown) > MAX_PROBLEMS:
        more = f"{len(shown):,}"
        shown = shown[:MAX_PROBLEMS]
        shown.append(
            msgspec.structs.replace(
                shown[-1], where="", expected=f"at most {MAX_PROBLEMS} problems", got=more, remedy="mend these first"
            )
        )
    return tuple(shown)


def _with_defaults(values: dict[str, Any], folder: Path) -> Settings:
    """Return settings from the valid values, with the folder's name as title if they have none."""
    return typed({"title": folder.resolve().name, "places": []} | values, Settings)


def typed(values: dict[str, Any], page: type[T]) -> T:
    """Convert plain values to a type. Raises ValueError (or msgspec's) for the first invalid value."""
    return msgspec.convert(values, page, builtin_types=_DATES, dec_hook=_from_text)


def _from_text(type_: type[Any], value: Any) -> Any:
    if type(value) is not str:
        raise ValueError("not a text")
    return _span(value) if type_ is Span else _clock(value)


# A journal has a few hundred different times and spans, each thousands of times.
_span = lru_cache(maxsize=4096)(Span.parse)
_clock = lru_cache(maxsize=1441)(Clock.parse)
