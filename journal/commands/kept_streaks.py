"""The days of all habits in `.cache/days`, for `quick_streaks`: written from an opened journal, and read again.

What is kept holds for any day up to `until`: what a day without a mark says follows from today. A journal is kept only
where all of this is certain from its files' names and times: none with links, with a journal.toml that is broken or of
a newer format, or with a trial, whose lots and low days leave days free.
"""

from __future__ import annotations

import datetime as dt
import stat
import time
from collections import Counter
from typing import TYPE_CHECKING, Any

from journal.folder import folder_state, kept_days
from journal.folder.folder_state import FolderState
from journal.folder.kept_days import KeptDays
from journal.measures.plain_streaks import HabitDays, HabitSpanDays

if TYPE_CHECKING:
    from journal import Journal
    from journal.folder.discover import JournalFile
    from journal.settings import Settings

AHEAD = dt.timedelta(days=400)
"""How far after today days are kept: for a year they need not be kept again only since time passes."""
MONTH = dt.timedelta(days=31)
"""The days after today that a count looks at, at most: the rest of a week or month."""
PAGES_AHEAD = dt.timedelta(days=2 * 366)
"""As `discover.FAR`: a page further ahead is a problem as of today."""

_SETTINGS, _UNDATED = "journal.toml", "undated.toml"


def keep(opened: Journal) -> None:
    """Keep the days of a journal that was just opened and read from its files, if they can be kept."""
    files, basis = opened.files, opened.files.basis
    if not files.keeps or basis.base.data is None or opened.settings.trials:
        return
    if basis.broken or basis.earlier is not None or basis.is_partial or basis.other_format is not None:
        return
    try:
        state = folder_state.seen(str(opened.folder))
    except OSError:
        return
    pages = files.pages_read
    if state.has_links or not _is_as_read(state, pages, files.opened_ns):
        return
    problems = Counter(problem.path for problem in opened.problems)
    whole = {problem.path for problem in opened.problems if not (problem.line or problem.where)}
    paths = set(state.paths)
    if any(path not in paths or path.startswith(".") for path in problems) or whole & {page.path for page in pages}:
        return  # of an interrupted save, of today, or of a file that may become readable without a change
    from journal import periods
    from journal.measures import day_codes

    newest = max((periods.parse_name(page.key, page.kind).inside for page in pages), default=opened.today)
    if newest > opened.today + PAGES_AHEAD:
        return
    until = opened.today + AHEAD
    habits = day_codes.encoded(opened.marks, opened.settings, until=until)
    facts = _facts_of(opened.settings) | {
        "has_others": bool(problems.keys() - {page.path for page in pages} - {_SETTINGS, _UNDATED}),
        "problems": dict(problems),
        "newest": newest.toordinal(),
        "until": until.toordinal(),
    }
    texts = {"settings": basis.base.data} | {
        f"unwritten {i}": day_codes.without_pages(opened.settings, habit) for i, habit in enumerate(habits)
    }
    kept = with_habits(KeptDays(state, facts, texts), habits)
    since_ns = time.monotonic_ns() - files.opened_ns
    kept_days.save(opened.folder, kept, kept_days.stamp(), since_walk_ns=since_ns)


def _is_as_read(state: FolderState, pages: list[JournalFile], opened_ns: int) -> bool:
    """Whether all files are as they were when the journal was read, which was begun at `opened_ns`."""
    read = {page.path: (page.size, page.content_ns, page.state_ns) for page in pages}
    begun_ns = time.time_ns() - (time.monotonic_ns() - opened_ns) - kept_days.TICK_NS
    for i, path in enumerate(state.paths):
        mode, *facts = state.of(i)
        before = read.pop(path, None)
        if before is not None:
            if tuple(facts) != before:
                return False
        elif not stat.S_ISDIR(mode) and path != _SETTINGS and facts[1] >= begun_ns:
            return False  # journal.toml is kept as it was read
    return not read


def _facts_of(settings: Settings) -> dict[str, Any]:
    from journal.settings import WEEKDAYS

    return {
        "timezone": settings.places[0].timezone if settings.places else None,
        "turns": settings.day.turns.minute,
        "bridges": settings.blank == "bridges",
        "week_start": WEEKDAYS.index(settings.week_starts),
        "asks": settings.unmarked != "blank",
    }


def with_habits(kept: KeptDays, habits: list[HabitDays]) -> KeptDays:
    """Return what is kept with these days of the habits."""
    spans = [[habit.habit, habit.first, [list(span) for span in habit.spans]] for habit in habits]
    codes = {f"codes {i}": habit.codes for i, habit in enumerate(habits)}
    return kept._replace(facts=kept.facts | {"habits": spans}, texts=kept.texts | codes)


def habits_of(kept: KeptDays) -> list[HabitDays]:
    """Return the days of the habits. Raises KeyError, TypeError or ValueError for a foreign file."""
    return [
        HabitDays(key, first, kept.texts[f"codes {i}"], tuple(HabitSpanDays(*span) for span in spans))
        for i, (key, first, spans) in enumerate(kept.facts["habits"])
    ]
