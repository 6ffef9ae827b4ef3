"""The days of the habits kept in `.cache/days`, with the few pages anew that are not certain to be as they were.

What a page says that a command has just written is kept too (`kept_readings`). To read another one needs the libraries
that `log` needs, but no frames.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from typing import TYPE_CHECKING

from journal.commands.kept_streaks import habits_of, lows_of, with_days
from journal.folder import kept_readings
from journal.folder.folder_state import FolderState
from journal.folder.kept_days import KeptDays
from journal.measures import plain_streaks

if TYPE_CHECKING:
    from journal.folder.kept_readings import PageReading
    from journal.folder.reading import Basis
    from journal.measures.mood_levels import LowDays
    from journal.measures.plain_streaks import HabitDays

MOST = 32
"""Pages to read again, as `snapshot.FEW`."""
_OWN = (".cache", ".history")
_UNDATED = "undated.toml"


class _Pages:
    """The pages of a journal as they are now, told from what is kept of them, or read."""

    def __init__(self, folder: str, kept: KeptDays, now: FolderState, stamp: str) -> None:
        self.folder, self.now, self.settings = folder, now, kept.texts["settings"]
        self.places = {path: place for place, path in enumerate(now.paths)}
        self.known = kept_readings.load(folder, stamp, self.settings)
        self.has_read = False
        """Whether a page was read that was not kept."""

    @functools.cached_property
    def basis(self) -> Basis | None:
        """What journal.toml says, None if it is not that of what is kept."""
        from pathlib import Path

        from journal.folder import reading

        basis = reading.read_settings(Path(self.folder))
        return basis if basis.base.data == self.settings else None

    def key(self, path: str) -> str | None:
        """The key of a page, as `page_readings.key_of` gives it."""
        if path in self.known:
            return self.known[path].key
        from journal.commands import page_readings

        return page_readings.key_of(path)

    def reading(self, path: str, key: str) -> PageReading | None:
        """What a page says now, None if only the opened journal can tell."""
        facts = self.now.of(self.places[path]) if path in self.places else None
        known = self.known.get(path)
        if known is not None and facts is not None and known.is_of(self.folder, path, facts):
            return known
        self.has_read = True
        from pathlib import Path

        from journal.commands import page_readings

        return None if self.basis is None else page_readings.read(Path(self.folder), path, key, facts, self.basis)


def read_again(
    folder: str, kept: KeptDays, paths: Sequence[str], now: FolderState, stamp: str
) -> tuple[KeptDays, bool] | None:
    """Return what is kept with these paths as they are now, and whether that took reading a page. None where only the
    opened journal can tell."""
    changed = [path for path in paths if path not in _OWN]
    pages = _Pages(folder, kept, now, stamp)
    if len(changed) > MOST or now.has_links or not _can_tell(kept, changed, pages):
        return None
    problems, newest, habits, lows = dict(kept.facts["problems"]), kept.facts["newest"], habits_of(kept), lows_of(kept)
    for path in sorted(changed, key=pages.places.__contains__):  # the missing first: a page may have been moved
        key = pages.key(path)
        if key is None or (kept.facts["has_others"] and path not in (_usual(key), _UNDATED)):
            if key is None and path not in kept.facts["problems"]:
                continue  # no page, and nothing is wrong with it
            return None
        found = pages.reading(path, key)
        if found is None:
            return None
        problems.pop(path, None)
        problems |= {path: found.problems} if found.problems else {}
        newest = max(newest, found.inside)
        if found.is_day:
            habits = [_with_day(habit, kept, i, found) for i, habit in enumerate(habits)]
            lows = lows.with_day(found.inside, found.is_low)
    if lows != lows_of(kept) and not _ends_no_trial(pages, kept, lows):
        return None
    facts = kept.facts | {"problems": problems, "newest": newest}
    return with_days(KeptDays(now, facts, kept.texts), habits, lows), pages.has_read


def _usual(key: str) -> str:
    return f"{key[:4]}/{key}.toml"


def _can_tell(kept: KeptDays, changed: Sequence[str], pages: _Pages) -> bool:
    """Whether no name is new or gone, or only such as say by themselves what that means."""
    return kept.state.paths == pages.now.paths or (not kept.facts["has_others"] and _are_pages(kept, changed, pages))


def _are_pages(kept: KeptDays, changed: Sequence[str], pages: _Pages) -> bool:
    """Whether the new and missing names are pages or undated.toml, or folders of a year.

    And whether no other name has that of such a page in it: a second page or a backup is a problem beside it, or
    without it.
    """
    before, places = set(kept.state.paths), pages.places
    names = [path for path in changed if (path in before) != (path in places) and not _is_year(path)]
    every = "\0".join(places)
    return all(
        pages.key(path) is not None and every.count(path.rpartition("/")[2]) == (path in places) for path in names
    )


def _is_year(path: str) -> bool:
    return len(path) == 4 and path.isdecimal()


def _ends_no_trial(pages: _Pages, kept: KeptDays, lows: LowDays) -> bool:
    """Whether trials end as before with other low days. Without other ones they do."""
    if pages.basis is None:
        return False
    from journal.commands import page_readings

    ended: list[int] = kept.facts["interrupted"]
    return page_readings.interruptions(pages.basis.settings, lows, kept.facts["until"]) == ended


def _with_day(habit: HabitDays, kept: KeptDays, number: int, page: PageReading) -> HabitDays:
    """Return the days of a habit with the page of one day as it is now."""
    unwritten, place = kept.texts[f"unwritten {number}"], page.inside - habit.first
    span = next((span for span in habit.spans if span.first <= page.inside <= span.last), None)
    if not 0 <= place < len(unwritten) or span is None or unwritten[place] == plain_streaks.NOT_DUE[0]:
        return habit
    is_off, is_asked = unwritten[place] == plain_streaks.REST[0], page.is_asked and kept.facts["asks"]
    code = plain_streaks.code(span, page.marks.get(habit.habit), off=is_off, asked=is_asked)
    return habit._replace(codes=habit.codes[:place] + code + habit.codes[place + 1 :])
