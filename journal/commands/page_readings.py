"""What the pages of a journal say of its habits, read from their files, or from the bytes that were just written."""

from __future__ import annotations

import contextlib
import datetime as dt
import stat
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from journal import periods
from journal.commands import kept_streaks
from journal.entry import Entry
from journal.folder import file_names, folder_state, kept_days, kept_readings, reading
from journal.folder.discover import SETTINGS_NAME, UNDATED_NAME, JournalFile
from journal.folder.kept_readings import PageReading
from journal.measures import mood_levels

if TYPE_CHECKING:
    from journal.entry import Page
    from journal.errors import Problem
    from journal.folder.opened_files import OpenedFiles
    from journal.folder.page_versions import Base
    from journal.folder.reading import Basis
    from journal.measures.mood_levels import LowDays
    from journal.settings import Settings


def key_of(path: str) -> str | None:
    """Return the key of a page, UNDATED_NAME for that file, or None for what is no page.

    >>> key_of("2025/2025-03-14.toml"), key_of("undated.toml"), key_of("2025/notes.toml")
    ('2025-03-14', 'undated.toml', None)
    """
    if path in (UNDATED_NAME, SETTINGS_NAME):
        return UNDATED_NAME if path == UNDATED_NAME else None
    name = path.rpartition("/")[2]
    found = file_names.period(name[:-5]) if name.endswith(".toml") else None
    return None if found is None else found[1]


def read(folder: Path, path: str, key: str, facts: tuple[int, ...] | None, basis: Basis) -> PageReading | None:
    """Return what a page says now; `facts` are those of `folder_state`, None for a missing one. None if only the opened
    journal can tell."""
    if key == UNDATED_NAME:
        _, faults = reading.read_undated(folder)
        return PageReading(key, 1, len(faults)) if _are_within(faults) else None
    name = periods.parse_name(key)
    if facts is None:
        return PageReading(key, name.inside.toordinal(), 0, name.kind == "day")
    mode, size, content_ns, state_ns = facts
    if not stat.S_ISREG(mode) or not size:
        return None
    file = JournalFile(path, name.kind, key, size, content_ns, state_ns)
    return _said(key, *reading.read_page(folder, file, basis.known), basis.settings)


def keep(files: OpenedFiles, written: Base) -> None:
    """Keep what a page says that was just written with these bytes, if the days of its journal are kept."""
    settings, path = files.basis.base.data, f"{files.folder}/{written.path}"
    if settings is None or not written.data or not kept_days.are_there(files.folder):
        return
    said = _said(written.key, *reading.read_base(written, files.basis.known), files.basis.settings)
    if said is None:
        return
    with contextlib.suppress(OSError):  # the page is gone again
        said = said._replace(facts=folder_state.facts_of(path), sums=kept_readings.sums_of(written.data))
        kept_readings.add(files.folder, kept_days.stamp(), settings, written.path, said)


def interruptions(settings: Settings, lows: LowDays, until: int) -> list[int]:
    """Return when low days end the trials, as `kept_streaks.interruptions`; `until` is the ordinal of a day."""
    from journal.measures import trial_interruption  # noqa: PLC0415 (few journals have trials)

    last = dt.date.fromordinal(until)
    trials = [trial_interruption.interrupted(trial, lows.on, today=last) for trial in settings.trials]
    return kept_streaks.interruptions(trials)


def _said(key: str, page: Page | None, faults: Iterable[Problem], settings: Settings) -> PageReading | None:
    faults = tuple(faults)
    if not _are_within(faults):
        return None
    name = periods.parse_name(key)
    said = PageReading(key, name.inside.toordinal(), len(faults), name.kind == "day")
    entry = page.content if page is not None else None
    if not isinstance(entry, Entry):
        return said
    return said._replace(
        marks=entry.habits or {},
        is_asked=entry.logged and entry.asked,
        is_low=mood_levels.is_low(entry.mood, settings.mood),
    )


def _are_within(faults: Iterable[Problem]) -> bool:
    """Whether each problem is of a place in its file: one of a whole file may end without a change of it."""
    return all(fault.line or fault.where for fault in faults)
