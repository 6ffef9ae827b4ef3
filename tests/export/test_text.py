"""The journal as Markdown: complete, in order, and read correctly by CommonMark."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import polars as pl
import pytest
from markdown_it import MarkdownIt
from msgspec.structs import replace

import journal
from journal.entry import Answer, Appointment, Clock, Entry, Hours, Page, Review, Span, Task, UndatedTask, Weather
from journal.export import day_text, text
from journal.settings import Category, Challenge, Habit, Settings
from tests.export.books import AWAY, HOME
from tests.journals import write

DAY = dt.date(2025, 3, 14)
EVER = (dt.date.min, dt.date.max)

SETTINGS = Settings(
    title="Spine & thread",
    places=(HOME, AWAY),
    habits=(
        Habit(key="walk", name="Walk *by* the river", start=DAY, every="FREQ=DAILY"),
        Habit(key="read", name="Read", start=DAY, every="FREQ=DAILY", target=20, unit="pages"),
    ),
    categories=(Category(key="sleep", name="Sleep", sleep=True), Category(key="bench", name="Bench", work=True)),
    challenges=(Challenge(key="letters", name="Letters", start=DAY, until=DAY, prompts=("A",)),),
)

FULL = Entry(
    mood=4,
    energy=2.5,
    gratitude=("Bread, still <i>warm</i>.", "# one"),
    memory="Sewn.\n\nAll of it.",
    share=True,
    notes=("1. ask",),
    place="lisbon",
    weather=Weather(sky="partly_cloudy_", high=11, low=-3.5),
    habits={"walk": True, "read": 24},
    challenges={"letters": dt.date(2025, 3, 16)},
    hours=Hours(
        planned={"bench": (Span(540, 750),), "sleep": (Span(1350, 1440), Span(0, 375))},
        actual={"sleep": (Span(15, 380),)},
    ),
    appointments=(
        Appointment(title="Fair"),
        Appointment(title="Merchant", start=Clock(0), end=Clock(540)),
        Appointment(title="Call", start=Clock(600)),
    ),
    tasks=(
        Task(title="Quote [x]", status="carried", rank=2, estimate=45, took=60, since=dt.date(2025, 3, 11), id="t7k2"),
        Task(title="Sweep"),
    ),
)

WRITTEN = r"""# Spine \& thread: March 2025

## Friday 14 March

Mood 4 (good) · energy 2.5 · partly\_cloudy\_ · -3.5 to 11 °C · in Lisbon

### Habits

- Walk \*by\* the river: done
- Read: 24 pages (aim: at least 20)

### Challenges

- Letters (A): done on Sunday 16 March 2025

### Gratitude

- Bread, still \<i\>warm\</i\>.
- \# one

### To remember (a friend may read it)

Sewn.

All of it.

### Notes

- 1\. ask

### Hours planned

- Sleep: 00:00 to 06:15, 22:30 to 24:00
- Bench: 09:00 to 12:30

### Hours as they went

- Sleep: 00:15 to 06:20

### Appointments

- All day: Fair
- 00:00 to 09:00: Merchant
- 10:00: Call

### Tasks

