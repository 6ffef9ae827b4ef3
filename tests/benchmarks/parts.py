"""The parts of `python -m tests.benchmarks`: what each measures, its peer, and the most that is aimed at.

Every part takes years of journal and rounds, and gives its figures: the median of interleaved rounds, divided by the
peer's median in the same run.
"""

from __future__ import annotations

import datetime as dt
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from tests.benchmarks import (
    bench_commands,
    bench_edit,
    bench_frame,
    bench_growth,
    bench_measures,
    bench_pages,
    bench_reading,
    bench_saving,
    bench_server,
    bench_show_findings,
    bench_start,
    grown_year,
)


class Figure(NamedTuple):
    """One row of the table."""

    what: str
    peer: str
    aim: str
    years: dict[int, float]
    """The ratio for a journal of so many years."""


Part = Callable[[Sequence[int], int], Iterator[Figure]]


def reading(years: Sequence[int], rounds: int) -> Iterator[Figure]:
    """Opening a journal."""
    took = {}
    for count in years:
        with tempfile.TemporaryDirectory() as folder:
            last = dt.date(bench_reading.FIRST.year + count, 1, 1) - dt.timedelta(days=1)
            top = bench_reading.written(Path(folder), last)
            paths = [str(path) for path in sorted(top.glob("*/*.toml"))]
            took[count] = bench_reading.medians(dict(bench_reading.ways(top, paths, last)), rounds)
    cold, bytes_of_all, script = "cold open (no snapshot)", "stat and read", "plain tomllib script"
    yield Figure("open, without a snapshot", "`stat` and bytes of every file", "5", over(took, cold, bytes_of_all))
    yield Figure("a plain tomllib script", "open, without a snapshot", "at least 6", over(took, script, cold))
    yield Figure("open, nothing changed", "`stat` of every file", "1.2", over(took, "warm open", "stat alone"))


def commands(years: Sequence[int], rounds: int) -> Iterator[Figure]:
    """Commands, each a process of its own."""
    took = {count: bench_commands.medians(count, rounds) for count in years}
    bare, peer = "bare Python", "`python -c pass`"
    yield Figure("`log`, with a streak to tell", peer, "3", over(took, "log with a streak", bare))
    yield Figure("`show streaks`", peer, "5", over(took, bench_commands.UNCHANGED, bare))
    yield Figure("`show streaks`, after a `log`", peer, "5", over(took, "show streaks, after a log", bare))
    yield Figure(
        "`show sun`, all days", "ephem's own calls", "1.5 (50 years)", over(took, "show sun", "ephem's own calls")
    )


def measures(years: Sequence[int], rounds: int) -> Iterator[Figure]:
    """Measures, against others' code for the same numbers."""
    took = {count: bench_measures.ratios(count, rounds) for count in years}
    peers = {
        "streaks": ("pandas, by whole columns", "0.2"),
        "links": ("plain numpy, shift by shift", "0.006"),
        "due days, daily": ("python-dateutil", "0.04"),
        "due days, weekly": ("python-dateutil", "0.04"),
        "due days, monthly": ("python-dateutil", "0.7"),
        "due days, yearly": ("python-dateutil", "0.7"),
    }
    for what, (peer, aim) in peers.items():
        yield Figure(what, peer, aim, {count: ratios[what] for count, ratios in took.items()})


def findings(years: Sequence[int], rounds: int) -> Iterator[Figure]:
    """Findings as a journal grows."""
    with tempfile.TemporaryDirectory() as place:
        folders = bench_show_findings.journals(Path(place), years)
        for what, seconds in bench_show_findings.medians(folders, rounds):
            aim = {"findings of one month": "1.5", "findings of all months": "60"}.get(what, "")
            if aim:
                least = seconds[min(years)]
                yield Figure(
                    f"`show`: {what}", f"the same, {min(years)} year", aim, {n: s / least for n, s in seconds.items()}
                )


def saving(years: Sequence[int], rounds: int) -> Iterator[Figure]:
    """An evening saved, and an edit in an editor read again."""
    took = {count: bench_saving.ratios(count, rounds) for count in years}
    peer = "the same bytes written and synced"
    yield Figure("an evening saved, to its answer", peer, "3", over(took, "saved", "plain"))
    yield Figure("that, in ms", "", "", {count: times["saved"] * 1000 for count, times in took.items()})
    yield Figure(
        "an edit, to the journal read again, in ms", "", "500", {n: s["edited"] * 1000 for n, s in took.items()}
    )


def growth(years: Sequence[int], rounds: int) -> Iterator[Figure]:
    """Each page as the journal grows: the notebook, run in a process of its own."""
    with tempfile.TemporaryDirectory() as place:
        folders = {count: grown_year.written(Path(place, str(count)), count) for count in years}
        for page in bench_growth.PAGES:
            took = bench_growth.medians(page, folders, rounds)
            least = took[min(years)]
            for name, words in GROWS.items():
                ratios = {count: times[name] / least[name] for count, times in took.items()}
                yield Figure(f"{page}: {words}", f"the same, {min(years)} year", "1.15", ratios)


def pages(years: Sequence[int], rounds: int) -> Iterator[Figure]:
    """Pages in Chromium, of the example year, and of a command that was just given."""
    for what, peer, aim, ratio in bench_pages.ratios(("month", "evening"), rounds):
        yield Figure(what, peer, aim, {1: ratio} if 1 in years else {})
    for state, load in bench_frame.measured(["month"], rounds)["month"].items():
        for what, value in load.items():
            yield Figure(f"month: until the notebook has taken over, {state}: {what}", "", "", {1: value})
    took = {count: bench_start.medians(count, rounds) for count in years}
    for page in bench_start.PAGES:
        for stage, aim in (("letter", ""), ("figure", "1.0")):
            seconds = {count: times[page][stage] for count, times in took.items()}
            yield Figure(f"seconds from `duskbook {page}` to its first {stage}", "", aim, seconds)
    again = {count: times[bench_start.AGAIN] for count, times in took.items()}
    edits = {count: bench_edit.seconds(count, rounds) * 1000 for count in years}
    yield Figure("month: an edit by an editor, to the changed figure, in ms", "", "500", edits)
    yield Figure("the command, while its page is served", "`python -c pass`", "", over(again, "processor", "bare"))


def server(years: Sequence[int], rounds: int) -> Iterator[Figure]:
    """The server of an open page: while nobody touches it, and over edits and reloads."""
    took = {count: bench_server.measured(count, bench_server.IDLE_SECONDS) for count in years}
    idle = {count: one["idle"] * 100 for count, one in took.items()}
    yield Figure("an open page that nobody touches, % of a core", "", "0.2", idle)
    many, few = (f"{edits} edits and {reloads} reloads" for edits, reloads in (bench_server.MANY, bench_server.FEW))
    yield Figure(f"memory after {many}", f"after {few}", "1.1", over(took, "after", "before"))


def over(took: dict[int, dict[str, float]], what: str, peer: str) -> dict[int, float]:
    """The ratio of one time to another, for each number of years."""
    return {count: times[what] / times[peer] for count, times in took.items()}


GROWS = {"first": "opened first, whole process", "again": "opened again", "megabytes": "memory"}
PARTS: dict[str, Part] = {
    "reading": reading,
    "commands": commands,
    "measures": measures,
    "findings": findings,
    "saving": saving,
    "growth": growth,
    "server": server,
    "pages": pages,
}
