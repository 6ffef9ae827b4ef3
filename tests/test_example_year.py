"""The example year equals the output of its generator, byte for byte, and has the promised content.

The content is read with tomllib alone, so that these tests do not depend on the package `journal`.
"""

from __future__ import annotations

import collections
import datetime as dt
import functools
import itertools
import statistics
import tomllib
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageChops, ImageStat

from tests.invented_year import pictures
from tests.invented_year.folder import write, year
from tests.invented_year.truth import difference

EXAMPLE = Path(__file__).parents[1] / "example_year"
Page = dict[str, Any]
made_year = functools.cache(year)


def _days() -> dict[dt.date, Page]:
    pages = {}
    for path in sorted((EXAMPLE / "2025").glob("2025-??-??.toml")):
        pages[dt.date.fromisoformat(path.stem)] = tomllib.loads(path.read_text(encoding="utf-8"))
    return pages


DAYS = _days()
LOGGED = {day: page for day, page in DAYS.items() if "mood" in page or "habits" in page}
SETTINGS = tomllib.loads((EXAMPLE / "journal.toml").read_text(encoding="utf-8"))
TASKS = [(day, task) for day, page in DAYS.items() for task in page.get("tasks", [])]


def _minute(clock: str) -> int:
    return int(clock[:2]) * 60 + int(clock[3:])


def _spans(layer: dict[str, list[str]]) -> list[tuple[int, int]]:
    return sorted((_minute(text[:5]), _minute(text[6:])) for ranges in layer.values() for text in ranges)


