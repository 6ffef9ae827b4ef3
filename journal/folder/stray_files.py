"""Files that are not read although they most likely belong to the journal: copies of pages, misspelt names, and files
that stand for a page which is not there. Each is a problem, so that no page vanishes without a word.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
from collections.abc import Iterable, Mapping

import msgspec

from journal import periods
from journal.errors import Problem
from journal.folder import file_names
from journal.folder.file_names import EARLIEST_YEAR, LATEST_YEAR, SETTINGS_NAME, UNDATED_NAME, Stray
from journal.folder.folder_walk import shown
from journal.language.lazy_text import L_, LazyText, Phrase, any_of
from journal.periods import PeriodKind

FIXED_KEYS = {SETTINGS_NAME: "settings", UNDATED_NAME: "undated"}
"""The keys of the two files that are of no period."""


class StrayFile(msgspec.Struct, frozen=True):
    """A file with such a name: its path, its name, and what the name means; None for any other ".toml"."""

    path: str
    name: str
    stray: Stray | None


class PageCopy(msgspec.Struct, frozen=True, order=True):
    """A copy of a page that exists, beside it or elsewhere: its path, and the page's key and path."""

    path: str
    key: str
    page: str


def told(strays: Iterable[StrayFile], pages: Mapping[str, str]) -> tuple[list[Problem], list[PageCopy]]:
    """Return a problem for each file, and those that are copies. `pages` are the files that are read, path by key."""
    problems, copies = [], []
    for file in strays:
        if file.stray is None:
            problems.append(_unknown(file))
            continue
        names = file.stray.meant
        page = next((pages[key] for key in map(key_of, names) if key in pages), None) if len(names) == 1 else None
        if page is None:
            problems.append(_alone(file, file.stray))
        elif file.stray.kind != "backup" and not file.name.startswith("."):
            copies.append(PageCopy(file.path, key_of(names[0]), page))
            problems.append(beside(file.path, key_of(names[0]), page))
    return problems, copies


def key_of(name: str) -> str:
    """Return the key of a page, or of one of the two other files, by its name.

    >>> key_of("2025-03-14.toml"), key_of("journal.toml")
    ('2025-03-14', 'settings')
    """
    return FIXED_KEYS.get(name, name.removesuffix(".toml"))


def beside(path: str, key: str, page: str) -> Problem:
    """Return the problem of a second file for a period, or for journal.toml or undated.toml."""
    expected = L_("one page for {period}", period=key)
    if key in FIXED_KEYS.values():
        expected = L_("one {file}", file=page)
    remedy = L_('merge it on any page of the journal, or with "duskbook merge"')
    got = L_('a second beside "{file}", which is the one that is read', file=shown(page))
    return Problem(path=shown(path), expected=expected, got=got, remedy=remedy)


def empty(path: str) -> Problem:
    """Return the problem of a page with no bytes. One that says nothing on purpose has a comment, or is not there."""
    expected, got = L_("a page with something on it"), L_("an empty file, as a save that was cut off leaves it")
    remedy = L_('bring back what it said ("duskbook history"), or delete it')
    return Problem(path=path, expected=expected, got=got, remedy=remedy)


def _alone(file: StrayFile, stray: Stray) -> Problem:
    """Return the problem of a file that means a page which is not there."""
    names = [f'"{name}"' for name in stray.meant]
    got: Phrase = f'"{shown(file.name)}"'
    expected: Phrase = names[0]
    remedy = L_("name it {name}", name=any_of(names))
    if stray.kind == "placeholder":
        got = L_("{name}, a placeholder for a page that is not downloaded", name=got)
        remedy = L_("have it downloaded by the program that synchronises the folder, or delete it")
    elif len(names) > 1:
        expected = L_("a page named by its period, the year first")
    elif stray.meant[0] not in FIXED_KEYS:
        expected = L_("a page named by its period alone")
    return Problem(path=shown(file.path), expected=expected, got=got, remedy=remedy)


def _unknown(file: StrayFile) -> Problem:
    """Return the problem of a ".toml" whose name means no page that can be."""
    stem = file.name[:-5]
    got: Phrase = f'"{shown(file.name)}"'
    shape = next((kind for kind, shape in file_names.SHAPES if shape.fullmatch(stem)), None)
    if shape is not None and file.name.endswith(".toml"):
        expected, remedy = _no_such(shape, stem)
    elif file.name in FIXED_KEYS:
        expected, got = L_("{file} at the top of the journal only", file=file.name), L_("another one here")
        remedy = L_("move it there, or out of the journal")
    else:
        expected = L_('a page named by its period, e.g. "2025-03-14.toml"')
        remedy = L_("name it so, give it another ending, or move it out of the journal")
    return Problem(path=shown(file.path), expected=expected, got=got, remedy=remedy)


def _no_such(kind: PeriodKind, stem: str) -> tuple[LazyText, LazyText]:
    """Return expectation and remedy for a name in the form of a period that does not exist."""
    year, rest = int(stem[:4]), stem[5:]
    if not EARLIEST_YEAR <= year <= LATEST_YEAR:
        expected = L_("a year from {first} to {last}", first=str(EARLIEST_YEAR), last=str(LATEST_YEAR))
        return expected, L_("name it by its year")
    if kind == "week":
        last = dt.date(year, 12, 28).isocalendar().week  # 28 December is always in the last ISO week of its year
        remedy = L_("{year} has weeks W01 to W{last}: name it by its week", year=str(year), last=last)
        return L_("an existing week"), remedy
    if kind == "month":
        return L_("an existing month"), L_("months go from 01 to 12: name it by its month")
    if not 1 <= int(rest[:2]) <= 12:
        return L_("an existing day"), L_("months go from 01 to 12: name it by its day")
    last = periods.month(dt.date(year, int(rest[:2]), 1)).last.day
    return L_("an existing day"), L_("{month} has days 01 to {last}: name it by its day", month=stem[:7], last=last)


def meaning(entry: os.DirEntry[str]) -> Stray | None:
    """Return what the name of a file means that is not read, None if nothing of a journal. The file is not opened."""
    name = entry.name
    if name in FIXED_KEYS or (name.endswith(".toml") and any(s.fullmatch(name[:-5]) for _, s in file_names.SHAPES)):
        return None
    from journal.folder import stray_names  # noqa: PLC0415 (its patterns take a hundredth of a log)

    stray = stray_names.stray(name)
    if stray is not None and not name.lower().endswith(".toml") and _is_folder(entry):
        return None
    if stray is not None and stray.kind == "copy" and not name.lower().endswith(".toml"):
        with contextlib.suppress(OSError):
            if not entry.stat(follow_symlinks=False).st_size:  # a further ending and nothing in it
                return Stray("placeholder", stray.meant)
    return stray


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:  # a link to itself
        return False
