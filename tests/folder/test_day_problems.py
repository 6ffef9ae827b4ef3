"""Every kind of invalid value on a day's page: the exact message; the rest of the page is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal.entry import Entry, Hours, Span, Task
from tests.folder.journals import DAY, SETTINGS, begin, load, read, read_day

REST = 'memory = "Kept."\n'


@pytest.mark.parametrize("case", load("day_problems"), ids=lambda case: case["line"].split(";")[0])
def test_one_invalid_value_is_one_message_and_drops_only_itself(tmp_path: Path, case: dict[str, str]) -> None:
    number, rest = case["line"].split(":", 1)
    entry, problems = read_day(tmp_path, REST + case["page"])  # one line further down
    assert problems == [f"{int(number) + 1}:{rest}"]
    assert entry is not None
    assert entry.memory == "Kept."


def test_invalid_values_do_not_drop_one_another(tmp_path: Path) -> None:
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
    # Each problem names the position in the file, even if earlier values were dropped.
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


def test_valid_values_are_not_reported(tmp_path: Path) -> None:
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


def test_adjacent_spans_and_different_layers_do_not_overlap(tmp_path: Path) -> None:
    _, problems = read_day(
        tmp_path,
        '[hours.planned]\nsleep = ["00:00-06:00", "22:00-24:00"]\nworkshop = ["06:00-22:00"]\n'
        '[hours.actual]\nsleep = ["05:00-07:00"]\n',
    )
    assert problems == []


def test_ranks_above_three_depend_on_the_setting_ranked_tasks(tmp_path: Path) -> None:
    page: dict[str, str | bytes] = {DAY: '[[tasks]]\ntitle = "A"\nrank = 4\n'}
    assert len(read(begin(tmp_path, SETTINGS, page))[1]) == 1
    assert read(begin(tmp_path, SETTINGS + "\n[day]\nranked_tasks = 5\n", page))[1] == []
    # A setting below three does not invalidate earlier ranks.
    page = {DAY: '[[tasks]]\ntitle = "A"\nrank = 3\n'}
    assert read(begin(tmp_path, SETTINGS + "\n[day]\nranked_tasks = 1\n", page))[1] == []
