"""A journal as of a day, and what follows from its tables: states, occasions, nights and the facts of findings.

Each is worked out when it is first asked for, once, with the journal's own settings: its week, its time zones, its
categories. So two readers of one journal cannot count differently, and nobody pays for what nobody asks for.
"""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
import polars as pl

from journal import tables as frames_of
from journal.folder import discover, reading, snapshot
from journal.folder.opened_files import OpenedFiles

if TYPE_CHECKING:
    from journal.entry import Undated
    from journal.errors import Problem
    from journal.measures.finding_facts import FindingFacts
    from journal.settings import Settings
    from journal.tables import Tables


class Journal(msgspec.Struct, frozen=True, eq=False, dict=True):
    """A journal as of a day: its folder, its settings, its tables, its undated tasks, and all that is wrong in it.

    `problems` are in the order of path and line. A value with a problem is not in the tables; all others are.
    `opened` is what was read of its files, None for a journal that was made from tables.

    What follows from the tables belongs to this journal alone. A journal with other tables or settings, which
    `msgspec.structs.replace` makes, works it out from those: what was cut from the tables is in none of it.
    """

    folder: Path
    settings: Settings
    today: dt.date
    tables: Tables
    undated: Undated
    problems: tuple[Problem, ...]
    opened: OpenedFiles | None = None

    @property
    def files(self) -> OpenedFiles:
        """Its files, to read more of them and to write: journal.toml and every page in the version that was read."""
        return OpenedFiles(self.folder) if self.opened is None else self.opened

    def as_of(self, today: dt.date, *, marks: pl.DataFrame | None = None) -> Journal:
        """The same pages as of another day; `marks` stand in for `Tables.marks` where they are given."""
        kept = self.tables.marks if marks is None else marks
        return msgspec.structs.replace(
            self, today=today, tables=msgspec.structs.replace(self.tables, today=today, marks=kept)
        )

    @cached_property
    def lived(self) -> pl.DataFrame:
        """`Tables.days`, cut to those from the first page to today."""
        from journal.measures import coverage

        return coverage.kept(self.tables.days, opened=self.tables.opened, today=self.today)

    @cached_property
    def states(self) -> pl.DataFrame:
        """`states.states`: what each day means for each habit in force."""
        from journal.measures import states

        return states.states(self.tables.marks, today=self.today)

    @cached_property
    def occasions(self) -> pl.DataFrame:
        """`states.occasions`: what streaks and rates count."""
        from journal.measures import states

        return states.occasions(self.states, today=self.today, week_starts=self.settings.week_starts)

    @cached_property
    def sleeps(self) -> pl.DataFrame:
        """`sleep.sleeps`: every night, nap and part of a night."""
        from journal.measures import sleep

        settings = self.settings
        return sleep.sleeps(self.tables.hours, self.tables.days, sleep=settings.asleep, zones=settings.zones)

    @cached_property
    def nights(self) -> pl.DataFrame:
        """`sleep.nights`, by the day of waking. Read off all hours, since a night begins on the day before."""
        from journal.measures import sleep

        return sleep.nights(
            self.tables.hours,
            self.tables.days,
            sleep=self.settings.asleep,
            zones=self.settings.zones,
            today=self.today,
            work=self.settings.working,
        )

    @cached_property
    def regularity_pairs(self) -> pl.DataFrame:
        """`sleep_summary.regularity_pairs`: how alike neighbouring days were slept."""
        from journal.measures import sleep_summary

        return sleep_summary.regularity_pairs(self.tables.hours, sleep=self.settings.asleep, today=self.today)

    @cached_property
    def facts(self) -> FindingFacts:
        """`finding_facts.gather`: what findings are made from, up to today."""
        from journal.measures import finding_facts

        past = self._without_hours_to_come
        return finding_facts.gather(
            self.tables,
            self.settings,
            states=self.states,
            occasions=self.occasions,
            nights=past.nights,
            pairs=past.regularity_pairs,
        )

    @property
    def _without_hours_to_come(self) -> Journal:
        """Itself, unless hours are written as they went for days after today, as they are where an earlier day is asked
        for: a sleep that goes on past midnight is then known up to midnight."""
        hours = self.tables.hours
        past = pl.col("date") <= self.today
        if hours.filter(~past, pl.col("layer") == "actual").is_empty():
            return self
        return msgspec.structs.replace(self, tables=msgspec.structs.replace(self.tables, hours=hours.filter(past)))


def read(files: OpenedFiles, *, today: dt.date | Callable[[Settings], dt.date], cache: bool) -> Journal:
    """What `journal.open` says of a folder, of its files as they are read in one request."""
    folder = files.folder
    begun, walked_ns = time.monotonic_ns(), time.time_ns()
    basis = files.basis
    undated, undated_problems = reading.read_undated(folder, files.pages)
    found = discover.find(folder)
    stamp = snapshot.stamp_of(basis.source, frames_of.RECORDED)
    kept = files.recorded(stamp) or (snapshot.load(folder, stamp, frames_of.RECORDED) if cache else snapshot.EMPTY)
    difference = snapshot.compare(kept, found.pages)
    versions = files.pages if len(difference.fresh) <= snapshot.FEW else None  # of all pages they would be too many
    with reading.gc_paused():
        pages, page_problems = reading.read_pages(folder, difference.fresh, basis.known, versions)
        recorded = snapshot.join_frames(difference, frames_of.record(pages))
    page_problems += difference.problems
    files.record(stamp, snapshot.from_pages(found.pages, recorded, page_problems, walked_ns=walked_ns))
    if cache and snapshot.is_worth_saving(kept, difference):
        since = time.monotonic_ns() - begun
        snapshot.save(folder, stamp, found.pages, recorded, page_problems, since_walk_ns=since)
    as_of = today(basis.settings) if callable(today) else today
    return Journal(
        folder=folder,
        settings=basis.settings,
        today=as_of,
        tables=frames_of.build(recorded, basis.settings, as_of),
        undated=undated,
        problems=tuple(sorted([*basis.problems, *undated_problems, *found.problems, *page_problems])),
        opened=files,
    )
