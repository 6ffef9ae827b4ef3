"""Pages, settings and undated tasks from their files: typed values, and every problem with its place and remedy.

A file that is right takes the short way: bytes, text, values, types, checks. One that is not takes the long way, which
finds every value that is wrong, says where it stands, and keeps all the others.
"""

from __future__ import annotations

import datetime as dt
import gc
import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from journal.entry import Clock, Entry, Page, Review, Span, Undated
from journal.errors import FolderError, Problem
from journal.folder import check_day, check_settings, toml_read
from journal.folder.discover import SETTINGS_NAME, UNDATED_NAME, JournalFile
from journal.folder.faults import Fault, Key, key_text
from journal.folder.page_names import Known, known
from journal.folder.page_versions import UNDATED, Base, PageVersions, file_of
from journal.folder.toml_read import NotReadError
from journal.settings import Settings

T = TypeVar("T", bound=msgspec.Struct)
Check = Callable[[T], list[Fault]]

MOST_TOLD = 50
"""Problems of one file. Who has more of them has one problem, and would not find it among thousands of lines."""

# Dates come from the parser as dates, so that a date in quotes is told of and not read in silence.
_DATES = (dt.date, dt.datetime, dt.time)


class _Source(msgspec.Struct, frozen=True):
    """A file whose TOML is right: its path, its text and its values."""

    path: str
    text: str
    values: dict[str, Any]


class Basis(msgspec.Struct, frozen=True):
    """journal.toml as it is used: its values, what pages may name, its problems, and its bytes."""

    settings: Settings
    known: Known
    problems: tuple[Problem, ...]
    source: bytes


def read_settings(folder: Path) -> Basis:
    """Read journal.toml; what cannot be used of it has its default, and a problem says so.

    Raises FolderError where the folder is missing, cannot be read, or has no journal.toml.
    """
    source = b"\0"  # what no journal.toml that can be read may hold
    try:
        status = _settings_stated(folder)
        source = toml_read.content(str(folder), SETTINGS_NAME, status.st_size)
        text = toml_read.text(SETTINGS_NAME, source)
        values = toml_read.values(SETTINGS_NAME, text)
    except NotReadError as error:
        settings = _with_defaults({}, folder)
        return Basis(settings, known(settings, None), (error.problem,), source)
    written = _Source(SETTINGS_NAME, text, values)
    settings, problems = _sound(written, Settings, check_settings.settings) or _mended(
        written, Settings, check_settings.settings, lambda kept: _with_defaults(kept, folder)
    )
    return Basis(settings, known(settings, values), problems, source)


def read_page(folder: Path, file: JournalFile, names: Known) -> tuple[Page | None, tuple[Problem, ...]]:
    """Read one page; None where nothing of it can be read."""
    return _read_page(str(folder), file, names, None)


def read_pages(
    folder: Path, files: Iterable[JournalFile], names: Known, versions: PageVersions | None = None
) -> tuple[list[Page], list[Problem]]:
    """Read many pages, in their order; those of which nothing can be read are left out. `versions` are those that are
    known already, to which these are added."""
    pages: list[Page] = []
    problems: list[Problem] = []
    top = str(folder)
    with uncollected():
        for file in files:
            page, found = _read_page(top, file, names, versions)
            if page is not None:
                pages.append(page)
            problems += found
    return pages, problems