- Carried: Quote \[x\] (rank 2 · estimated 45 min, took 1 h · since Tuesday 11 March)
- Open: Sweep
"""


def day_page(day: dt.date, entry: Entry) -> Page:
    return Page(path=f"{day}.toml", kind="day", key=str(day), content=entry)


def test_a_full_day() -> None:
    assert text.months([day_page(DAY, FULL)], SETTINGS) == {"2025-03.md": WRITTEN.encode()}


@pytest.mark.parametrize(
    ("entry", "body"),
    [
        (Entry(), "Nothing is written on this page."),
        (Entry(weather=Weather(high=3)), "Up to 3 °C"),
        (
            Entry(habits={"walk": False, "read": "rest"}),
            "### Habits\n\n- Walk \\*by\\* the river: not done\n- Read: rest",
        ),
        (Entry(challenges={"letters": False}), "### Challenges\n\n- Letters (A): not done"),
    ],
)
def test_empty_parts_are_omitted(entry: Entry, body: str) -> None:
    made = text.months([day_page(DAY, entry)], SETTINGS)["2025-03.md"].decode()
    assert made.split("\n\n", 2)[2] == f"{body}\n"


@pytest.mark.parametrize(
    ("date", "said"),
    [
        (DAY - dt.timedelta(days=1), "- Read: 24"),
        (DAY, "- Read: 24 pages (aim: at least 20)"),
        (DAY + dt.timedelta(days=1), "- Read: 24 pages (aim: at least 20)"),
        (DAY + dt.timedelta(days=2), "- Read: 24"),
        (DAY + dt.timedelta(days=5), "- Read: 24 minutes (aim: at least 15)"),
    ],
)
def test_a_number_has_the_unit_and_target_of_its_day(date: dt.date, said: str) -> None:
    """Before the habit begins and after it ends there is no target and no unit."""
    read = Habit(key="read", name="Read", start=DAY, until=DAY + dt.timedelta(days=1), target=20, unit="pages")
    again = replace(read, start=DAY + dt.timedelta(days=5), until=None, target=15, unit="minutes")
    settings = Settings(title="Small", places=(), habits=(read, again))
    assert said in day_text.day(date, Entry(habits={"read": 24}), settings).splitlines()


def test_reviews_follow_the_last_day_of_their_period() -> None:
    review = Review(
        reflection=(Answer(prompt="What\ncarried?", answer="Glue."), Answer(prompt="And?")), notes=("Thread.",)
    )
    pages = [
        Page(path="2025.toml", kind="year", key="2025", content=review),
        Page(path="2025-12.toml", kind="month", key="2025-12", content=Review(decisions={"read": "keep"})),
        Page(path="2025-W01.toml", kind="week", key="2025-W01", content=review),
        day_page(dt.date(2025, 12, 31), Entry(mood=3)),
        day_page(dt.date(2025, 1, 6), Entry(mood=3)),
    ]
    made = {name: data.decode() for name, data in text.months(pages, SETTINGS).items()}
    assert list(made) == ["2025-01.md", "2025-12.md"]
    headings = [line for data in made.values() for line in data.splitlines() if line.startswith("## ")]
    assert headings == [
        "## The week of 30 December 2024 to 5 January 2025, looked back on",
        "## Monday 6 January",
        "## Wednesday 31 December",
        "## December 2025, looked back on",
        "## 2025, looked back on",
    ]
    assert (
        "### What carried?\n\nGlue.\n\n### And?\n\nNo answer is written.\n\n### Notes\n\n- Thread.\n"
        in made["2025-01.md"]
    )
    assert "### What becomes of the habits\n\n- Read: keep\n" in made["2025-12.md"]


def test_undated_tasks_have_a_file_of_their_own() -> None:
    tasks = (
        UndatedTask(title="Quote [x] for\n\nthe choir", estimate=45, since=DAY, id="t7k2"),
        UndatedTask(title="1. Sweep"),
    )
    made = text.undated(tasks, SETTINGS)["undated.md"].decode()
    assert made == (
        "# Spine \\& thread: tasks without a day\n\n"
        "- Quote \\[x\\] for\n\n  the choir (estimated 45 min · since Friday 14 March 2025)\n- 1\\. Sweep\n"
    )
    assert text.undated((), SETTINGS) == {}


def test_only_the_requested_days(tmp_path: Path) -> None:
    days = [dt.date(2025, 2, 28), dt.date(2025, 3, 1), dt.date(2025, 3, 2), dt.date(2025, 4, 1)]
    folder = write(tmp_path / "small", {day: {"memory": f"On {day}."} for day in days})
    (folder / "2025" / "2025-W09.toml").write_text('notes = ["The week."]', encoding="utf-8")  # up to 2 March
    (folder / "2025" / "2025-02.toml").write_text('notes = ["Short."]', encoding="utf-8")
    opened = journal.open(folder, today=DAY, cache=False)
    made = text.text(opened, dt.date(2025, 3, 1), dt.date(2025, 3, 31))
    assert list(made) == ["2025-03.md"]
    assert [word in made["2025-03.md"].decode() for word in ("02-28", "03-01", "03-02", "The week", "Short")] == [
        False, True, True, True, False,
    ]  # fmt: skip
    assert list(text.text(opened, *EVER)) == ["2025-02.md", "2025-03.md", "2025-04.md"]
    assert text.text(opened, dt.date(2030, 1, 1), dt.date(2030, 12, 31)) == {}


def test_every_line_of_the_example_year_reads_as_it_was_written() -> None:
    opened = journal.open("example_year", today=dt.date(2025, 12, 31), cache=False)
    made = text.text(opened, *EVER)
    assert list(made) == [f"2025-{month:02d}.md" for month in range(1, 13)]
    read, kinds, parser = [], set(), MarkdownIt("commonmark")
    for data in made.values():
        for token in parser.parse(data.decode()):
            kinds.add(token.type)
            children = token.children or []
            kinds |= {child.type for child in children}
            read.append("".join(child.content for child in children))
    assert kinds == {
        "inline", "text", *(f"{kind}_{end}" for end in ("open", "close")
                            for kind in ("heading", "paragraph", "bullet_list", "list_item")),
    }  # fmt: skip
    tables, found = opened.tables, "\n".join(read)
    titles = pl.concat([tables.tasks["title"], tables.appointments["title"], tables.lines["text"]])
    for written in [*titles, *tables.reflections["prompt"], *tables.reflections["answer"]]:
        assert written in found
    assert sum(line.startswith(("Mood", "Energy")) for line in read) >= tables.days["mood"].count() > 300
    numbers = tables.marks.filter(mark="number").height
    assert sum("(aim: " in line for line in read) == numbers > 600
