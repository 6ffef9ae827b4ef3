"""What changed between two states of a page, in words."""

from __future__ import annotations

import pytest

from journal.folder.differences import PageChange, between

DAY = """\
mood = 3
energy = 2
memory = "Short."
notes = ["Ask.", "Tell."]
[weather]
sky = "fair"
[habits]
walk = false
read = 12
[challenges]
letters = true
[hours.planned]
sleep = ["00:00-06:15"]
[[appointments]]
title = "Paper merchant"
start = "08:30"
[[tasks]]
title = "Fold"
[[tasks]]
title = "Quote"
rank = 2
estimate = 45
id = "t7k2"
"""
SETTINGS = """\
title = "Spine"
[day]
turns = "04:00"
[[habits]]
key = "walk"
name = "Walk"
every = "FREQ=DAILY"
from = 2025-01-01
[prompts]
week = ["What may go?"]
"""
REVIEW = """\
[decisions]
walk = "keep"
[[reflection]]
prompt = "What may go?"
answer = "Stock."
"""


def words(key: str, before: str, after: str) -> list[str]:
    def name_of(habit: str) -> str:
        return {"walk": "Walk"}.get(habit, habit)

    return [change.words for change in between(key, before.encode(), after.encode(), name_of)]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("mood = 3", "mood = 4", ["mood 3 to 4"]),
        ("energy = 2\n", "", ["energy removed: 2"]),
        ("mood = 3", "mood = 3\nasked = false", ["no evening has asked for the habits"]),
        ('"Short."', '"Short."\nshare = true', ["a friend may read the memory"]),
        ('"Short."', f'"{"Long. " * 8}"', [f"memory changed: {'Long. ' * 8}"]),
        ('"Ask.", "Tell."', '"Ask.", "Tell.", "Sew."', ["note added: Sew."]),
        ('"Ask.", "Tell."', '"Ask."', ["note removed: Tell."]),
        ('"Ask.", "Tell."', '"Tell.", "Ask."', ["notes in another order"]),
        ('sky = "fair"', 'sky = "fair"\nhigh = 11.5', ["high 11.5"]),
        ("walk = false", "walk = true", ["Walk: not done to done"]),
        ("read = 12", 'read = "rest"', ["read 12 to rest"]),
        ("letters = true", "letters = 2025-03-16", ["challenge letters: ticked to 2025-03-16"]),
        ('["00:00-06:15"]', '["00:00-06:00"]', ["planned sleep: 00:00-06:15 to 00:00-06:00"]),
        ('start = "08:30"', 'start = "09:30"', ["Paper merchant: start: 08:30 to 09:30"]),
        ('"Fold"', '"Fold"\nstatus = "done"\ntook = 20', ["Fold: open to done", "Fold: took 20 minutes"]),
        ('"Quote"', '"Quote the folders"', ["task: Quote to Quote the folders"]),
        ('"Fold"', '"Fold"\nid = "f1"', ["Fold: first day or id noted"]),
        ("[[tasks]]\ntitle = \"Fold\"\n", "", ["task removed: Fold"]),
        ("mood = 3", "# Friday\nmood = 3", ["comments or layout only"]),
        ("mood = 3", "mood = three", ["1 line added and 1 removed, in a text that cannot be read"]),
    ],
)  # fmt: skip
def test_a_change_of_a_day(old: str, new: str, said: list[str]) -> None:
    assert DAY.count(old) == 1
    assert words("2025-03-14", DAY, DAY.replace(old, new)) == said


def test_a_task_is_the_same_in_another_place() -> None:
    fold, quote = (f"[[tasks]]{part}" for part in DAY.split("[[tasks]]")[1:])
    moved = DAY.replace(fold + quote, quote + fold.replace('"Fold"', '"Fold"\nrank = 1'))
    assert words("2025-03-14", DAY, moved) == ["Fold: rank 1", "tasks in another order"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"Spine"', '"Thread"', ["title: Spine to Thread"]),
        ('"04:00"', '"05:00"', ["day.turns: 04:00 to 05:00"]),
        ("FREQ=DAILY", "FREQ=WEEKLY", ["Walk: every: FREQ=DAILY to FREQ=WEEKLY"]),
        ('name = "Walk"', 'name = "Stroll"', ["habit: Walk to Stroll"]),
        ('["What may go?"]', '["What?", "And?"]', ["prompts.week: What may go? to What?, And?"]),
    ],
)
def test_a_change_of_the_settings(old: str, new: str, said: list[str]) -> None:
    assert words("settings", SETTINGS, SETTINGS.replace(old, new)) == said


def test_a_change_of_a_review() -> None:
    after = REVIEW.replace('"keep"', '"rest"').replace("Stock.", "Mornings.")
    assert words("2025-03", REVIEW, after) == ["decision on Walk: keep to rest", "What may go?: Stock. to Mornings."]


def test_what_came_and_what_went_stand_apart() -> None:
    assert between("2025-03-14", b"mood = 3\nenergy = 2", b"mood = 4") == [
        PageChange("mood 3 to 4", "mood 4", "mood 3"),
        PageChange("energy removed: 2", "", "energy 2"),
    ]
    assert between("2025-03-14", b"mood = 3", None) == [PageChange("page removed")]
    assert [change.added for change in between("2025-03-14", None, b"mood = 3")] == ["mood 3"]
    assert between("2025-03-14", b"[habits]", b"") == [PageChange("habits removed, empty")]
