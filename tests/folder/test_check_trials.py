"""Every problem of a trial: its place, what was expected and the remedy, and which trials are still drawn."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal import lots
from journal.folder import reading
from tests import journals
from tests.folder.journals import begin

HABITS = """
[[habits]]
key = "walk"
name = "Walk"
every = "FREQ=DAILY"
from = 2025-01-01
[[habits]]
key = "read"
name = "Read"
every = "FREQ=DAILY"
from = 2025-01-01
target = 20
"""
PLAN = {"key": '"t"', "question": '"?"', "habit": '"walk"', "from": "2025-03-01", "days": "60", "seed": "4711"}
FIRST_LINE = 14  # of the first trial's keys


def settings(folder: Path, *plans: dict[str, str]) -> reading.Basis:
    folder.mkdir(exist_ok=True)
    text = f'title = "A"\n{HABITS.strip()}\n'
    for plan in plans:
        text += "[[trials]]\n" + "".join(f"{key} = {value}\n" for key, value in (PLAN | plan).items())
    return reading.read_settings(begin(folder, text + journals.HOME))


def test_a_plan_without_a_fault_is_read_with_its_defaults(tmp_path: Path) -> None:
    basis = settings(tmp_path, {})
    assert basis.problems == ()
    (trial,) = basis.settings.trials
    assert (trial.outcome, trial.lag, trial.block, trial.washout, trial.plan, trial.looked) == ("mood", 0, 2, 0, "", ())


_DATE = 'expected a date, got "x"; write it without quotes or time, e.g. 2025-03-14'
WRONG = [
    # change, line after the header, key, the rest of the message, whether it is drawn all the same
    ({"habit": '"wlak"'}, 3, "habit", 'expected a habit of journal.toml, got "wlak"; write "walk"', False),
    (
        {"outcome": '"moood"'},
        7,
        "outcome",
        'expected "mood", "energy", "sleep" or the key of another habit, with a target, got "moood"; write "mood"',
        False,
    ),
    (
        {"outcome": '"walk"'},
        7,
        "outcome",
        (
            'expected "mood", "energy", "sleep" or the key of another habit, with a target, got "walk"; '
            'write "mood", "energy", "sleep" or "read"'
        ),
        False,
    ),
    (
        {"outcome": '"sleep"'},
        1,
        "lag",
        (
            "expected 1 for sleep (a night belongs to the day of waking, and is over before the habit), "
            "got 0; write lag = 1"
        ),
        False,
    ),
    # With the default of a wrong value, other days would be drawn.
    ({"lag": "2"}, 7, "lag", "expected 0 or 1, got 2; write 0", False),
    ({"washout": "1.5"}, 7, "washout", "expected a whole number, got 1.5; write one without quotes, e.g. 2", False),
    ({"looked": '["x"]'}, 7, "looked[0]", _DATE, False),
    ({"stopped": '"x"'}, 7, "stopped", _DATE, False),
    ({"lagg": "1"}, 7, "lagg", 'expected a key that is known here, got "lagg"; write "lag"', False),
    ({"days": "0"}, 5, "days", "expected a number from 1 to 731, got 0; write e.g. 60", False),
    ({"days": "60000"}, 5, "days", "expected a number from 1 to 731, got 60000; write e.g. 60", False),
    (
        {"days": "20"},
        5,
        "days",
        (
            "expected at least 24 days, 6 pairs of blocks, got 20 days, which can show nothing (p is at least 0.062); "
            "write more days, or a smaller block"
        ),
        True,
    ),
    ({"block": "1"}, 7, "block", "expected a number from 2 to 14, got 1; write e.g. 2", False),
    ({"block": "15"}, 7, "block", "expected a number from 2 to 14, got 15; write e.g. 2", False),
    (
        {"washout": "2"},
        7,
        "washout",
        "expected a number from 0 to 1, got 2; leave out fewer days than the 2 of a block, or none",
        False,
    ),
    ({"seed": "-1"}, 6, "seed", "expected a whole number, 0 or more, got -1; write e.g. 4711", False),
    (
        {"plan": '"x"'},
        7,
        "plan",
        'expected the 12 digits 0-9 and a-f that Duskbook made, got "x"; take the line out',
        True,
    ),
    (
        {"stopped": "2025-05-01"},
        7,
        "stopped",
        "expected a day up to the last of the trial, 2025-04-29, got 2025-05-01; take the line out",
        True,
    ),
    (
        {"from": "2024-12-31"},
        4,
        "from",
        (
            'expected days on which "walk" is in force, got 2024-12-31 to 2025-02-28; '
            'change "from" or "until" of the habit, or of the trial'
        ),
        True,
    ),
    ({"from": "9999-12-30"}, 5, "days", "expected a number from 1 to 1, got 60; write e.g. 1", False),
]


@pytest.mark.parametrize(("change", "line", "key", "said", "is_drawn"), WRONG, ids=lambda one: str(one)[:40])
def test_one_fault_is_one_message(  # noqa: PLR0917 (the columns of the table)
    tmp_path: Path, change: dict[str, str], line: int, key: str, said: str, is_drawn: bool
) -> None:
    basis = settings(tmp_path, change)
    (problem,) = basis.problems
    assert (problem.where, f"expected {problem.expected}, got {problem.got}; {problem.remedy}") == (
        f"trials[0].{key}",
        said,
    )
    assert problem.line is not None
    if key in (PLAN | change):
        assert problem.line == FIRST_LINE - 1 + line
    assert len(basis.settings.trials) == is_drawn


def test_trials_that_get_in_each_others_way(tmp_path: Path) -> None:
    same_key = settings(tmp_path / "a", {}, {"habit": '"read"'})
    assert str(same_key.problems[0]).startswith(
        'journal.toml:21:7: trials[1].key: expected a key that no other trial has ("?" has it), got "t"; give one'
    )
    overlap = settings(tmp_path / "b", {}, {"key": '"u"', "from": "2025-04-29"})
    assert str(overlap.problems[0]) == (
        'journal.toml:24:8: trials[1].from: expected days on which no other trial draws "walk" ("t" does from '
        '2025-03-01 to 2025-04-29), got 2025-04-29 to 2025-06-27; write a later "from"'
    )
    assert [trial.key for trial in overlap.settings.trials] == ["t"]
    for other in ({"key": '"u"', "from": "2025-04-30"}, {"key": '"u"', "habit": '"read"'}):
        assert settings(tmp_path / "c", {}, other).problems == ()
    stopped = settings(tmp_path / "d", {"stopped": "2025-03-10"}, {"key": '"u"', "from": "2025-03-10"})
    assert stopped.problems == ()


def test_a_broken_line_of_a_plan_leaves_the_whole_trial_out(tmp_path: Path) -> None:
    for change in ({"lag": "o1"}, {"stopped": "2025-03-99"}, {"looked": "[2025-03-10"}):
        basis = settings(tmp_path, change)
        assert (len(basis.problems), basis.settings.trials) == (1, ())
        assert basis.problems[0].remedy.endswith("its whole [[trials]] block is left out until then")


def test_a_digest_that_is_none_counts_as_another_plan(tmp_path: Path) -> None:
    """Dropped, it would make a changed plan look like the one that was drawn."""
    (trial,) = settings(tmp_path, {"plan": '"x"'}).settings.trials
    assert lots.is_changed(trial)
