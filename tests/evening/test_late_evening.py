"""A day closed late: it plans today if today has no plan yet, and else only carries tasks to today."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path
from typing import Any

import pytest

from journal.errors import UsageError
from tests.evening.evenings import DAY, NEXT, NOW, entered, offered, saved, text, written

SUNDAY = dt.date(2025, 3, 9)
QUOTE = {"title": "Quote", "estimate": 45, "id": "t7k2"}
PLAN = {"hours": {"planned": {"sleep": ["00:00-06:00"]}}}


def tomorrow(folder: Path, day: dt.date, today: dt.date) -> dict[str, Any]:
    following = offered(folder, day, today)["tomorrow"]
    assert isinstance(following, dict)
    return following


@pytest.mark.parametrize(
    ("day", "page", "asks", "said"),
    [
        (DAY, {}, "plan", ""),
        (DAY, PLAN, "plan", ""),
        (DAY - dt.timedelta(1), {}, "plan", "Today has no plan yet. You can make it here."),
        (DAY - dt.timedelta(1), {"tasks": [{"title": "Fold"}]}, "plan", "Today has no plan yet. You can make it here."),
        (DAY - dt.timedelta(1), PLAN, "carry", "Today is planned already, so no plan is asked for."),
        (DAY - dt.timedelta(1), {"mood": 3}, "carry", "Today is planned already, so no plan is asked for."),
        (SUNDAY, {}, "carry", "Monday 10 March is over, so no plan is asked for."),
    ],
)
def test_what_is_asked(tmp_path: Path, day: dt.date, page: dict[str, Any], asks: str, said: str) -> None:
    offer = offered(written(tmp_path, {DAY: page}), day, DAY)
    following = offer["tomorrow"]
    assert (following["asks"], following["said"].removesuffix(" Tasks that you carry go to today.")) == (asks, said)
    assert following["day"] == str(NEXT if day == DAY else DAY)
    assert following["title"] == ("Tomorrow, Friday 14 March" if day == DAY else "Today, Thursday 13 March")
    assert len(offer["files"]) == (2 if asks == "plan" else 1)


def test_a_task_of_a_past_week_is_carried_to_today_and_no_day_between_is_written(tmp_path: Path) -> None:
    folder = written(tmp_path, {SUNDAY: {"tasks": [QUOTE]}, DAY: PLAN})
    offer = offered(folder, SUNDAY, DAY)
    carried = {"ref": None, "title": "Quote", "rank": None, "estimate": 45, "from": "carried", "source_ref": "t7k2"}
    raw = entered(offer, tasks=[{"ref": "t7k2", "title": "Quote", "what": "carry"}])
    raw["tomorrow"] = {"tasks": [carried]}
    answer = saved(folder, raw)
    assert answer.saved, answer
    assert sorted(path.name for path in (folder / "2025").iterdir()) == [f"{SUNDAY}.toml", f"{DAY}.toml"]
    (task,) = tomllib.loads(text(folder, DAY))["tasks"]
    assert task == {"title": "Quote", "status": "open", "estimate": 45, "since": SUNDAY, "id": "t7k2"}
    assert 'status = "carried"' in text(folder, SUNDAY)
    # It is known there, so the form shows it as carried, and taking it back takes it off today.
    offer = offered(folder, SUNDAY, DAY)
    assert [task["source_ref"] for task in offer["tomorrow"]["tasks"]] == ["t7k2"]
    raw = entered(offer, tasks=[{"ref": "t7k2", "title": "Quote", "what": "done"}])
    raw["tomorrow"] = {"tasks": []}
    assert saved(folder, raw).saved
    assert "Quote" not in text(folder, DAY)
    assert 'status = "done"' in text(folder, SUNDAY)


def test_a_task_that_went_to_the_day_after_is_found_there_without_an_id(tmp_path: Path) -> None:
    """Carried by hand. Marked done after all, it leaves the day after, which is not the day that the form opens."""
    monday = SUNDAY + dt.timedelta(1)
    quote = {"title": "Quote", "since": SUNDAY}
    folder = written(tmp_path, {SUNDAY: {"tasks": [quote | {"status": "carried"}]}, monday: {"tasks": [quote]}})
    offer = offered(folder, SUNDAY, DAY)
    raw = entered(offer, tasks=[{"ref": offer["tasks"][0]["ref"], "title": "Quote", "what": "done"}])
    assert saved(folder, raw).saved
    assert "Quote" not in text(folder, monday)


def test_today_is_planned_from_yesterday_in_the_morning(tmp_path: Path) -> None:
    folder = written(tmp_path, {})
    offer = offered(folder, DAY - dt.timedelta(1), DAY)
    raw = entered(offer, tomorrow={"tasks": [{"ref": None, "title": "Sew", "rank": 1, "from": "new"}]})
    assert saved(folder, raw, now=NOW - dt.timedelta(hours=14)).saved
    page = tomllib.loads(text(folder, DAY))
    assert page["hours"]["planned"] == offer["tomorrow"]["planned"]
    assert page["tasks"] == [{"title": "Sew", "status": "open", "rank": 1}]


def test_the_page_of_another_day_is_no_day_that_this_one_opens(tmp_path: Path) -> None:
    folder = written(tmp_path, {})
    raw = entered(offered(folder, DAY)) | {"day": str(NEXT)}
    assert "of another day" in saved(folder, raw).problems[0].message


@pytest.mark.parametrize("day", [dt.date.max, dt.date(2999, 12, 31), dt.date.min])
def test_a_day_of_a_year_that_no_page_can_have_is_told(tmp_path: Path, day: dt.date) -> None:
    with pytest.raises(UsageError, match=r"is too far from today; .* from 1583"):
        offered(written(tmp_path, {}), day, DAY)
