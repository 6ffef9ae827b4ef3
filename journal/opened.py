"""A journal as of a day, and the frames derived from its tables: states, occasions, nights and the facts of findings.

Each derived frame is computed once, on first access, with the journal's own settings (its week, zones, categories).
"""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
import polars as pl

from journal import call_arguments, periods
from journal import tables as frames_of
from journal.derived import derived, share
from journal.folder import arriving, discover, reading, save_record, snapshot, write_refusals
from journal.folder.opened_files import OpenedFiles
from journal.measures import withheld_links

if TYPE_CHECKING:
    from journal.entry import Undated
    from journal.errors import Problem
    from journal.measures.finding_input import FindingFacts
    from journal.measures.link_history import LinkHistory
    from journal.measures.period_columns import By
    from journal.measures.slept_days import SleptDays
    from journal.measures.task_frames import TaskFrames
    from journal.measures.withheld_links import WithheldLink
    from journal.periods import Period
    from journal.settings import Settings, Trial
    from journal.tables import Tables


class Journal(msgspec.Struct, frozen=True, eq=False, dict=True):
    """A journal as of a day: its folder, settings, tables, undated tasks and problems.

    `problems` are sorted by path and line. A value with a problem is not in the tables; all other values are. `opened`
    holds the files as read, or None for a journal made from tables; `withheld_before` links of trials that it has not.

    A copy with other tables or settings, made with `msgspec.structs.replace`, derives its own frames: rows removed from
    its tables appear in none of them. One made with `for_request` shares them.
    """

    folder: Path
    settings: Settings
    today: dt.date
    tables: Tables
    undated: Undated
    problems: tuple[Problem, ...]
    opened: OpenedFiles | None = None
    withheld_before: tuple[WithheldLink, ...] = ()

    @property
    def settled_problems(self) -> list[Problem]:
        """The problems, without those of files that are most likely still arriving (`folder.arriving`)."""
        return arriving.settled(self.folder, self.problems)

    @property
    def read_only(self) -> str:
        """Why nothing can be saved to this journal, a sentence; empty if it can."""
        newer = self.files.basis.other_format if self.opened is not None else None
        return "" if newer is None else write_refusals.other_sentence(newer)

    @property
    def files(self) -> OpenedFiles:
        """The journal's files, to read and write: journal.toml and each page in the version that was read."""
        return OpenedFiles(self.folder) if self.opened is None else self.opened

    def for_request(self) -> Journal:
        """The same journal with files of its own, for another request. Both share all that is derived."""
        return share(msgspec.structs.replace(self, opened=self.files.later()), self)

    def __repr__(self) -> str:
        return f"<Journal {str(self.folder)!r} as of {self.today}: {self.tables.pages}, {len(self.problems)} problems>"

    def period(self, name: Period | str) -> Period:
        """The period of an ISO 8601 name, with the journal's own weeks; a period is itself. Raises UsageError."""
        return call_arguments.period("period", name, week_starts=self.settings.week_starts)

    def as_of(self, today: dt.date | str, *, marks: pl.DataFrame | None = None) -> Journal:
        """The journal as of another day. `marks`, if given, replaces `Tables.marks`."""
        today = call_arguments.day("today", today)
        tables = msgspec.structs.replace(self.tables, today=today)
        if marks is not None:
            tables = msgspec.structs.replace(tables, marks=marks)
        return msgspec.structs.replace(self, today=today, tables=tables)

    @derived
    def lived(self) -> pl.DataFrame:
        """`Tables.days` from the first page to today."""
        from journal.measures import coverage

        return coverage.kept(self.tables.days, opened=self.tables.opened, today=self.today)

    @derived
    def states(self) -> pl.DataFrame:
        """`states.states`: the state of each habit in force on each day."""
        from journal.measures import states

        return states.states(self.marks, today=self.today, unmarked=self.settings.unmarked)

    @derived
    def trials(self) -> tuple[Trial, ...]:
        """The trials of the settings, interrupted where low days ended one: `trial_care.interrupted`."""
        from journal.measures import trial_care

        scale = self.settings.mood
        return trial_care.interrupted(
            self.settings.trials, self.tables.days, today=self.today, low=scale.low, high=scale.high
        )

    @derived
    def marks(self) -> pl.DataFrame:
        """`Tables.marks`, with the days that a trial leaves free as time off: `trial_lots.with_free_days`."""
        if not self.settings.trials:
            return self.tables.marks
        from journal.measures import trial_lots

        return trial_lots.with_free_days(self.tables.marks, self.trials)

    @derived
    def lots(self) -> pl.DataFrame:
        """`trial_lots.drawn`: the days of all trials, with what was drawn, what was done, and the outcome."""
        from journal.measures import sleep, trial_lots

        nights = self.nights if any(t.outcome == "sleep" for t in self.trials) else pl.DataFrame(schema=sleep.NIGHTS)
        return trial_lots.drawn(self.trials, self.states, self.tables.days, nights, today=self.today)

    @derived
    def trial_results(self) -> pl.DataFrame:
        """`trials.results`: a row for each trial, with its result where it is to be shown."""
        from journal.measures import trials

        return trials.results(self.trials, self.lots, today=self.today)

    @derived
    def occasions(self) -> pl.DataFrame:
        """`states.occasions`: the units that streaks and rates count."""
        from journal.measures import states

        return states.occasions(self.states, today=self.today, week_starts=self.settings.week_starts)

    @derived
    def dependence(self) -> pl.DataFrame:
        """`dependence.dependence` of all occasions up to today. Every rate of the journal has its interval from it."""
        from journal.measures import dependence

        return dependence.dependence(self.occasions)

    def lived_in(self, period: Period | str) -> pl.DataFrame:
        """`lived`, cut to a period."""
        return self.lived.filter(frames_of.within(self.period(period)))

    def states_in(self, period: Period | str) -> pl.DataFrame:
        """`states`, cut to a period."""
        return self.states.filter(frames_of.within(self.period(period)))

    def rates(self, period: Period | str, *, by: By = "all") -> pl.DataFrame:
        """`completion.rates` of the occasions of a period."""
        from journal.measures import completion

        inside = self.occasions.filter(frames_of.within(self.period(period)))
        return completion.rates(inside, by=by, week_starts=self.settings.week_starts, known=self.dependence)

    def changes(self, period: Period | str) -> pl.DataFrame:
        """`completion.changes` from the period before to a period."""
        from journal.measures import completion

        period = self.period(period)
        before = periods.before(period)
        occasions = self.occasions.filter(pl.col("date").is_between(before.first, period.last))
        then, now = (before.first, before.last), (period.first, period.last)
        return completion.changes(occasions, before=then, after=now, opened=self.tables.opened, known=self.dependence)

    def running_at_end(self, period: Period | str) -> pl.DataFrame:
        """`streaks.streaks` as of the end of a period, or today if that is earlier, of the habits in force in it."""
        from journal.measures import streaks

        period = self.period(period)
        until_then = self.occasions.filter(pl.col("to") <= period.last)
        running = streaks.streaks(until_then, today=min(self.today, period.last), blank=self.settings.blank)
        return running.filter(pl.col("habit").is_in(self.states_in(period)["habit"].unique().implode()))

    def ticked(self, period: Period | str) -> pl.DataFrame:
        """`challenges.totals` as of the end of a period, or today if that is earlier."""
        from journal.measures import challenges

        return challenges.totals(self.tables.ticks, today=min(self.today, self.period(period).last))

    @derived
    def slept(self) -> SleptDays:
        """The frames of sleep, of all days or of some: a page takes those of its period."""
        from journal.measures.slept_days import SleptDays

        return SleptDays(self.tables.hours, self.tables.days, self.settings, today=self.today)

    @property
    def sleeps(self) -> pl.DataFrame:
        """`sleep.sleeps`: every night, nap and part of a night."""
        return self.slept.sleeps

    @property
    def nights(self) -> pl.DataFrame:
        """`sleep.nights`, by the day of waking."""
        return self.slept.nights

    @property
    def regularity_pairs(self) -> pl.DataFrame:
        """`sleep_summary.regularity_pairs`: the similarity of sleep on neighbouring days."""
        return self.slept.pairs

    @derived
    def facts(self) -> FindingFacts:
        """The input of findings, up to today."""
        from journal.measures import finding_input

        # Nothing of it refers to the journal: a cycle would hold all frames of it until the collector runs.
        history, withheld = self._link_history, self.withheld
        return finding_input.FindingFacts(
            self.tables,
            self.settings,
            states=self.states,
            occasions=self.occasions,
            dependence=self.dependence,
            link_events=lambda: withheld_links.told(history.events, withheld),
            link_pairs=lambda: history.pairs,
        )

    @property
    def withheld(self) -> tuple[WithheldLink, ...]:
        """`withheld_links.withheld`: the links that would show the result of a trial, and those kept from a reader."""
        return self.withheld_before + withheld_links.withheld(self.trials, today=self.today)

    @property
    def link_events(self) -> pl.DataFrame:
        """`link_record.record`: the links that became clear or ended up to today, without those that are withheld."""
        return withheld_links.told(self._link_history.events, self.withheld)

    @property
    def link_pairs(self) -> pl.DataFrame:
        """`link_pairs.comparable`: the pairs of a habit and mood that can be compared up to today."""
        return self._link_history.pairs

    @derived
    def _link_history(self) -> LinkHistory:
        """The frames of links, kept in `.cache` if the journal keeps what is computed from its files."""
        from journal.measures.link_history import LinkHistory

        kept_in = self.folder if self.opened is not None and self.opened.keeps else None
        return LinkHistory(self.states, self.tables.days, today=self.today, kept_in=kept_in)

    @derived
    def task_frames(self) -> TaskFrames:
        """The lives of all tasks, and the tasks that need a decision."""
        from journal.measures.task_frames import TaskFrames

        return TaskFrames(self.tables.tasks, self.undated, today=self.today)


