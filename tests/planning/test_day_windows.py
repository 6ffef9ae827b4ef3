"""Edits of tasks from a window that is out of date: none is doubled, and none is lost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.planning.days import TOMORROW, TUESDAY, edited, journal_at, shown

QUOTE = "t7k2"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return journal_at(tmp_path / "journal")


def test_a_task_is_taken_in_once_from_two_windows(folder: Path) -> None:
    """It has no id and no first day, so the second time it had another id."""
    page, take = shown(folder), {"what": "take in", "ref": "undated/Ask Bojan about a lid"}
    assert edited(folder, take, on=page).answer.saved
    assert edited(folder, take, on=page).answer.saved
    assert [task["title"] for task in shown(folder)["tasks"]].count("Ask Bojan about a lid") == 1


@pytest.mark.parametrize("edit", [{"what": "put away"}, {"what": "task", "status": "open"}])
def test_a_task_that_another_window_moved_is_not_doubled(folder: Path, edit: dict[str, Any]) -> None:
    assert edited(folder, {"what": "move", "ref": QUOTE, "drop": True}).answer.saved
    page = shown(folder)
    if edit["what"] == "put away":
        assert edited(folder, {"what": "task", "ref": QUOTE, "status": "open"}).answer.saved
        page = shown(folder)
        assert edited(folder, {"what": "move", "ref": QUOTE, "to": "2025-03-18"}).answer.saved
    else:
        (folder / "2025" / "2025-03-18.toml").write_text(TUESDAY.replace("carried", "open"), encoding="utf-8")
    problems = edited(folder, edit | {"ref": QUOTE}, on=page).answer.problems
    assert ["stands on 2025-03-18 by now" in problem.message for problem in problems] == [True]


def test_a_carried_task_is_reworded_where_it_stands_too(folder: Path) -> None:
    assert edited(folder, {"what": "move", "ref": QUOTE, "to": "2025-03-14"}).answer.saved
    assert edited(folder, {"what": "task", "ref": QUOTE, "title": "Quote, first page"}).answer.saved
    assert [task["title"] for task in shown(folder, TOMORROW)["tasks"]] == ["Quote, first page"]
