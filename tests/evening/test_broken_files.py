"""A file that cannot be read is named when the evening is opened, with its line and remedy. All else is saved."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.evening.evenings import DAY, NEXT, SETTINGS, entered, offered, saved, text, written

BROKEN = "mood = 3\nmemory = \n"
FILES = {
    "today": f"2025/{DAY}.toml",
    "tomorrow": f"2025/{NEXT}.toml",
    "undated": "undated.toml",
    "settings": "journal.toml",
    "lines": "journal.toml",
}
OLD = {"title": "Oil", "id": "o1o1"}


def broken(folder: Path, part: str, pages: dict[Any, Any] | None = None) -> Path:
    written(folder, pages if pages is not None else {DAY: {"tasks": [{"title": "Quote", "id": "t7k2"}]}}, "")
    path = folder / FILES[part]
    path.parent.mkdir(exist_ok=True)
    before = path.read_bytes() if FILES[part] == "journal.toml" else b""
    path.write_bytes(before + (b"# \xff\n" if part == "settings" else BROKEN.encode()))
    return folder


def carry(**more: Any) -> dict[str, Any]:
    return {"ref": None, "title": "Quote", "from": "carried", "source_ref": "t7k2"} | more


@pytest.mark.parametrize("part", FILES)
def test_it_is_named_with_line_and_remedy(tmp_path: Path, part: str) -> None:
    (named,) = offered(broken(tmp_path, part))["broken"]
    last = len((tmp_path / "journal.toml").read_bytes().splitlines())
    line = last if FILES[part] == "journal.toml" else 2
    assert (named["part"], named["path"]) == (part, FILES[part])
    assert named["problem"].startswith(f"{FILES[part]}:{line}:")
    assert "; " in named["problem"] and named["problem"].endswith(".")
    assert ("Its other lines apply." if part == "lines" else "until then") in named["said"]


def test_a_wrong_value_is_no_broken_file(tmp_path: Path) -> None:
    offer = offered(written(tmp_path, {DAY: {"mood": 99}}))
    assert (offer["broken"], len(offer["problems"])) == ([], 1)


def test_today_is_broken_and_tomorrow_is_planned(tmp_path: Path) -> None:
    folder = broken(tmp_path, "today", {DAY: {}, DAY.replace(day=10): {"tasks": [OLD]}})
    offer = offered(folder)
    raw = entered(
        offer, mood=4, memory="Kept.",
        tasks=[
            {"ref": "2025-03-10/o1o1", "title": "Oil", "what": "carry"},
            {"ref": None, "title": "Typed", "what": "done"},
        ],
        tomorrow={"tasks": [carry(title="Oil", source_ref="2025-03-10/o1o1"), {"title": "Sew", "rank": 1}]},
    )  # fmt: skip
    answer = saved(folder, raw)
    assert (answer.saved, answer.partly) == (False, True)
    assert answer.said.startswith(f"Saved to {FILES['tomorrow']} and 2025/2025-03-10.toml at ")
    assert answer.said.endswith(f"Not saved: what belongs in {FILES['today']}.")
    assert answer.problems[0].message.startswith(f"{FILES['today']}:2:")
    assert text(folder, DAY) == BROKEN
    page = tomllib.loads(text(folder, NEXT))
    assert {task["title"] for task in page["tasks"]} == {"Oil", "Sew"}
    assert page["hours"]["planned"] == offer["tomorrow"]["planned"]


def test_tomorrow_is_broken_and_today_is_saved_without_the_carried_tasks(tmp_path: Path) -> None:
    folder = broken(tmp_path, "tomorrow")
    raw = entered(
        offered(folder), mood=4, tasks=[{"ref": "t7k2", "title": "Quote", "what": "carry"}],
        tomorrow={"tasks": [carry()]},
    )  # fmt: skip
    answer = saved(folder, raw)
    assert answer.partly and answer.said.endswith(f"Not saved: what belongs in {FILES['tomorrow']}.")
    assert text(folder, NEXT) == BROKEN
    assert 'status = "carried"' not in text(folder, DAY), "it stands where it stood"
    assert "mood = 4" in text(folder, DAY)


def test_undated_is_broken_and_only_what_goes_there_is_left_out(tmp_path: Path) -> None:
    folder = broken(tmp_path, "undated", {DAY: {"tasks": [{"title": "Quote", "id": "t7k2"}, {"title": "Fold"}]},
                                         NEXT: {"tasks": [{"title": "Old", "since": DAY, "id": "a2b3"}]}})  # fmt: skip
    tasks = [{"ref": "t7k2", "title": "Quote", "what": "undated"}, {"ref": "Fold", "title": "Fold", "what": "done"}]
    answer = saved(folder, entered(offered(folder), mood=4, tasks=tasks, tomorrow={"tasks": []}))
    assert answer.partly and answer.said.endswith("Not saved: what belongs in undated.toml.")
    assert (folder / "undated.toml").read_text(encoding="utf-8") == BROKEN
    assert "carried" not in text(folder, DAY) and 'status = "done"' in text(folder, DAY)
    assert "Old" in text(folder, NEXT), "it would have no place to go"
    assert saved(folder, entered(offered(folder), mood=2)).saved, "nothing of it goes there"


def test_journal_toml_is_unreadable_and_words_and_tasks_are_saved(tmp_path: Path) -> None:
    before = {"mood": 3, "habits": {"walk": True}, "hours": {"planned": {"sleep": ["00:00-06:00"]}}}
    folder = broken(tmp_path, "settings", {DAY: before | {"tasks": [{"title": "Quote"}]}})
    offer = offered(folder)
    assert (offer["fields"], [field["path"][-1] for field in offer["planned_fields"]]) == ([], ["sky"])
    raw = entered(offer, memory="Kept.", tasks=[{"ref": "Quote", "title": "Quote", "what": "done"}])
    for part in (raw, raw["tomorrow"]):
        part.pop("actual", None), part.pop("planned", None)
    assert saved(folder, raw).saved
    page = tomllib.loads(text(folder, DAY))
    assert {key: page[key] for key in before} == before
    assert (page["memory"], page["tasks"][0]["status"]) == ("Kept.", "done")
    assert (folder / "journal.toml").read_bytes().endswith(b"# \xff\n")
    assert SETTINGS["habits"][0]["key"] == "walk"


def test_a_page_broken_after_the_form_was_opened_loses_nothing(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"tasks": [{"title": "Quote", "id": "t7k2"}]}})
    raw = entered(offered(folder), mood=4, tasks=[{"ref": "t7k2", "title": "Quote", "what": "done"}],
                  tomorrow={"tasks": [{"ref": None, "title": "Sew"}]})  # fmt: skip
    (folder / FILES["today"]).write_text(BROKEN, encoding="utf-8")
    answer = saved(folder, raw)
    assert answer.partly and text(folder, DAY) == BROKEN
    assert "Sew" in text(folder, NEXT)
