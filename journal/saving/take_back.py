"""Taking a save back: every page as it was before, what others have changed since included.

The server keeps nothing between a save and its undo: the replaced versions travel to the form and back, like its base.
The pages are put back in the opposite order, in which it is as safe to stop between any two.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

import polars as pl

from journal.errors import JournalError, UsageError
from journal.folder import save_record, writing
from journal.folder.history_records import PageWriter
from journal.folder.page_versions import SETTINGS, UNDATED
from journal.folder.writing import Base, Clash, Conflict, Pick
from journal.language.catalogue import _
from journal.periods import parse_name
from journal.saving import base_pages, moved_since
from journal.saving.form_values import Trouble
from journal.saving.save_pages import Disagreement, SaveResult, decided_pick, decisions, one_save, plain
from journal.wording import numbers

if TYPE_CHECKING:
    from journal import Journal


def take_back(book: Journal, text: object, *, now: dt.datetime, by: PageWriter, raw: object = None) -> SaveResult:
    """Undo the save whose replaced versions are in `text` (`SaveResult.undo`), or return why not.

    All pages are rehearsed first. A page that nobody has changed since gets the bytes it had. If others have changed
    the same places, nothing is written, unless `raw` decides on them in its "resolve", as in `save_pages.Disagreement`.
    """
    return one_save(book.files, lambda: _taken_back(book, text, now, by, raw), now=now)


def _taken_back(book: Journal, text: object, now: dt.datetime, by: PageWriter, raw: object) -> SaveResult:
    files, paths = book.files, list[str]()
    try:
        pairs = list(reversed(_pairs(text)))
        last = {before.key: (before, after) for before, after in reversed(pairs)}
        merged, clashes = False, list[Disagreement]()
        picks: dict[str, list[Pick]] = {}
        for before, after in last.values():
            result = writing.put_back(files.folder, before, after, now=now, rehearse=True, files=files)
            picks[before.key] = _picks(result, decisions(raw))
            if picks[before.key]:
                own = picks[before.key]
                result = writing.put_back(files.folder, before, after, now=now, resolve=own, rehearse=True, files=files)
            clashes += _clashes(result)
        made = [(files.pages.same(before), files.pages.same(after)) for before, after in reversed(pairs)]
        if moved := moved_since.titles(made, files.pages.current, partial(_pages_of, book)):
            return _moved_on(moved)
        if clashes:
            return _changed_since(clashes)
        first = {before.key: before for before, _other in pairs}
        with save_record.kept(files.folder, [(last[key][1], first[key]) for key in first], now, by):
            for before, after in pairs:
                own = picks[before.key]
                result = writing.put_back(files.folder, before, after, now=now, by=by, resolve=own, files=files)
                if isinstance(result, Conflict):  # it changed after the rehearsal
                    return _changed_since(_clashes(result), _partly(paths))
                merged |= result.base.data != before.data
                paths.append(result.base.path)
    except JournalError as error:
        return SaveResult(saved=False, said=_partly(paths), problems=[Trouble("", f"{error}.")])
    pages = numbers.listed(dict.fromkeys(reversed(paths)))
    kept = _("What was changed there meanwhile is kept.") if merged else _("{pages} as before.", pages=pages)
    return SaveResult(saved=True, said=_("Taken back. {kept}", kept=kept))


def _pages_of(book: Journal, row: Mapping[str, Any]) -> set[str]:
    """Return the pages that have a task by its id, or those where its title is open."""
    own_id, title = row.get("id"), row.get("title")
    alike = pl.col("id") == own_id if own_id else (pl.col("title") == title) & (pl.col("status") == "open")
    dates = book.tables.tasks.filter(alike).get_column("date").cast(pl.String)
    undated = (task.id == own_id if own_id else task.title == title for task in book.undated.tasks)
    return {*dates} | ({UNDATED} if any(undated) else set())


def _moved_on(titles: Sequence[str]) -> SaveResult:
    names = numbers.listed(_('"{text}"', text=title) for title in titles)
    message = _("Not taken back: {names} was moved on since. Change it where it stands.", names=names)
    return SaveResult(saved=False, problems=[Trouble("", message)])


def _pairs(text: object) -> list[tuple[Base, Base]]:
    """Return the versions of a packed string. Raises UsageError for a string that `packed` did not make."""
    bases = base_pages.unpacked(text)
    keys = {base.key for base in bases}
    for key in keys - {UNDATED, SETTINGS}:
        parse_name(key)
    if not bases or len(bases) % 2:
        raise UsageError(_("what is to be taken back is missing; open the page anew"))
    pairs = list(zip(bases[::2], bases[1::2], strict=True))
    is_settings_gone = any(
        before.key == SETTINGS and before.data is None for before, _other in pairs
    )  # no save makes it
    if is_settings_gone or any(before.key != after.key for before, after in pairs):
        raise UsageError(_("what is to be taken back is missing; open the page anew"))
    return pairs


def _clashes(result: writing.Saved | Conflict) -> list[Disagreement]:
    if not isinstance(result, Conflict):
        return []
    path = result.now.path
    return [Disagreement(_field(one), plain(one.mine), plain(one.theirs), path) for one in result.clashes]


def _picks(result: writing.Saved | Conflict, decided: Sequence[Mapping[str, Any]]) -> list[Pick]:
    if not isinstance(result, Conflict):
        return []
    found = (decided_pick(decided, _field(one), one, result.now.path) for one in result.clashes)
    return [pick for pick in found if pick is not None]


def _field(clash: Clash) -> str:
    return ".".join(map(str, clash.path))


def _partly(paths: list[str]) -> str:
    """Return what is told of an undo that ended after some pages."""
    if not paths:
        return ""
    pages = numbers.listed(dict.fromkeys(paths))
    return _("Not all of it is taken back. {pages} is as before already.", pages=pages)


def _changed_since(clashes: list[Disagreement], partly: str = "") -> SaveResult:
    files = numbers.listed(dict.fromkeys(_('"{text}"', text=clash.file) for clash in clashes))
    changed = _("Not taken back: {files} was changed in the same place since.", files=files)
    said = f"{changed} {partly}".strip()
    return SaveResult(saved=False, conflict=clashes, said=said)
