"""The time to export a year, relative to drawing only its charts, and from fifty years relative to one.

    python -m tests.benchmarks.bench_retrospective [--years 1 10 50] [--repeats 3]

The journal is the example year, with its pages repeated for the years before it, built in memory: bench_reading
measures opening. Seconds are processor time (user and system, all threads), since drawing has its own thread. The cache
of figures is cleared before each run. Ratios are comparable between machines, seconds are not.
"""

from __future__ import annotations

import argparse
import datetime as dt
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import polars as pl
from msgspec.structs import replace

import journal
from journal import Journal, tables
from journal.charts import figure
from journal.charts.figure import Size
from journal.export import book, pictures
from journal.export.document import Document, Picture
from journal.export.html import html
from journal.export.year_document import contents
from journal.folder import discover, reading

EXAMPLE = Path(__file__).parents[2] / "example_year"
YEAR, TODAY = 2025, dt.date(2026, 1, 5)


def main() -> None:
    """Time the exports of a year from journals of several lengths, and print a table."""
    parser = argparse.ArgumentParser(description="Time the export of a year.")
    parser.add_argument("--years", type=int, nargs="+", default=[1, 10, 50])
    parser.add_argument("--repeats", type=int, default=3)
    arguments = parser.parse_args()
    html(contents(repeated(1), YEAR))  # load fonts and libraries before the timed runs
    print(f"{'':<26}{'seconds':>9}{'/ its charts':>14}{'/ one year':>12}")
    first: dict[str, float] = {}
    for years in arguments.years:
        opened = repeated(years)
        print(f"{years} years, {opened.tables.days['written'].sum()} pages")
        charts: dict[str, float] = {}
        for what, over, run in exports(opened):
            took = best(run, arguments.repeats)
            if not over:
                charts[what] = took
            against = f"{took / charts[over]:>14.2f}" if over else f"{'':>14}"
            print(f"  {what:<24}{took:>9.2f}{against}{took / first.setdefault(what, took):>12.2f}")


def exports(opened: Journal) -> Iterator[tuple[str, str, Callable[[], object]]]:
    """The name of each timed export, the charts it is compared with, and the function."""
    document = contents(opened, YEAR)
    yield "charts, both sizes", "", lambda: drawn(document, "wide", "narrow")
    yield "charts, narrow", "", lambda: drawn(document, "narrow")
    yield "contents", "charts, both sizes", lambda: contents(opened, YEAR)
    yield "html, contents too", "charts, both sizes", lambda: html(contents(opened, YEAR))
    yield "pdf, contents too", "charts, narrow", lambda: book.make(contents(opened, YEAR))
    yield "pictures, contents too", "charts, narrow", lambda: pictures.pictures(contents(opened, YEAR))


def drawn(document: Document, *sizes: Size) -> None:
    """Draw every chart of a document as SVG, and nothing else."""
    for chapter in document.chapters:
        for block in chapter.blocks:
            if isinstance(block, Picture):
                for size in sizes:
                    block.figure.svg(size)


def repeated(years: int) -> Journal:
    """A journal of `years` years, each with the pages of the example year, up to the example year itself."""
    basis = reading.read_settings(EXAMPLE)
    pages, _ = reading.read_pages(EXAMPLE, discover.find(EXAMPLE).pages, basis.known)
    once = tables.record(pages)
    recorded = {
        name: pl.concat([_before(frame, years_ago) for years_ago in range(years)]) for name, frame in once.items()
    }
    begun = dt.date(YEAR - years + 1, 1, 1)
    habits = tuple(
        replace(habit, start=begun) if habit == basis.settings.definitions(habit.key)[0] else habit
        for habit in basis.settings.habits
    )
    settings = replace(basis.settings, habits=habits)
    laid = tables.build(recorded, settings, TODAY)
    return journal.Journal(EXAMPLE, settings, TODAY, laid, journal.open(EXAMPLE, today=TODAY).undated, ())


def _before(frame: pl.DataFrame, years: int) -> pl.DataFrame:
    if "date" in frame.columns:
        return frame.with_columns(pl.col("date", "^since$", "^caught_up$").dt.offset_by(f"-{years}y"))
    return frame.with_columns(pl.col("period").str.replace(f"^{YEAR}", str(YEAR - years)))


def best(run: Callable[[], object], repeats: int) -> float:
    """The least processor time of the runs, each with an empty cache of figures."""
    took = []
    for _ in range(repeats):
        figure._finished.cache_clear()
        begun = time.process_time()
        run()
        took.append(time.process_time() - begun)
    return min(took)


if __name__ == "__main__":
    main()
