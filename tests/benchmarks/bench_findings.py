"""How much stands out in journals in which nothing changes, and which real changes are told.

    python -m tests.benchmarks.bench_findings --count 40 --seed 1

Journals of eight habits with steady rates of 50 to 90 %, mood, energy, sleep, three categories of hours and four tasks
a day, of which nothing changes. In the one kind all days are independent, in the other each series and each habit has a
correlation of 0.5 from day to day. One evening in twenty is not written. "Sentences a page" are all of them, clear
changes of rates and links with mood as well. "A page says" is what the pages name as due to chance, on average. A habit
has at most one of the sentences rate and change. Of ten years, the last two are shown.

Changes planted in the second year: the share of journals in which the page of that time tells them.
"""

from __future__ import annotations

import argparse
import datetime as dt
import math
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import numpy as np

import journal
from journal import periods
from journal.measures.findings import by_page
from journal.measures.findings import findings as findings_of
from tests.benchmarks.unchanging import FIRST, PLANTS, SETTINGS, Planted, course, tables
from tests.benchmarks.wandering import Dice
from tests.journals import of_tables

KINDS: tuple[periods.PeriodKind, ...] = ("week", "month", "year")
MEMORIES = {0.0: "independent days", 0.5: "days alike, 0.5"}
YEARS = (1, 3, 10)
SHOWN = 3
"""The most years that are shown of a journal; of longer ones the last two."""


class Told(NamedTuple):
    """The pages looked at, their sentences by measure, the pages without any, those with a clear change, and what all
    say chance brings about."""

    pages: int
    measures: Counter[str]
    silent: int
    changed: int
    said: float


def steady(dice: Dice, memory: float, years: int) -> journal.Journal:
    """A journal in which nothing changes."""
    days = (dt.date(FIRST.year + years, 1, 1) - FIRST).days
    return of_tables(tables(dice, course(dice, memory, days)), SETTINGS)


def told(books: Iterable[journal.Journal], kind: periods.PeriodKind, since: dt.date = FIRST) -> Told:
    """What the pages of some journals tell."""
    pages = silent = changed = 0
    measures: Counter[str] = Counter()
    said = 0.0
    for book in books:
        years = book.today.year - FIRST.year + 1
        first = since if years <= SHOWN else dt.date(book.today.year - 1, 1, 1)
        for _, page in by_page(book.facts, periods.between(first, book.today, kind, week_starts="monday")):
            pages += 1
            silent += not page.findings
            changed += any(found.measure == "changes" for found in page.findings)
            measures.update(found.measure for found in page.findings)
            said += page.by_chance
    return Told(pages, measures, silent, changed, said)


def is_told(planted: Planted, dice: Dice, memory: float) -> bool:
    """Whether a change planted in the second year of a journal is told on the page of its time."""
    days = (dt.date(FIRST.year + 2, 1, 1) - FIRST).days
    first = {"week": dt.date(2023, 5, 15), "month": dt.date(2023, 5, 1), "year": dt.date(2023, 1, 1)}[planted.kind]
    begin = (first - FIRST).days
    lived = planted.plant(course(dice, memory, days), slice(begin, begin + planted.days))
    book = of_tables(tables(dice, lived), SETTINGS)
    page = periods.containing(first, planted.kind, week_starts="monday")
    rows = findings_of(book.facts, [page]).rows(named=True)
    return any(row["measure"] in planted.measures and row["subject"] == planted.subject for row in rows)


def rates_table(count: int, seed: int) -> str:
    """A Markdown table with a row per kind of journal and page."""
    head = (
        "| journals | page | pages | sentences a page | a page says | pages with a change | links | pages without any "
        "| of these |"
    )
    rows = [head, "|" + "---|" * 9]
    for years in YEARS:
        for memory, words in MEMORIES.items():
            few = max(count // 4, 2) if years > SHOWN else count
            books = [steady(np.random.default_rng([seed, i]), memory, years) for i in range(few)]
            for kind in KINDS:
                one = told(books, kind)
                of = ", ".join(f"{name} {n}" for name, n in one.measures.most_common())
                age = f"{years} year{'s' if years > 1 else ''}, {words}"
                rows.append(
                    f"| {age} | {kind} | {one.pages} | **{one.measures.total() / one.pages:.2f}** "
                    f"| {one.said / one.pages:.2f} | {one.changed / one.pages:.1%} "
                    f"| {one.measures['links'] / one.pages:.3f} | {one.silent / one.pages:.0%} | {of} |"
                )
    return "\n".join(rows)


def power_table(count: int, seed: int) -> str:
    """A Markdown table with a row per planted change."""
    rows = ["| planted | page | " + " | ".join(MEMORIES.values()) + " |", "|---|---|---|---|"]
    for planted in PLANTS:
        shares = [
            sum(is_told(planted, np.random.default_rng([seed, i]), memory) for i in range(count)) / count
            for memory in MEMORIES
        ]
        cells = " | ".join(f"{share:.0%} ± {100 * math.sqrt(share * (1 - share) / count):.0f}" for share in shares)
        rows.append(f"| {planted.words} | {planted.kind} | {cells} |")
    return "\n".join(rows)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--part", choices=["rates", "power"], help="write one of the two tables and leave the other")
    asked = parser.parse_args()
    file = Path(__file__).with_name("findings.md")
    made = {
        "rates": rates_table(asked.count, asked.seed) if asked.part != "power" else "",
        "power": power_table(2 * asked.count, asked.seed) if asked.part != "rates" else "",
    }
    _, _, rates, _, power = (part.strip() for part in file.read_text(encoding="utf-8").split("\n\n"))
    rates, power = made["rates"] or rates, made["power"] or power
    _, _, unchanging, planted = (__doc__ or "").strip().split("\n\n")
    text = (
        f"# What stands out where nothing changes, and what is told\n\n{unchanging}\n\n"
        f"{rates}\n\n{planted}\n\n{power}\n"
    )
    file.write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main()