def read(files: OpenedFiles, *, today: dt.date | str | Callable[[Settings], dt.date], cache: bool) -> Journal:
    """Read the journal of `files`, for `journal.open`. `files` are the files as read in one request."""
    folder, files.keeps = files.folder, cache
    files.opened_ns, walked_ns = time.monotonic_ns(), time.time_ns()
    basis = files.basis
    undated, undated_problems = reading.read_undated(folder, files.pages)
    discovered = discover.find(folder, keeps=cache)
    stamp = snapshot.stamp_of(basis.source, frames_of.RECORDED)
    cached = files.recorded(stamp) or (snapshot.load(folder, stamp, frames_of.RECORDED) if cache else snapshot.EMPTY)
    difference = snapshot.compare(cached, discovered.pages, discovered.newest_content_ns)
    # Page versions are kept only for a few changed pages: those of a whole journal would be too many.
    versions = files.pages if len(difference.fresh) <= snapshot.FEW else None
    files.copies = discovered.copies
    files.changed = tuple(difference.fresh) if versions is not None and cached.frames is not None else ()
    page_problems: list[Problem] = []
    with reading.gc_paused():
        pages = reading.each_page(folder, difference.fresh, basis.known, page_problems, versions)
        read_now = frames_of.record(pages) if difference.fresh or difference.frames is None else {}
        recorded = snapshot.join_frames(difference, read_now, frames_of.RECORDED)
    recorded.afresh = lambda: frames_of.record(reading.each_page(folder, discovered.pages, basis.known, []))
    page_problems += difference.problems
    files.record(stamp, snapshot.from_pages(discovered.pages, recorded, page_problems, walked_ns=walked_ns))
    if cache and snapshot.is_worth_saving(cached, difference):
        since = time.monotonic_ns() - files.opened_ns
        snapshot.save(folder, stamp, discovered.pages, recorded, page_problems, since_walk_ns=since)
    as_of = today(basis.settings) if callable(today) else call_arguments.day("today", today)
    # Not part of the snapshot, since they depend on today and on what happens now.
    others = [*discover.far_ahead(discovered.pages, as_of), *save_record.problems(folder)]
    return Journal(
        folder=folder,
        settings=basis.settings,
        today=as_of,
        tables=frames_of.build(recorded, basis.settings, as_of),
        undated=undated,
        problems=tuple(sorted([*basis.problems, *undated_problems, *discovered.problems, *page_problems, *others])),
        opened=files,
    )
