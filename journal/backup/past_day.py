"""A restored journal as of the end of an earlier day, from the states of its pages that the history has."""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Sequence
from pathlib import Path

import msgspec

from journal import periods
from journal.backup.new_files import write_new
from journal.errors import BackupError
from journal.folder import check_settings, discover, file_names, history
from journal.folder.history_records import PageState
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import SETTINGS, UNDATED
from journal.language.catalogue import _
from journal.settings import Settings

_FIXED = {SETTINGS: discover.SETTINGS_NAME, UNDATED: discover.UNDATED_NAME}


class PastDay(msgspec.Struct, frozen=True):
    """The keys of pages by what was done.

    `put_back` are as in an earlier state. `left_out` had no state yet, or were removed then. `unknown` have no state at
    all and are as in the backup. `elsewhere` are as in their last state, which something else changed since, when is
    not known.
    """

    put_back: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    elsewhere: tuple[str, ...] = ()


class _PastPage(msgspec.Struct, frozen=True):
    key: str
    path: str
    data: bytes | None
    states: list[PageState]


def put(folder: Path, day: dt.date, *, now: dt.datetime) -> PastDay:
    """Make every page, journal.toml and undated.toml as they were at the end of a day of the journal.

    The day of a state is that of its moment (`periods.day_of`). From the day of the last kept state on, everything is
    as in the backup. A page without any state is as in the backup, too, if its period had begun. Of journal.toml, which
    a journal needs, the first state stands in for an earlier one. What is replaced is added to the history, which keeps
    all that it has. Other files stay as they are.

    Raises BackupError, with the days that are kept, for an earlier day than these; and for a journal of a newer format,
    whose pages may belong together in ways that are not known here.
    """
    basis = OpenedFiles(folder).basis
    if basis.other_format is not None:
        raise _of_other_format(basis.other_format)
    settings = basis.settings
    pages = _pages(folder)
    moments = [state.moment for page in pages for state in page.states]
    if not moments:
        raise BackupError(_("the backup has no earlier states of its pages; leave --as-of out"))
    first, last = (periods.day_of(moment, settings) for moment in (min(moments), max(moments)))
    if day < first:
        raise BackupError(
            _(
                "states of pages are kept from {first} to {last} only; write a day from {first} on",
                first=first,
                last=last,
            )
        )
    return PastDay() if day >= last else _put_all(folder, pages, day, settings, now)


def _of_other_format(other_format: int) -> BackupError:
    known = check_settings.FORMAT
    text = (
        _(
            "this journal has format {other}, and this Duskbook knows format {known}: it reads what it can and saves "
            "nothing; get a newer one, or leave --as-of out to restore it whole",
            other=other_format,
            known=known,
        )
        if other_format > known
        else _(
            "this journal has format {other}, and this Duskbook knows format {known}: it reads what it can and saves "
            'nothing; bring it there with "duskbook upgrade", or leave --as-of out to restore it whole',
            other=other_format,
            known=known,
        )
    )
    return BackupError(text)


def _put_all(folder: Path, pages: Sequence[_PastPage], day: dt.date, settings: Settings, now: dt.datetime) -> PastDay:
    done: dict[str, list[str]] = {name: [] for name in PastDay.__struct_fields__}
    for page in pages:
        if not page.states and (page.key in _FIXED or _first_day(page.key, settings) <= day):
            done["unknown"] += [page.key] if page.data is not None else []
            continue
        then = _then(page, day, settings)
        if then != page.data:
            _replace(folder, page, then, now)
            is_last = bool(page.states) and then == page.states[-1].data
            done["elsewhere" if is_last else "left_out" if then is None else "put_back"].append(page.key)
    return PastDay(**{name: tuple(keys) for name, keys in done.items()})


def _pages(folder: Path) -> list[_PastPage]:
    """Return all pages that are there or have a history."""
    paths = dict(_FIXED)
    for key in sorted(history.pages(folder)):
        if file_names.period(key) is not None:
            paths[key] = f"{key[:4]}/{key}.toml"
    paths |= {file.key: file.path for file in discover.find(folder).pages}
    pages = []
    for key, path in paths.items():
        data = _data(folder, path)
        pages.append(_PastPage(key, path, data, history.states(folder, key, data)))
    return pages


def _data(folder: Path, path: str) -> bytes | None:
    with contextlib.suppress(FileNotFoundError):
        return (folder / path).read_bytes()
    return None


def _first_day(key: str, settings: Settings) -> dt.date:
    return periods.parse_name(key).period(week_starts=settings.week_starts).first


def _then(page: _PastPage, day: dt.date, settings: Settings) -> bytes | None:
    before = [state.data for state in page.states if periods.day_of(state.moment, settings) <= day]
    if page.key == SETTINGS:
        whole = [data for data in (*reversed(before), *(state.data for state in page.states)) if data is not None]
        return whole[0] if whole else page.data
    return before[-1] if before else None


def _replace(folder: Path, page: _PastPage, data: bytes | None, now: dt.datetime) -> None:
    history.keep(folder, page.key, page.data, now=now, by="elsewhere", is_whole=True)
    (folder / page.path).unlink(missing_ok=True)
    if data is not None:
        write_new(folder, page.path, [data])
    history.keep(folder, page.key, data, now=now, by="restore", is_whole=True)
