"""Hours that the form offered and nobody touched are never written as lived, whatever journal.toml says by then."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from tests import journals
from tests.evening.evenings import DAY, NEXT, SETTINGS, entered, offered, saved, written
from tests.evening.test_save_evening import page

EARLIER = {"sleep": ["00:00-05:00", "21:00-24:00"]}


def _no_hours() -> dict[str, Any]:
    return {name: value for name, value in SETTINGS.items() if name != "hours"}


def _with_hours(usual: dict[str, list[str]]) -> dict[str, Any]:
    return _no_hours() | {"hours": {"usual": usual}}


def _only_music() -> dict[str, Any]:
    kept = [category for category in SETTINGS["categories"] if category["key"] != "workshop"]
    return _with_hours({"sleep": ["00:00-06:00"]}) | {"categories": kept}


CHANGES = {
    "another usual": _with_hours(EARLIER),
    "no usual": _no_hours(),
    "a category gone": _only_music(),
}


@pytest.mark.parametrize("changed", CHANGES)
def test_hours_that_were_only_offered_are_not_lived(tmp_path: Path, changed: str) -> None:
    folder = written(tmp_path)
    offer = offered(folder)
    assert offer["actual_from_plan"] and offer["actual"]
    journals.write(folder, {}, **CHANGES[changed])
    answer = saved(folder, entered(offer, mood=4, tomorrow={"planned": {}}))
    assert answer.saved, answer
    assert page(folder, DAY) == {"mood": 4}


def test_hours_that_were_only_offered_are_not_lived_while_journal_toml_is_broken(tmp_path: Path) -> None:
    folder = written(tmp_path)
    offer = offered(folder)
    text = (folder / "journal.toml").read_text(encoding="utf-8")
    assert "[hours.usual]" in text
    (folder / "journal.toml").write_text(text.replace("[hours.usual]", "[hours.usual"), encoding="utf-8")
    assert saved(folder, entered(offer, mood=4)).saved
    assert page(folder, DAY) == {"mood": 4}


def test_touched_and_confirmed_hours_are_written_as_they_were_shown(tmp_path: Path) -> None:
    folder = written(tmp_path)
    offer = offered(folder)
    journals.write(folder, {}, **_with_hours(EARLIER))
    later = {**offer["actual"], "workshop": ["10:00-12:30"]}
    assert saved(folder, entered(offer, actual=later, tomorrow={"planned": {}})).saved
    assert page(folder, DAY)["hours"] == {"actual": later}
    confirmed = offered(folder, NEXT)
    journals.write(folder, {}, **SETTINGS)
    assert saved(folder, entered(confirmed, actual_as_planned=True), day=NEXT).saved
    assert page(folder, NEXT)["hours"]["actual"] == EARLIER, "what she saw and confirmed"


def test_the_plan_of_a_day_that_was_opened_is_the_one_that_was_shown(tmp_path: Path) -> None:
    folder = written(tmp_path)
    offer = offered(folder)
    journals.write(folder, {}, **_with_hours(EARLIER))
    assert saved(folder, entered(offer)).saved
    assert page(folder, NEXT)["hours"] == {"planned": offer["tomorrow"]["planned"]}


def test_usual_hours_are_no_plan_of_a_day_that_is_over(tmp_path: Path) -> None:
    """The form of Sunday was opened before its next day was over, and is saved after."""
    folder, sunday = written(tmp_path), dt.date(2025, 3, 9)
    offer = offered(folder, sunday, today=sunday)
    journals.write(folder, {}, **_with_hours(EARLIER))
    assert saved(folder, entered(offer, mood=2)).saved
    assert page(folder, sunday + dt.timedelta(1)) == {}
