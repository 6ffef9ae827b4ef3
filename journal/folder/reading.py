"""Read pages, settings and undated tasks: typed values, and a problem with position and remedy for each invalid one.

Of a page that is no valid TOML nothing is read. Of journal.toml, all statements are read that are valid
(`toml_recovery`): one slip must not take the habits of a whole journal along.
"""

from __future__ import annotations

import datetime as dt
import gc
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec

from journal.entry import Entry, Page, Review, Undated
from journal.errors import FolderError, GoneError, Problem
from journal.folder import check_day, check_settings, toml_read
from journal.folder.discover import SETTINGS_NAME, UNDATED_NAME, JournalFile
from journal.folder.page_names import Known, known
from journal.folder.page_versions import SETTINGS, UNDATED, Base, PageVersions, file_of
from journal.folder.toml_read import NotReadError
from journal.folder.typed_values import TomlSource, read_source, typed
from journal.language import system_errors
from journal.language.catalogue import N_, _
from journal.settings import Settings

if TYPE_CHECKING:
    from journal.folder.broken_places import BrokenPlace, Recovery
    from journal.folder.earlier_settings import EarlierSettings


UNREAD = b"\0"
"""Stands for the bytes of a journal.toml that cannot be read. It differs from every one that can."""


class Basis(msgspec.Struct, frozen=True):
    """journal.toml in use: its settings, the names that pages may use, its problems, and its version.

    `broken` are the places of a file that is no valid TOML; the settings are what the rest of it says. `other_format`
    is the number of a format that is newer than this Duskbook: then nothing is written. `earlier` is the kept state
    that stands in for what cannot be read, None if there is none or no need of one. `is_partial` says that whole blocks
    are left out, or may be, such as habits.
    """

    settings: Settings
    known: Known
    problems: tuple[Problem, ...]
    base: Base
    broken: tuple[BrokenPlace, ...] = ()
    other_format: int | None = None
    earlier: EarlierSettings | None = None
    is_partial: bool = False

    @property
    def source(self) -> bytes:
        """All bytes that the settings are from."""
        return (self.base.data or b"") + (b"" if self.earlier is None else b"\0" + self.earlier.data)


def read_settings(folder: Path) -> Basis:
    """Read journal.toml. Invalid values and broken lines get their defaults and a problem each.

    Raises FolderError if the folder is missing, cannot be read, or has no journal.toml.
    """
    base = Base(SETTINGS, SETTINGS_NAME, UNREAD)
    try:
        status = _settings_status(folder)
        base = Base(SETTINGS, SETTINGS_NAME, toml_read.content(str(folder), SETTINGS_NAME, status.st_size))
    except NotReadError as error:
        return _without_settings(base, folder, error)
    return basis_of(base, folder)


def basis_of(base: Base, folder: Path) -> Basis:
    """Return what a version of journal.toml says, as `read_settings` does."""
    try:
        text = toml_read.text(SETTINGS_NAME, base.data or b"")
    except NotReadError as error:
        return _without_settings(base, folder, error)
    try:
        values = base.toml[1]
    except NotReadError:
        return _recovered(base, text, folder)
    settings, problems = _read_settings(TomlSource(SETTINGS_NAME, text, values), folder)
    return Basis(settings, known(settings, values), problems, base, other_format=check_settings.other_format(values))


def _without_settings(base: Base, folder: Path, error: NotReadError) -> Basis:
    from journal.folder import earlier_settings  # noqa: PLC0415 (most journals never need it)

    earlier = earlier_settings.last(folder)
    if earlier is None:
        settings = _with_defaults({}, folder)
        return Basis(settings, known(settings, None), (error.problem,), base, is_partial=True)
    source = TomlSource(base.path, earlier.data.decode("utf-8-sig"), earlier.values)
    settings = _read_settings(source, folder)[0]
    problem = earlier_settings.told(error.problem, earlier)
    newer = check_settings.other_format(earlier.values)
    return Basis(settings, known(settings, None), (problem,), base, other_format=newer, earlier=earlier)


def _read_settings(
    source: TomlSource, folder: Path, recovery: Recovery | None = None
) -> tuple[Settings, tuple[Problem, ...]]:
    return read_source(source, Settings, check_settings.settings, partial(_with_defaults, folder=folder), recovery)


def _recovered(base: Base, text: str, folder: Path) -> Basis:
    """Return what applies of a journal.toml that is no valid TOML."""
    from journal.folder import earlier_settings, toml_recovery  # noqa: PLC0415 (most journals never need them)

    recovery = toml_recovery.recover(base.path, text)
    earlier = earlier_settings.for_broken(folder, text, recovery)
    values = recovery.values if earlier is None else earlier.values
    places = recovery.places if earlier is None else earlier.places
    settings, problems = _read_settings(TomlSource(base.path, recovery.text, values), folder, recovery)
    names = known(settings, values, recovery.hides)
    more = recovery.problems[len(recovery.places) :]  # that there are too many of them
    problems = tuple(sorted([*(place.problem for place in places), *more, *problems]))
    newer = check_settings.other_format(values)
    is_partial = recovery.loses_blocks and (earlier is None or not earlier.is_whole)
    return Basis(settings, names, problems, base, places, newer, earlier, is_partial)


