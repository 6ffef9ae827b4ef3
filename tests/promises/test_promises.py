"""A small part of each campaign, with the same code: `python -m tests.promises.NAME --count N` runs more."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.promises import broken_lines, failing_calls, interleavings, readers


def test_every_reader_takes_any_input() -> None:
    assert readers.run(1_500, seed=11) == []


def test_a_slip_is_told_on_its_line() -> None:
    """Before the text was divided, a list without its ] was told on a later line in 97 % of the cases."""
    cases, wrong, examples = broken_lines.run(600, seed=11)
    assert wrong.total() <= 0.01 * cases.total(), examples[:5]
    assert all(cases[kind] for kind in broken_lines.SLIPS)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="there is no fork")
def test_a_killed_save_is_finished_or_was_not_begun() -> None:
    command = [sys.executable, "-m", "tests.promises.kills", "--count", "15", "--seed", "11"]
    run = subprocess.run(command, cwd=Path(__file__).parents[2], capture_output=True, text=True, check=False)
    assert re.fullmatch(r"kills: 15 saves killed, 0 failures, \d+ s, seed 11\n", run.stdout), run.stdout + run.stderr
    assert run.returncode == 0


def test_an_editor_beside_loses_nothing() -> None:
    assert interleavings.run(40, seed=11) == []


def test_a_failed_operation_loses_nothing_and_is_told() -> None:
    cases, wrong = failing_calls.run(60, seed=11)
    assert (cases, wrong) == (60, [])


def test_nothing_is_lost_while_the_notebook_takes_over() -> None:
    """In a process of its own: while Playwright runs, no other test of a process can run an event loop."""
    command = [sys.executable, "-m", "tests.promises.takeovers", "--count", "1", "--seed", "11"]
    run = subprocess.run(command, cwd=Path(__file__).parents[2], capture_output=True, text=True, check=False)
    assert re.fullmatch(r"takeovers: 1 evenings, 0 failures, \d+ s, seed 11\n", run.stdout), run.stdout + run.stderr
