"""Every way in which a day's page can be wrong: the exact line that tells of it; the rest of the page stays."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal.entry import Entry, Hours, Span, Task
from tests.folder.journals import DAY, SETTINGS, begin, load, read, read_day

REST = 'memory = "Kept."\n'


@pytest.mark.parametrize("case", load("day_problems"), ids=lambda case: case["line"].split(";")[0])
def test_one_wrong_value_is_one_line_and_costs_only_itself(tmp_path: Path, case: dict[str, str]) -> None:
    number, rest = case["line"].split(":", 1)
    entry, problems = read_day(tmp_path, REST + case["page"])  # one line further down
    assert problems == [f"{int(number) + 1}:{rest}"]
    assert entry is not None
    assert entry.memory == "Kept."


def test_no_wrong_value_takes_another_along(tmp_path: Path) -> None:
    entry, problems = read_day(
        tmp_path,
        """\
mood = 7
energy = 3
notes = [1, "b", 2, "d"]
[habits]
walk = "yes"
read = 24
[hours.actual]
sleep = ["7ish", "00:00-06:00", "05:00-07:00"]
[[appointments]]
start = "09:00"
[[tasks]]
rank = 1
[[tasks]]
title = "Sew"
rank = 1
estimate = -5
[[tasks]]
title = "Cut"
rank = 1
took = 30
""",
    )
    assert entry == Entry(
        energy=3,
        notes=("b", "d"),
        habits={"read": 24},
        hours=Hours(actual={"sleep": (Span(0, 360),)}),
        tasks=(Task(title="Sew", rank=1), Task(title="Cut", took=30)),
    )
    # Each problem names the place in the file, though what stood before it was left out.
    assert [problem.split(": expected")[0] for problem in problems] == [
        "1:8: mood",
        "3:10: notes[0]",
        "3:18: notes[2]",
        "5:8: habits.walk",
        "8:10: hours.actual.sleep[0]",
        "8:33: hours.actual.sleep[2]",
        "9:1: appointments[0]",
        "11:1: tasks[0]",
        "16:12: tasks[1].estimate",
        "19:8: tasks[2].rank",
    ]


def test_what_is_right_is_not_told_of(tmp_path: Path) -> None:
    entry, problems = read_day(
        tmp_path,
        """\
mood = 3.5
energy = 1
gratitude = ["", ""]
place = "home"
habits = { walk = "rest", read = 0 }
""",
    )
    assert problems == []
    assert entry == Entry(mood=3.5, energy=1, gratitude=("", ""), place="home", habits={"walk": "rest", "read": 0})


def test_hours_that_touch_do_not_overlap_and_layers_are_apart(tmp_path: Path) -> None:
    _, problems = read_day(
        tmp_path,
        '[hours.planned]\nsleep = ["00:00-06:00", "22:00-24:00"]\nworkshop = ["06:00-22:00"]\n'
        '[hours.actual]\nsleep = ["05:00-07:00"]\n',
    )
    assert problems == []


def test_a_rank_beyond_three_needs_as_many_ranked_tasks_a_day(tmp_path: Path) -> None:
    page: dict[str, str | bytes] = {DAY: '[[tasks]]\ntitle = "A"\nrank = 4\n'}
    assert len(read(begin(tmp_path, SETTINGS, page))[1]) == 1
    assert read(begin(tmp_path, SETTINGS + "\n[day]\nranked_tasks = 5\n", page))[1] == []
    # Fewer than three do not make wrong what was ranked before.
    page = {DAY: '[[tasks]]\ntitle = "A"\nrank = 3\n'}
    assert read(begin(tmp_path, SETTINGS + "\n[day]\nranked_tasks = 1\n", page))[1] == []