def read_page(folder: Path, file: JournalFile, names: Known) -> tuple[Page | None, tuple[Problem, ...]]:
    """Read one page. The page is None if nothing of it can be read."""
    return _read_page(str(folder), file, names, None)


def read_pages(
    folder: Path, files: Iterable[JournalFile], names: Known, versions: PageVersions | None = None
) -> tuple[list[Page], list[Problem]]:
    """Read many pages, in order, without unreadable ones. `versions` supplies and receives page versions."""
    problems: list[Problem] = []
    with gc_paused():
        return list(each_page(folder, files, names, problems, versions)), problems


def each_page(
    folder: Path,
    files: Iterable[JournalFile],
    names: Known,
    problems: list[Problem],
    versions: PageVersions | None = None,
) -> Iterator[Page]:
    """Read many pages one by one, as `read_pages` does, and add their problems to `problems`. A caller that keeps no
    page needs little memory."""
    top = str(folder)
    for file in files:
        page, page_problems = _read_page(top, file, names, versions)
        problems += page_problems
        if page is not None:
            yield page


@contextmanager
def gc_paused() -> Iterator[None]:
    """Pause the garbage collector, which doubles the time of reading: there are millions of values and no cycles."""
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
    return read_source(source, Undated, check_day.undated)


def refuse_if_gone(folder: Path) -> None:
    """Raise FolderError as `read_settings` does, without reading: a removed drive can leave an empty folder."""
    with suppress(NotReadError):
        _settings_status(folder)


def _settings_status(folder: Path) -> os.stat_result:
    _refuse_unreadable(folder)
    status = toml_read.file_status(folder, SETTINGS_NAME)
    if status is None:
        text = N_('there is no {file} in "{folder}"; begin a journal with "duskbook start {folder}"')
        raise GoneError(_(text, file=SETTINGS_NAME, folder=folder))
    return status


def _refuse_unreadable(folder: Path) -> None:
    """Raise FolderError if the path is not a readable folder."""
    try:
        if folder.is_dir():
            os.scandir(folder).close()
            return
        if folder.exists():
            text = N_('"{folder}" is a file, and a journal is a folder; name the folder it is in')
            raise FolderError(_(text, folder=folder))
    except (OSError, ValueError) as error:
        text = N_('folder "{folder}" cannot be read ({reason}); let your user read it')
        raise FolderError(_(text, folder=folder, reason=system_errors.reason(error))) from None
    raise GoneError(_('there is no folder "{folder}"; begin a journal with "duskbook start {folder}"', folder=folder))


def check(file: JournalFile, text: str, names: Known, values: dict[str, Any] | None = None) -> tuple[Problem, ...]:
    """Return the problems that a page with this text would have. `values` are its values, if parsed already."""
    try:
        source = TomlSource(file.path, text, toml_read.values(file.path, text) if values is None else values)
    except NotReadError as error:
        return (error.problem,)
    if file.path == UNDATED_NAME:
        return read_source(source, Undated, check_day.undated)[1]
    if file.path == SETTINGS_NAME:
        return _read_settings(source, Path())[1]
    return _typed(source, file, names)[1]


def read_base(base: Base, names: Known) -> tuple[Page | None, tuple[Problem, ...]]:
    """Read a page from one of its versions, not from its file. The page is None if nothing of it can be read."""
    try:
        source = TomlSource(base.path, *base.toml)
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


def _opened(folder: str, file: JournalFile, versions: PageVersions | None) -> TomlSource:
    if versions is not None:
        return TomlSource(file.path, *versions.opened(file).toml)
    text = toml_read.text(file.path, toml_read.content(folder, file.path, file.size))
    return TomlSource(file.path, text, toml_read.values(file.path, text))


def _typed(source: TomlSource, file: JournalFile, names: Known) -> tuple[Page, tuple[Problem, ...]]:
    if file.kind == "day":
        day = dt.date.fromisoformat(file.key)
        entry, problems = read_source(source, Entry, lambda entry: check_day.entry(entry, day, names))
        return Page(path=file.path, kind=file.kind, key=file.key, content=entry), problems
    review, problems = read_source(source, Review, lambda review: check_day.review(review, file.kind, names))
    return Page(path=file.path, kind=file.kind, key=file.key, content=review), problems


def _with_defaults(values: dict[str, Any], folder: Path) -> Settings:
    """Return settings from the valid values, with the folder's name as title if they have none."""
    return typed({"title": folder.resolve().name, "places": []} | values, Settings)
