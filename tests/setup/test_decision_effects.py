"""What a decision writes to journal.toml: the text of each, and the same bytes after it is taken back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.entry import Decision, DecisionDates
from journal.errors import UsageError
from journal.folder import toml_read
from journal.folder.applied_changes import changed
from journal.folder.toml_edit import rewritten
from journal.setup import decision_effects
from journal.setup.settings_tables import SettingsTables
from tests.setup.settings_texts import HABITS, settings_texts

MARCH_31, APRIL_1, APRIL_30 = dt.date(2025, 3, 31), dt.date(2025, 4, 1), dt.date(2025, 4, 30)

BEFORE = """\
title = "A test"

# Every day, whatever the weather.
[[habits]]
key = "walk"
name = "Walk"
every = "FREQ=DAILY"
from = 2025-01-01               # the first year

# Aloud.
[[habits]]
key = "read"
name = "Read"
every = "FREQ=DAILY"
from = 2025-01-01
until = 2025-12-31   # a year of it
target = 20
unit = "pages"
"""

Edit = Callable[[SettingsTables], DecisionDates]
EFFECTS: dict[Decision, Edit] = {
    "change": lambda tables: decision_effects.change(
        tables, "walk", APRIL_1, {"every": None, "times": 3, "per": "week"}
    ),
    "rest": lambda tables: decision_effects.rest(tables, "walk", APRIL_1, APRIL_30),
    "drop": lambda tables: decision_effects.end(tables, "walk", MARCH_31),
}
ADDED: dict[Decision, tuple[str, str]] = {
    "change": (
        "\n# Aloud.\n",
        '\n[[habits]]\nkey = "walk"\nname = "Walk"\ntimes = 3\nper = "week"\nfrom = 2025-04-01\n\n# Aloud.\n',
    ),
    "rest": (
        'unit = "pages"\n',
        'unit = "pages"\n\n[[rests]]\nfrom = 2025-04-01\nuntil = 2025-04-30\nhabits = ["walk"]\n',
    ),
    "drop": ("# the first year\n", "# the first year\nuntil = 2025-03-31\n"),
}


def edited(text: str, edit: Callable[[SettingsTables], Any]) -> str:
    values = toml_read.values("journal.toml", text)
    tables = SettingsTables(values)
    edit(tables)
    return rewritten(text, values, changed(values, tables.changes))


@pytest.mark.parametrize("decision", EFFECTS)
def test_the_text_of_a_decision(decision: Decision) -> None:
    assert edited(BEFORE, EFFECTS[decision]) == BEFORE.replace(*ADDED[decision])


def test_a_dropped_habit_with_an_end_gets_it_back() -> None:
    days = DecisionDates()

    def drop(tables: SettingsTables) -> None:
        nonlocal days
        days = decision_effects.end(tables, "read", MARCH_31)

    after = edited(BEFORE, drop)
    assert after == BEFORE.replace("until = 2025-12-31   # a year", "until = 2025-03-31   # a year")
    assert days == DecisionDates(until=MARCH_31, until_before=dt.date(2025, 12, 31))
    assert edited(after, lambda tables: decision_effects.take_back(tables, "read", "drop", days)) == BEFORE


@given(settings_texts(), st.permutations(HABITS), st.data())
@settings(max_examples=150, deadline=None)
def test_what_is_taken_back_leaves_the_same_bytes(
    written: tuple[str, dict[str, Any]], order: list[str], data: st.DataObject
) -> None:
    """Decisions about all habits, one after the other, taken back in any order."""
    original, _ = written
    text = original
    undone: list[tuple[str, Decision, DecisionDates]] = []
    for habit in order:
        decision, before, days = data.draw(st.sampled_from(list(EFFECTS))), text, DecisionDates()

        def decide(tables: SettingsTables, habit: str = habit, decision: Decision = decision) -> None:
            nonlocal days
            match decision:
                case "change":
                    days = decision_effects.change(tables, habit, APRIL_1, {"name": "Another", "unit": None})
                case "rest":
                    days = decision_effects.rest(tables, habit, APRIL_1, APRIL_30)
                case _:
                    days = decision_effects.end(tables, habit, MARCH_31)
            assert decision_effects.stands(tables, habit, decision, days)

        text = edited(text, decide)
        assert text != before
        undone.append((habit, decision, days))
    for habit, decision, days in data.draw(st.permutations(undone)):
        text = edited(text, lambda tables: decision_effects.take_back(tables, habit, decision, days))  # noqa: B023
    assert text == original


def test_what_does_not_stand_as_written_is_not_taken_back() -> None:
    for decision, days in (
        ("change", DecisionDates(start=APRIL_30)),
        ("rest", DecisionDates(start=APRIL_1, until=MARCH_31)),
        ("drop", DecisionDates(until=APRIL_30)),
        ("change", DecisionDates()),
        ("change", DecisionDates(start=dt.date(2025, 1, 1))),  # the first definition was there before
    ):
        after = edited(BEFORE, EFFECTS[decision])  # type: ignore[index]
        tables = SettingsTables(toml_read.values("journal.toml", after))
        assert not decision_effects.stands(tables, "walk", decision, days)  # type: ignore[arg-type]
        decision_effects.take_back(tables, "walk", decision, days)  # type: ignore[arg-type]
        assert tables.changes == {}


def test_a_habit_that_ends_by_then_or_begins_anew_later() -> None:
    ended = BEFORE.replace("# the first year\n", "\nuntil = 2025-03-20\n")
    tables = SettingsTables(toml_read.values("journal.toml", ended))
    days = decision_effects.end(tables, "walk", MARCH_31)
    assert decision_effects.stands(tables, "walk", "drop", days)
    decision_effects.take_back(tables, "walk", "drop", days)
    assert tables.changes == {}
    with pytest.raises(UsageError, match="has ended by then"):
        decision_effects.rest(tables, "walk", APRIL_1, APRIL_30)
    decision_effects.change(tables, "walk", APRIL_1, {})
    assert "until" not in tables.habits[1]  # it begins again
    with pytest.raises(UsageError, match=r"begins on 1 April 2025 in journal\.toml; take that out first"):
        decision_effects.end(tables, "walk", MARCH_31)
    with pytest.raises(UsageError, match=r"begins on 1 April 2025 in journal\.toml already"):
        decision_effects.change(tables, "walk", APRIL_1, {"unit": "km"})


def test_a_definition_with_an_invalid_day_is_never_matched() -> None:
    """It is a problem that the pages tell of. Without the definition, the habit is not in force."""
    for wrong in ('from = "2025-01-01"', "from = 2025-01-01T00:00:00", 'from = 2025-01-01\nuntil = "soon"'):
        text = f'[[habits]]\nkey = "walk"\nname = "Walk"\nevery = "FREQ=DAILY"\n{wrong}\n'
        tables = SettingsTables(toml_read.values("journal.toml", text))
        for decide in EFFECTS.values():
            with pytest.raises(UsageError, match=r"not in force|has ended"):
                decide(tables)
        assert tables.changes == {}


def test_the_end_is_carried_over_to_a_change() -> None:
    tables = SettingsTables(toml_read.values("journal.toml", BEFORE))
    decision_effects.change(tables, "read", APRIL_1, {"target": 10})
    assert tables.habits[2] == tables.habits[1] | {"from": APRIL_1, "target": 10}
