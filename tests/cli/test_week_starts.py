"""A week's name means the same seven days in every command, for every value of `week_starts`."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from journal.cli import duskbook
from journal.pages import server
from journal.settings import WEEKDAYS, Weekday
from tests.cli.conftest import Typed
from tests.journals import days_between, write

DAY = dt.timedelta(days=1)
# The days with pages: a year of 53 weeks with its neighbours, and a spring.
SPANS = [(dt.date(2020, 12, 1), dt.date(2021, 1, 31)), (dt.date(2025, 2, 1), dt.date(2025, 4, 13))]
INSIDE = [day for first, last in SPANS for day in days_between(first + 14 * DAY, last - 14 * DAY)]

days = st.sampled_from(INSIDE)
week_starts = st.sampled_from(WEEKDAYS)
Journals = Callable[[Weekday], Path]


def week(day: dt.date, start: Weekday) -> tuple[str, dt.date, dt.date]:
    """The name and the ends of a day's week. It starts on `start` and is named by its fourth day."""
    first = day
    while f"{first:%A}".lower() != start:
        first -= DAY
    year, number, _ = (first + 3 * DAY).isocalendar()
    return f"{year}-W{number:02d}", first, first + 6 * DAY


@pytest.fixture(scope="module")
def journals(tmp_path_factory: pytest.TempPathFactory) -> Journals:
    """A journal for each first weekday. All seven have the same pages, one for each day of `SPANS`."""
    habits = [
        {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": dt.date(2020, 12, 1)},
        {"key": "swim", "name": "Swim", "times": 3, "per": "week", "from": dt.date(2020, 12, 1)},
    ]
    pages = {
        day: {
            "mood": 1 + day.day % 5,
            "notes": [f"Written on {day}."],
            "habits": {"walk": True, "swim": True},
            "hours": {"actual": {"sleep": ["00:00-06:15", "22:30-24:00"], "work": ["09:00-12:00"]}},
            "appointments": [{"title": f"On {day}"}],
        }
        for first, last in SPANS
        for day in days_between(first, last)
    }
    root = tmp_path_factory.mktemp("weeks")
    made = {start: write(root / start, pages, habits=habits, week_starts=start) for start in WEEKDAYS}
    return lambda start: made[start]


def command(*arguments: str | Path) -> Result:
    return CliRunner().invoke(duskbook, [str(part) for part in arguments], prog_name="duskbook")


def shown(measure: str, folder: Path, *more: str) -> list[dict[str, Any]]:
    result = command("show", measure, folder, "--format", "json", "--today", "2025-04-13", *more)
    assert (result.exit_code, result.stderr) == (0, "")
    rows: list[dict[str, Any]] = json.loads(result.stdout)
    return rows


def opened_at(monkeypatch: pytest.MonkeyPatch, folder: Path, page: str, date: str) -> dt.date | None:
    """The day at which a page opens."""
    asked: list[dict[str, Any]] = []
    monkeypatch.setattr(server, "serve", lambda _folder, _page, **more: asked.append(more))
    assert command(page, folder, "--date", date).exit_code == 0
    (found,) = asked
    on = found["on"]
    assert on is None or isinstance(on, dt.date)
    return on


def test_the_week_of_a_tuesday_in_march(journals: Journals, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """With weeks from Sunday, 11 March 2025 is in 9 to 15 March, whose middle day is in ISO week 11."""
    folder = journals("sunday")
    first, last = "2025-03-09", "2025-03-15"
    moods = {row["period"]: row for row in shown("mood", folder, "--by", "week")}
    assert (moods["2025-W11"]["from"], moods["2025-W11"]["to"]) == (first, last)
    assert str(opened_at(monkeypatch, folder, "week", "2025-W11")) == first
    assert command("export", "text", folder, "--days", "2025-W11", "--to", tmp_path).exit_code == 0
    found = re.findall(r"Written on (.+)\.", (tmp_path / "2025-03.md").read_text("utf-8"))
    assert (found[0], found[-1], len(found)) == (first, last, 7)
    against = shown("changes", folder, "--from", "2025-03-16", "--to", "2025-03-22", "--against", "2025-W11")
    assert {row["rate_before"] for row in against} == {1.0}


@given(days, week_starts)
@example(dt.date(2020, 12, 31), "saturday")
@example(dt.date(2021, 1, 3), "sunday")
@example(dt.date(2021, 1, 3), "thursday")
@example(dt.date(2025, 3, 11), "sunday")
@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_every_command_means_the_same_week(
    journals: Journals, tmp_path_factory: pytest.TempPathFactory, day: dt.date, start: Weekday
) -> None:
    folder, (key, first, last) = journals(start), week(day, start)
    out = tmp_path_factory.mktemp("out")
    ends = (str(first), str(last))

    for measure in ("mood", "rates", "hours", "sleep", "coverage"):
        by_week = shown(measure, folder, "--by", "week")
        assert ends in {(row["from"], row["to"]) for row in by_week}, measure
        cut = shown(measure, folder, "--by", "week", "--from", ends[0], "--to", ends[1])
        assert {(row["from"], row["to"], row.get("period", key)) for row in cut} == {(*ends, key)}, measure

    with pytest.MonkeyPatch.context() as patch:
        assert opened_at(patch, folder, "week", key) == first
        assert opened_at(patch, folder, "evening", key) == first

    assert command("export", "text", folder, "--days", key, "--to", out / "text").exit_code == 0
    written = "".join(path.read_text("utf-8") for path in sorted((out / "text").iterdir()))
    assert re.findall(r"Written on (.+)\.", written) == [str(day) for day in days_between(first, last)]
    only = ("--only", "appointments")
    assert command("export", "calendar", folder, "--days", key, *only, "--to", out / "it.ics").exit_code == 0
    on = re.findall(r"SUMMARY:On (.+)", (out / "it.ics").read_text("utf-8"))
    assert sorted(line.strip() for line in on) == [str(day) for day in days_between(first, last)]

    brought = command("import", "calendar", out / "it.ics", folder, "--days", key, "--dry-run")
    assert brought.exit_code == 0
    assert f"7 appointments from {first} to {last}" in brought.stdout

    # A week cannot be compared with itself; the message names both by their days.
    refused = command("show", "changes", folder, "--from", ends[0], "--to", ends[1], "--against", key)
    assert refused.exit_code == 2
    assert f"--against {first}..{last} overlaps {first}..{last}," in refused.stderr
    beside = ("--from", str(last + DAY), "--to", str(last + 7 * DAY), "--against", key)
    assert [row["habit"] for row in shown("changes", folder, *beside)] == ["walk", "swim"]


@pytest.mark.parametrize("start", WEEKDAYS)
def test_findings_of_a_week_are_of_its_days(tmp_path: Path, start: Weekday) -> None:
    """Forty even weeks, and one that stands out from its first day to its last."""
    key, first, last = week(dt.date(2025, 3, 11), start)
    every = list(days_between(first - 40 * 7 * DAY, last + 7 * DAY))
    pages = {day: {"mood": 3 + (day.toordinal() % 5 == 0) + (1 if first <= day <= last else 0)} for day in every}
    folder = write(tmp_path / "even", pages, week_starts=start)
    told = shown("findings", folder, "--by", "week", "--from", str(first), "--to", str(last))
    assert {row["page"] for row in told} == {key}
    mood = [row["dates"] for row in told if row["measure"] == "mood"]
    assert mood and all(dates == [str(day) for day in days_between(first, last)] for dates in mood)


def test_options_that_take_a_day_reject_periods(typed: Typed, small_journal: Path) -> None:
    result = typed("show", "mood", small_journal, "--from", "2025-W11")
    assert result.exit_code == 2
    assert '--from: there is no day "2025-W11"; write e.g. "2025-03-14"' in result.stderr
