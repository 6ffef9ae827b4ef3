"""The number of findings per page in journals of independent days: the findings that chance alone produces.

    python -m tests.benchmarks.bench_findings

Journals of two years, the second of them shown: eight daily habits done on 70 of 100 days, mood, energy, hours and
tasks drawn each day by itself. A good choice has few sentences here, and none on many pages.
"""

from __future__ import annotations

import datetime as dt
import random
from collections import Counter
from pathlib import Path

from journal import periods
from journal.entry import Entry, Hours, Page, Span, Task
from journal.measures import findings
from journal.settings import Habit, Place, Settings
from journal.tables import Tables, build, record
from tests.journals import of_tables

FIRST, DAYS, JOURNALS = dt.date(2024, 1, 1), 731, 8
HOME = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana")
HABITS = tuple(Habit(key=f"habit-{i}", name=f"Habit {i}", start=FIRST, every="FREQ=DAILY") for i in range(8))
SETTINGS = Settings(title="Nothing changes", places=(HOME,), habits=HABITS)


def journal(seed: int) -> Tables:
    """The tables of a journal with independent days."""
    dice = random.Random(seed)
    pages = []
    for i in range(DAYS):
        day = FIRST + dt.timedelta(days=i)
        content = Entry(
            mood=dice.randint(1, 5),
            energy=dice.randint(1, 5),
            habits={habit.key: dice.random() < 0.7 for habit in HABITS},
            hours=Hours(planned=_strip(dice), actual=_strip(dice)),
            tasks=tuple(
                Task(title=f"Task {i} {k}", status=dice.choice(["done", "done", "carried", "dropped"]))
                for k in range(4)
            ),
        )
        pages.append(Page(path=f"{day}.toml", kind="day", key=day.isoformat(), content=content))
    return build(record(pages), SETTINGS, FIRST + dt.timedelta(days=DAYS - 1))


def _strip(dice: random.Random) -> dict[str, tuple[Span, ...]]:
    return {
        "sleep": (Span(0, 360 + dice.randint(0, 90)),),
        "work": (Span(540, 900 + dice.randint(0, 120)),),
        "home": (Span(1080, 1140 + dice.randint(0, 60)),),
        "people": (Span(1200, 1230 + dice.randint(0, 90)),),
    }


def table() -> str:
    """A Markdown table with a row per kind of page."""
    rows = ["| page | pages | sentences a page | pages without any | of these measures |", "|---|---|---|---|---|"]
    journals = [journal(seed) for seed in range(JOURNALS)]
    kinds: tuple[periods.PeriodKind, ...] = ("week", "month", "year")
    for kind in kinds:
        pages = silent = 0
        measures: Counter[str] = Counter()
        for tables in journals:
            shown = periods.between(FIRST + dt.timedelta(days=366), tables.today, kind, week_starts="monday")
            found = findings.findings(of_tables(tables, SETTINGS).facts, shown)
            pages += len(shown)
            silent += len(shown) - found.get_column("page").n_unique()
            measures.update(found.get_column("measure").to_list())
        told = ", ".join(f"{measure} {count}" for measure, count in measures.most_common())
        rows.append(f"| {kind} | {pages} | {measures.total() / pages:.2f} | {silent / pages:.0%} | {told} |")
    return "\n".join(rows)


if __name__ == "__main__":
    about = (__doc__ or "").split("\n\n", 2)[2].strip()
    text = f"# Findings where there is nothing to find\n\n{about}\n\n{table()}\n"
    Path(__file__).with_name("findings.md").write_text(text, encoding="utf-8")
    print(text)
