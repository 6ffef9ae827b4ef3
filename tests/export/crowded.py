"""A journal with more on a day and in a month than fits a small sheet of paper."""

from __future__ import annotations

import datetime as dt

import pytest

import journal
from journal import Journal
from tests import journals

THURSDAY, FRIDAY = dt.date(2025, 3, 13), dt.date(2025, 3, 14)
LONG = "Walk by the river before anyone else in the town is up and about"


@pytest.fixture(scope="module")
def crowded(tmp_path_factory: pytest.TempPathFactory) -> Journal:
    """Twenty habits, long titles, overlapping appointments, weeks from Sunday, a 12-hour clock."""
    habits = [
        {"key": f"h{nth}", "name": f"{(LONG, 'Read', 'Stretch')[nth % 3]} {nth}", "from": dt.date(2025, 1, 1)}
        | ({"times": 3, "per": "week"} if nth % 4 == 0 else {"every": "FREQ=DAILY", "target": 20, "unit": "pages"})
        for nth in range(20)
    ]
    titles = ["Quote for the choir folders " * 7, "W" * 150, *(f"Task {nth}" for nth in range(8))]
    page = {
        "weather": {"sky": "partly cloudy", "high": 70, "low": 51},
        "tasks": [{"title": title, "rank": 1} if nth == 0 else {"title": title} for nth, title in enumerate(titles)],
        "appointments": [
            {"title": "Paper merchant " * 12, "start": "08:30", "end": "09:00"},
            {"title": "Delivery", "start": "08:45", "end": "09:15"},
            {"title": "Doctor", "start": "17:00"},
            {"title": "Holiday"},
        ],
    }
    prompts = {
        "key": "letters",
        "name": "Thirty letters " * 3,
        "from": dt.date(2025, 4, 1),
        "until": dt.date(2025, 4, 30),
    }
    folder = journals.write(
        tmp_path_factory.mktemp("crowded"),
        {FRIDAY: page},
        habits=habits,
        challenges=[prompts | {"prompts": [f"To the one who taught you to sew, {LONG} {nth}" for nth in range(30)]}],
        hours={"usual": {"sleep": ["00:00-06:15", "22:30-24:00"], "home": ["12:30-12:45"]}},
        week_starts="sunday",
        clock=12,
        temperature="F",
    )
    opened = journal.open(folder, today=THURSDAY, cache=False)
    assert opened.problems == ()
    return opened