@contextmanager
def uncollected() -> Iterator[None]:
    """Without the garbage collector, which doubles the time: values by the million, that it would walk over and over,
    and no cycles among them."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


def read_undated(folder: Path, versions: PageVersions | None = None) -> tuple[Undated, tuple[Problem, ...]]:
    """Read undated.toml; an empty one where there is none. `versions` as in `read_pages`."""
    try:
        status = toml_read.stated(folder, UNDATED_NAME)
        if status is None:
            return Undated(), ()
        size, times = status.st_size, (status.st_mtime_ns, status.st_ctime_ns)
        source = _opened(str(folder), JournalFile(UNDATED_NAME, "day", UNDATED, size, *times), versions)
    except NotReadError as error:
        return Undated(), (error.problem,)
    return _read(source, Undated, check_day.undated)


def refuse_if_gone(folder: Path) -> None:
    """Raises FolderError as `read_settings` does, without reading: where a journal was, there may be an empty folder by
    now, as where a drive was taken away."""
    with suppress(NotReadError):
        _settings_stated(folder)


def _settings_stated(folder: Path) -> os.stat_result:
    _refuse(folder)
    status = toml_read.stated(folder, SETTINGS_NAME)
    if status is None:
        raise FolderError(f'there is no {SETTINGS_NAME} in "{folder}"; begin a journal with "duskbook start {folder}"')
    return status


def _refuse(folder: Path) -> None:
    """Raises FolderError where the folder is none that can be read."""
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
    """The problems that a page would have with a text, without reading its file. `values` are those of the text, where
    they are known."""
    try:
        source = _Source(file.path, text, toml_read.values(file.path, text) if values is None else values)
    except NotReadError as error:
        return (error.problem,)
    if file.path == UNDATED_NAME:
        return _read(source, Undated, check_day.undated)[1]
    return _typed(source, file, names)[1]


def read_base(base: Base, names: Known) -> tuple[Page | None, tuple[Problem, ...]]:
    """Read a page from one of its versions, without reading its file; None where nothing of it can be read."""
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

    return _sound(source, page, check) or _mended(source, page, check, convert)


def _sound(source: _Source, page: type[T], check: Check[T]) -> tuple[T, tuple[Problem, ...]] | None:
    """The short way: all of a file that has no problem, None for one that has."""
    try:
        content = typed(source.values, page)
    except (msgspec.ValidationError, ValueError):
        return None
    return None if check(content) else (content, ())


def _mended(
    source: _Source, page: type[T], check: Check[T], convert: Callable[[dict[str, Any]], T]
) -> tuple[T, tuple[Problem, ...]]:
    """The long way: what of a file can be used, and a problem for each value that cannot."""
    from journal.folder import type_errors  # noqa: PLC0415 (most journals never need it)

    fit = type_errors.fitting(source.values, page)
    faults = list(fit.faults)
    while True:
        content = convert(fit.values)
        found = check(content)
        # What only follows from a fault inside it, such as a list that is empty for it, is not told of.
        told = {fault.where[:n] for fault in faults for n in range(1, len(fault.where) + 1)}
        faults += [fault for fault in _at_origin(found, fit) if fault.where not in told]
        # Leaving one value out can bring another fault to light, or take the ground from one: so look again.
        if not [way for way in _outermost({fault.dropped for fault in found}) if type_errors.without(fit, way)]:
            return content, _placed(source, faults)


def _at_origin(faults: Iterable[Fault], fit: Any) -> list[Fault]:
    return [msgspec.structs.replace(fault, where=fit.origin(fault.where)) for fault in faults]


def _outermost(ways: Iterable[Key]) -> list[Key]:
    """The ways without those that lead into another, the last position of a list first, so that each one holds until
    it is used."""
    ways = {way for way in ways if way}
    outer = [way for way in ways if not any(way[:n] in ways for n in range(1, len(way)))]
    return sorted(outer, key=lambda way: [part if isinstance(part, int) else -1 for part in way], reverse=True)


def _placed(source: _Source, faults: Iterable[Fault]) -> tuple[Problem, ...]:
    from journal.folder.source_position import places  # noqa: PLC0415 (the syntax tree is for problems only)

    found = places(source.text)
    problems = set()
    for fault in faults:
        line, column = found.key(fault.where) if fault.at_key else found.value(fault.where)
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
    told = sorted(problems)
    if len(told) > MOST_TOLD:
        more = f"{len(told):,}"
        told = told[:MOST_TOLD]
        told.append(
            msgspec.structs.replace(
                told[-1], where="", expected=f"at most {MOST_TOLD} problems", got=more, remedy="mend these first"
            )
        )
    return tuple(told)


def _with_defaults(values: dict[str, Any], folder: Path) -> Settings:
    """Settings from what can be used, named after the folder where they have no title."""
    return typed({"title": folder.resolve().name, "places": []} | values, Settings)


def typed(values: dict[str, Any], page: type[T]) -> T:
    """Plain values of a file as a typed page. Raises ValueError (or msgspec's) for the first that is wrong."""
    return msgspec.convert(values, page, builtin_types=_DATES, dec_hook=_from_text)


def _from_text(type_: type[Any], value: Any) -> Any:
    if type(value) is not str:
        raise ValueError("no text")
    return _span(value) if type_ is Span else _clock(value)


# A journal has a few hundred different times and stretches, each of them thousands of times over.
_span = lru_cache(maxsize=4096)(Span.parse)
_clock = lru_cache(maxsize=1441)(Clock.parse)
