"""A small part of the campaign."""

from __future__ import annotations

from tests.promises import kept_days


def test_streaks_of_what_is_kept_are_those_of_the_opened_journal() -> None:
    assert kept_days.run(6, seed=1) == []
