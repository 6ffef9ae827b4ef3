"""The days of all habits in `.cache/days`, for `quick_streaks`: written from an opened journal, and read again.

What is kept holds for any day up to `until`: what a day without a mark says follows from today. A journal is kept only
where all of this is certain from its files' names and times: none with links, with a journal.toml that is broken or of
a newer format. Where low days ended a trial, it holds from the day on that ended it.
"""

from __future__ import annotations

import datetime as dt
import stat
import time
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from journal.folder import folder_state, kept_days
from journal.folder.folder_state import FolderState
from journal.folder.kept_days import KeptDays
from journal.measures.mood_levels import LowDays
from journal.measures.plain_streaks import HabitDays, HabitSpanDays

if TYPE_CHECKING:
    import polars as pl

    from journal import Journal
    from journal.folder.discover import JournalFile
    from journal.settings import Scale, Settings, Trial

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
    if not files.keeps or basis.base.data is None:
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
    from journal.measures import day_codes, trial_care, trial_lots

    newest = max((periods.parse_name(page.key, page.kind).inside for page in pages), default=opened.today)
    if newest > opened.today + PAGES_AHEAD:
        return
    until = opened.today + AHEAD
    settings, tables, scale = opened.settings, opened.tables, opened.settings.mood
    trials = trial_care.interrupted(settings.trials, tables.days, today=until, low=scale.low, high=scale.high)
    marks = trial_lots.with_free_days(tables.marks, trials)
    habits = day_codes.encoded(marks, settings, until=until, trials=trials)
    lows = _lows_of(tables.days, trials, scale)
    facts = _facts_of(settings) | {
        "interrupted": interruptions(trials),
        "settled": _settled(settings.trials, trials),
        "lows first": lows.first,
        "has_others": bool(problems.keys() - {page.path for page in pages} - {_SETTINGS, _UNDATED}),
        "problems": dict(problems),
        "newest": newest.toordinal(),
        "until": until.toordinal(),
    }
    texts = {"settings": basis.base.data, "lows": lows.codes} | {
        f"unwritten {i}": day_codes.without_pages(settings, habit, trials) for i, habit in enumerate(habits)
    }
    kept = with_days(KeptDays(state, facts, texts), habits, lows)
    since_ns = time.monotonic_ns() - files.opened_ns
    kept_days.save(opened.folder, kept, kept_days.stamp(), since_walk_ns=since_ns)


def _is_as_read(state: FolderState, pages: Sequence[JournalFile], opened_ns: int) -> bool:
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
        "language": settings.language,
        "timezone": settings.places[0].timezone if settings.places else None,
        "turns": settings.day.turns.minute,
        "bridges": settings.blank == "bridges",
        "week_start": WEEKDAYS.index(settings.week_starts),
        "asks": settings.unmarked != "blank",
    }


def holds(facts: Mapping[str, Any], today: dt.date) -> bool:
    """Whether what is kept holds as of a day."""
    is_ahead = facts["newest"] > (today + PAGES_AHEAD).toordinal()
    return facts["settled"] <= today.toordinal() <= facts["until"] - MONTH.days and not is_ahead


def interruptions(trials: Iterable[Trial]) -> list[int]:
    """The ordinals of the days from which on trials are interrupted, 0 for one that is not."""
    return [0 if trial.interrupted is None else trial.interrupted.toordinal() for trial in trials]


def _settled(planned: Sequence[Trial], trials: Sequence[Trial]) -> int:
    """The ordinal of the day from which on low days have ended the trials that they end: before, more days are free."""
    ended = [trial.interrupted for plan, trial in zip(planned, trials, strict=True) if trial is not plan]
    return max((day.toordinal() - 1 for day in ended if day is not None), default=0)


def _lows_of(days: pl.DataFrame, trials: Sequence[Trial], scale: Scale) -> LowDays:
    """The moods that the ends of trials hang on."""
    if not trials:
        return LowDays()
    from journal import lots
    from journal.measures import low_stretches

    first, last = min(trial.start for trial in trials), max(map(lots.last_planned, trials))
    lows = low_stretches.low_days(days, first=first, last=last, low=scale.low, high=scale.high)
    return LowDays.of(lows, range(first.toordinal() - low_stretches.LOOKS_BACK.days, last.toordinal() + 1))


def lows_of(kept: KeptDays) -> LowDays:
    """Return the moods that the ends of trials hang on."""
    return LowDays(kept.facts["lows first"], kept.texts["lows"])


def with_days(kept: KeptDays, habits: list[HabitDays], lows: LowDays) -> KeptDays:
    """Return what is kept with these days of the habits, and these moods."""
    spans = [[habit.habit, habit.first, [list(span) for span in habit.spans]] for habit in habits]
    codes = {f"codes {i}": habit.codes for i, habit in enumerate(habits)}
    return kept._replace(facts=kept.facts | {"habits": spans}, texts=kept.texts | codes | {"lows": lows.codes})


def habits_of(kept: KeptDays) -> list[HabitDays]:
    """Return the days of the habits. Raises KeyError, TypeError or ValueError for a foreign file."""
    return [
        HabitDays(key, first, kept.texts[f"codes {i}"], tuple(HabitSpanDays(*span) for span in spans))
        for i, (key, first, spans) in enumerate(kept.facts["habits"])
    ]
