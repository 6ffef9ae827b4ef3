"""The challenges of a week: each of its days with the prompt and what became of it, as of today."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

import journal
from journal import periods
from journal.sections import challenge_cards
from tests import journals
from tests.sections.test_sections import text

LETTERS = {
    "key": "letters",
    "name": "Letters & cards",
    "from": dt.date(2025, 3, 7),
    "until": dt.date(2025, 3, 14),
    "prompts": ["A", "B", "C", "To <b>Bojan</b>"],
}
PAGES: dict[dt.date, dict[str, object]] = {
    dt.date(2025, 3, 7): {"challenges": {"letters": True}},
    dt.date(2025, 3, 10): {"challenges": {"letters": True}},
    dt.date(2025, 3, 11): {"challenges": {"letters": dt.date(2025, 3, 18)}},
    dt.date(2025, 3, 12): {"challenges": {"letters": False}},
}


@pytest.mark.parametrize(
    ("today", "expected"),
    [
        (
            dt.date(2025, 3, 13),
            (
                "Letters & cards1 of 3 this week · 2 of 6 so far · 7 to 14 March"
                "Monday 10 To <b>Bojan</b>doneTuesday 11not doneWednesday 12not done"
                "Thursday 13still to comeFriday 14still to come"
            ),
        ),
        (
            dt.date(2025, 3, 20),
            (
                "Letters & cards2 of 5 this week · 3 of 8 so far · 7 to 14 March"
                "Monday 10 To <b>Bojan</b>doneTuesday 11caught up on 18 MarchWednesday 12not done"
                "Thursday 13not recordedFriday 14not recorded"
            ),
        ),
    ],
)
def test_a_week_has_each_day_of_its_challenges(tmp_path: Path, today: dt.date, expected: str) -> None:
    book = journal.open(journals.write(tmp_path, PAGES, challenges=[LETTERS]), today=today, cache=False)

    def drawn(key: str) -> str:
        week = periods.parse(key, week_starts="monday")
        return text(challenge_cards.week(book.tables, week, book.settings, today))

    assert drawn("2025-W11") == expected
    assert drawn("2025-W12") == drawn("2025-W09") == ""
    assert drawn("2025-W10").startswith("Letters & cards1 of 3 this week · 7 to 14 MarchFriday 7 Adone")