def test_the_generator_writes_the_same_bytes_again(tmp_path: Path) -> None:
    write(tmp_path)
    written = {path.relative_to(tmp_path): path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    kept = {
        path.relative_to(EXAMPLE): path.read_bytes()
        for path in EXAMPLE.rglob("*")
        if path.is_file() and not {".cache", ".history", "pictures"} & set(path.relative_to(EXAMPLE).parts)  # derived
    }
    assert sorted(written) == sorted(kept)
    assert [str(name) for name in written if written[name] != kept[name]] == []


def test_every_line_found_a_day_and_no_line_comes_twice() -> None:
    _, left = made_year()
    assert [line.text for line in left] == []
    gratitude = [text for page in DAYS.values() for text in page.get("gratitude", [])]
    memories = [page["memory"] for page in DAYS.values() if "memory" in page]
    notes = [text for page in DAYS.values() for text in page.get("notes", [])]
    assert len(set(gratitude)) == len(gratitude) >= 600
    assert len(set(memories)) == len(memories) >= 200
    assert len(set(notes)) == len(notes) >= 60


def test_every_day_but_the_blank_week_is_logged_with_its_hours() -> None:
    whole = [dt.date(2025, 1, 1) + dt.timedelta(days=i) for i in range(365)]
    blank = [dt.date(2025, 8, 11) + dt.timedelta(days=i) for i in range(7)]
    assert [day for day in whole if day not in LOGGED] == blank
    assert [day for day in DAYS if day not in LOGGED] == blank[:2]
    for day, page in LOGGED.items():
        assert page["hours"]["planned"] and page["hours"]["actual"], day
        assert {"sky", "high", "low"} == set(page["weather"]), day
        assert page["weather"]["low"] < page["weather"]["high"], day


@pytest.mark.parametrize("layer", ["planned", "actual"])
def test_spans_of_a_layer_do_not_overlap_and_end_by_midnight(layer: str) -> None:
    for day, page in DAYS.items():
        spans = _spans(page["hours"].get(layer, {}))
        assert all(0 <= start < end <= 1440 for start, end in spans), day
        assert all(a[1] <= b[0] for a, b in itertools.pairwise(spans)), day


def test_nights_are_plausible() -> None:
    """A night is the evening part of a day and the morning part of the next: five to twelve hours."""
    lengths = []
    for day, page in LOGGED.items():
        if day + dt.timedelta(days=1) not in LOGGED:
            continue
        own = _spans({"sleep": page["hours"]["actual"]["sleep"]})
        evening = sum(end - start for start, end in own if end == 1440)
        morning = _spans({"sleep": LOGGED[day + dt.timedelta(days=1)]["hours"]["actual"]["sleep"]})[0]
        assert morning[0] == 0 or evening == 0, day
        lengths.append(evening + morning[1] - morning[0])
    assert min(lengths) >= 5 * 60 and max(lengths) <= 12 * 60
    assert 7 * 60 <= statistics.mean(lengths) <= 8.5 * 60


def test_habits_are_of_every_kind() -> None:
    habits = SETTINGS["habits"]
    assert len({habit["key"] for habit in habits}) == 10
    assert [habit["from"] for habit in habits if habit["key"] == "stretch"] == [
        dt.date(2025, 1, 1),
        dt.date(2025, 9, 1),
    ]
    assert {habit.get("per") for habit in habits} == {None, "week", "month"}
    assert {habit["aim"] for habit in habits if "target" in habit} == {"at least", "at most"}
    assert min(day for day, page in LOGGED.items() if "swim" in page["habits"]) == dt.date(2025, 5, 1)
    weekdays = collections.defaultdict(set)
    for day, page in LOGGED.items():
        for habit in page["habits"]:
            weekdays[habit].add((day.weekday(), day >= dt.date(2025, 9, 1)))
    assert {weekday for weekday, _ in weekdays["call"]} == {6}
    assert {weekday for weekday, _ in weekdays["practise"]} == set(range(5))
    assert {weekday for weekday, later in weekdays["stretch"] if later} == {0, 2, 4}
    fridays = [day for day, page in LOGGED.items() if "stock" in page["habits"]]
    assert {(day - dt.date(2025, 1, 3)).days % 14 for day in fridays} == {0}


def test_flu_trip_late_pages_and_challenges() -> None:
    flu = [LOGGED[dt.date(2025, 2, day)] for day in range(11, 17)]
    assert all(page["habits"]["walk"] == "rest" for page in flu)
    assert [day.isoformat() for day, page in DAYS.items() if page.get("place") == "edinburgh"] == [
        f"2025-09-{day}" for day in range(23, 29)
    ]
    assert {place["timezone"] for place in SETTINGS["places"]} == {"Europe/Ljubljana", "Europe/London"}
    texts = [path.read_text(encoding="utf-8") for path in (EXAMPLE / "2025").glob("2025-??-??.toml")]
    assert sum(text.startswith("# filled in on 2025-") for text in texts) >= 12
    ticks = collections.Counter(
        name for page in DAYS.values() for name, ticked in page.get("challenges", {}).items() if ticked
    )
    assert ticks == {"letters": 26, "endpapers": 26}
    assert sum("endpapers = 2025-10-" in text for text in texts) == 3


def test_tasks_make_chains() -> None:
    chains = collections.defaultdict(list)
    for day, task in TASKS:
        if "id" in task:
            chains[task["id"]].append((day, task))
    for chain in chains.values():
        days = [day for day, _ in chain]
        assert len(set(days)) == len(days)
        assert {task["since"] for _, task in chain} == {days[0]}
        assert all(task["status"] in {"carried", "open"} for _, task in chain[:-1])
    assert all("id" in task for _, task in TASKS if task["status"] == "carried")
    assert max(map(len, chains.values())) >= 5
    assert sum(len({task["title"] for _, task in chain}) > 1 for chain in chains.values()) >= 10
    assert len({task["title"] for _, task in TASKS}) >= 150
    statuses = collections.Counter(task["status"] for _, task in TASKS)
    assert statuses["dropped"] >= 20 and statuses["open"] >= 3
    last = [task for day, task in TASKS if day == dt.date(2025, 12, 31)]
    assert len(last) >= 2 and all(task["status"] == "open" and task["since"] < dt.date(2025, 12, 31) for task in last)
    for day, page in DAYS.items():
        ranks = [task["rank"] for task in page.get("tasks", []) if "rank" in task]
        assert sorted(ranks) == list(range(1, len(ranks) + 1)) and len(ranks) <= 3, day


def test_ranked_tasks_are_done_more_often_and_take_longer_than_thought() -> None:
    done = collections.defaultdict(list)
    for _, task in TASKS:
        done["rank" in task].append(task["status"] == "done")
    assert statistics.mean(done[True]) > statistics.mean(done[False]) + 0.1
    ratios = sorted(task["took"] / task["estimate"] for _, task in TASKS if {"took", "estimate"} <= set(task))
    assert len(ratios) > 300
    assert 1.1 <= statistics.median(ratios) <= 1.35
    inside = sum(0.8 <= ratio <= 1.8 for ratio in ratios) / len(ratios)
    assert 0.72 <= inside <= 0.88


def _kept(habit: str, mark: object) -> bool:
    return mark is True or (
        isinstance(mark, int) and not isinstance(mark, bool) and (mark <= 30 if habit == "screen" else mark >= 20)
    )


def _difference(habit: str, lag: int) -> tuple[int, int, float]:
    sides: dict[bool, list[int]] = {True: [], False: []}
    for day, page in LOGGED.items():
        mark = page["habits"].get(habit)
        mood = LOGGED.get(day + dt.timedelta(days=lag), {}).get("mood")
        if mark is not None and mark != "rest" and mood is not None:
            sides[_kept(habit, mark)].append(mood)
    return len(sides[True]), len(sides[False]), statistics.mean(sides[True]) - statistics.mean(sides[False])


@pytest.mark.parametrize(("habit", "lag", "planted"), [("walk", 0, 0.60), ("swim", 1, 0.50), ("screen", 1, 0.40)])
def test_planted_effects_on_mood_are_in_the_pages(habit: str, lag: int, planted: float) -> None:
    done, missed, shown = _difference(habit, lag)
    assert min(done, missed) >= 14
    assert abs(shown - planted) < 0.15


@pytest.mark.parametrize("habit", ["read", "stretch", "practise", "bench", "call"])
@pytest.mark.parametrize("lag", [0, 1])
def test_habits_without_effect_show_little(habit: str, lag: int) -> None:
    done, missed, shown = _difference(habit, lag)
    assert min(done, missed) >= 14
    assert abs(shown) < (0.3 if habit == "call" else 0.15)


def test_the_readme_has_the_differences_of_the_pages() -> None:
    readme = (EXAMPLE / "README.md").read_text(encoding="utf-8")
    days, _ = made_year()
    for habit in ("walk", "read", "stretch", "practise", "bench", "call", "swim", "screen"):
        row = next(line for line in readme.splitlines() if line.startswith(f"| {habit} |"))
        for lag in (0, 1):
            assert f"{_difference(habit, lag)[2]:+.2f}" in row
            assert difference(days, habit, lag) == pytest.approx(_difference(habit, lag))


def test_one_habit_changed_clearly_and_pages_of_weeks_and_months_are_there() -> None:
    def share(month: int) -> float:
        marks = [page["habits"].get("bench") for day, page in LOGGED.items() if day.month == month]
        return statistics.mean(mark is True for mark in marks if mark not in {None, "rest"})

    assert share(3) < 0.4 and share(4) > 0.8
    names = {path.stem for path in (EXAMPLE / "2025").glob("*.toml")}
    weeks = {f"2025-W{week:02d}" for week in range(1, 53)}
    assert weeks - names == {"2025-W07", "2025-W33", "2025-W52"}
    assert {f"2025-{month:02d}" for month in range(1, 13)} <= names and "2025" in names
    august = tomllib.loads((EXAMPLE / "2025/2025-08.toml").read_text(encoding="utf-8"))
    assert august["decisions"]["stretch"] == "change"
    asked = {tuple(prompts) for prompts in SETTINGS["prompts"].values()}
    for name in names & (weeks | {"2025"} | {f"2025-{month:02d}" for month in range(1, 13)}):
        review = tomllib.loads((EXAMPLE / f"2025/{name}.toml").read_text(encoding="utf-8"))
        given = [answer["prompt"] for answer in review["reflection"]]
        assert any(set(given) <= set(prompts) for prompts in asked), name
        assert all(answer["answer"].strip() for answer in review["reflection"]), name


@pytest.mark.parametrize("name", list(pictures.DRAWERS))
def test_the_pictures_are_those_that_the_script_draws(name: str) -> None:
    """Pixel by pixel: their bytes differ from version to version of the libraries."""
    with Image.open(EXAMPLE / "2025" / name) as kept:
        drawn = pictures.finished(pictures.DRAWERS[name]()).convert("RGB")
        apart = ImageChops.difference(kept.convert("RGB"), drawn)
    assert kept.size == drawn.size and max(ImageStat.Stat(apart).mean) < 1
    assert len(kept.info) == 0 and not kept.getexif()
