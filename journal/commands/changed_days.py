"""The days of the habits kept in `.cache/days`, with the few pages read again that are not certain to be as they were.

Reading pages needs the libraries that `log` needs too, but no frames.
"""

from __future__ import annotations

import datetime as dt
import stat
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from journal import periods
from journal.commands.kept_streaks import habits_of, interruptions, lows_of, with_days
from journal.folder import file_names, reading
from journal.folder.discover import SETTINGS_NAME, UNDATED_NAME, JournalFile
from journal.folder.folder_state import FolderState
from journal.folder.kept_days import KeptDays
from journal.measures import mood_levels, plain_streaks, trial_interruption

if TYPE_CHECKING:
    from journal.entry import Entry
    from journal.folder.page_names import Known
    from journal.measures.plain_streaks import HabitDays

MOST = 32
"""Pages to read again, as `snapshot.FEW`."""
_OWN = (".cache", ".history")


class _Reread(NamedTuple):
    """A file as it is now: the number of its problems, a day in its period, and the entry of a day."""

    problems: int
    inside: dt.date
    day: dt.date | None = None
    entry: Entry | None = None


def read_again(folder: Path, kept: KeptDays, paths: Sequence[str], now: FolderState) -> KeptDays | None:
    """Return what is kept with these paths as they are now. None where only the opened journal can tell."""
    changed = [path for path in paths if path not in _OWN]
    places = {path: place for place, path in enumerate(now.paths)}
    if len(changed) > MOST or now.has_links or not _can_tell(kept, changed, now, places):
        return None
    basis = reading.read_settings(folder)
    if basis.base.data != kept.texts["settings"]:
        return None
    problems, newest, habits = dict(kept.facts["problems"]), kept.facts["newest"], habits_of(kept)
    lows, settings = lows_of(kept), basis.settings
    for path in sorted(changed, key=places.__contains__):  # the missing first: a page may have been moved
        key = _key(path)
        if key is None or (kept.facts["has_others"] and path not in (_usual(key), UNDATED_NAME)):
            if key is None and path not in kept.facts["problems"]:
                continue  # no page, and nothing is wrong with it
            return None
        found = _read(folder, path, key, now.of(places[path]) if path in places else None, basis.known)
        if found is None:
            return None
        problems.pop(path, None)
        problems |= {path: found.problems} if found.problems else {}
        newest = max(newest, found.inside.toordinal())
        if found.day is not None:
            asks = kept.facts["asks"]
            habits = [
                _with_day(habit, kept.texts[f"unwritten {i}"], found.day, found.entry, asks)
                for i, habit in enumerate(habits)
            ]
            mood = found.entry.mood if found.entry is not None else None
            lows = lows.with_day(found.day.toordinal(), mood_levels.is_low(mood, settings.mood))
    until = dt.date.fromordinal(kept.facts["until"])
    trials = [trial_interruption.interrupted(trial, lows.on, today=until) for trial in settings.trials]
    if interruptions(trials) != kept.facts["interrupted"]:
        return None
    return with_days(KeptDays(now, kept.facts | {"problems": problems, "newest": newest}, kept.texts), habits, lows)


def _key(path: str) -> str | None:
    """Return the key of a page, UNDATED_NAME for that file, or None for what is no page."""
    if path in (UNDATED_NAME, SETTINGS_NAME):
        return UNDATED_NAME if path == UNDATED_NAME else None
    name = path.rpartition("/")[2]
    found = file_names.period(name[:-5]) if name.endswith(".toml") else None
    return None if found is None else found[1]


def _usual(key: str) -> str:
    return f"{key[:4]}/{key}.toml"


def _can_tell(kept: KeptDays, changed: Sequence[str], now: FolderState, places: dict[str, int]) -> bool:
    """Whether no name is new or gone, or only such as say by themselves what that means."""
    return kept.state.paths == now.paths or (not kept.facts["has_others"] and _are_pages(kept, changed, places))


def _are_pages(kept: KeptDays, changed: Sequence[str], places: dict[str, int]) -> bool:
    """Whether the new and missing names are pages or undated.toml, or folders of a year.

    And whether no other name has that of such a page in it: a second page or a backup is a problem beside it, or
    without it.
    """
    before = set(kept.state.paths)
    names = [path for path in changed if (path in before) != (path in places) and not _is_year(path)]
    every = "\0".join(places)
    return all(_key(path) is not None and every.count(path.rpartition("/")[2]) == (path in places) for path in names)


def _is_year(path: str) -> bool:
    return len(path) == 4 and path.isdecimal()


def _read(folder: Path, path: str, key: str, facts: tuple[int, int, int, int] | None, known: Known) -> _Reread | None:
    if key == UNDATED_NAME:
        _, faults = reading.read_undated(folder)
        return _Reread(len(faults), dt.date.min) if all(fault.line or fault.where for fault in faults) else None
    name = periods.parse_name(key)
    day = name.inside if name.kind == "day" else None
    if facts is None:
        return _Reread(0, name.inside, day)
    mode, size, content_ns, state_ns = facts
    if not stat.S_ISREG(mode) or not size:
        return None
    file = JournalFile(path, name.kind, key, size, content_ns, state_ns)
    page, faults = reading.read_page(folder, file, known)
    if not all(fault.line or fault.where for fault in faults):
        return None
    entry = page.content if page is not None and day is not None else None
    return _Reread(len(faults), name.inside, day, entry)  # type: ignore[arg-type]  # that of a day is an Entry


def _with_day(habit: HabitDays, unwritten: bytes, day: dt.date, entry: Entry | None, asks: bool) -> HabitDays:
    """Return the days of a habit with the page of one day as it is now."""
    place = day.toordinal() - habit.first
    span = next((span for span in habit.spans if span.first <= day.toordinal() <= span.last), None)
    if not 0 <= place < len(unwritten) or span is None or unwritten[place] == plain_streaks.NOT_DUE[0]:
        return habit
    mark = (entry.habits or {}).get(habit.habit) if entry is not None else None
    is_asked = entry is not None and entry.logged and entry.asked and asks
    code = plain_streaks.code(span, mark, off=unwritten[place] == plain_streaks.REST[0], asked=is_asked)
    return habit._replace(codes=habit.codes[:place] + code + habit.codes[place + 1 :])
