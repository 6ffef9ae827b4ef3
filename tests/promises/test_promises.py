"""A small part of each campaign, with the same code: `python -m tests.promises.NAME --count N` runs more."""

from __future__ import annotations

from tests.promises import broken_lines, readers


def test_every_reader_takes_any_input() -> None:
    assert readers.run(1_500, seed=11) == []


def test_a_slip_is_told_on_its_line() -> None:
    """Before the text was divided, a list without its ] was told on a later line in 97 % of the cases."""
    cases, wrong, examples = broken_lines.run(600, seed=11)
    assert wrong.total() <= 0.01 * cases.total(), examples[:5]
    assert all(cases[kind] for kind in broken_lines.SLIPS)
