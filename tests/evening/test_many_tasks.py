"""An evening with hundreds of tasks: the work of a save grows as their number does."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal.folder import toml_lines, toml_spans
from tests.evening.evenings import DAY, NEXT, entered, offered, saved, written
from tests.evening.test_save_evening import page


def scanned(folder: Path, count: int, monkeypatch: pytest.MonkeyPatch) -> int:
    """The characters that are scanned when all tasks of a day are carried, and then all are taken off again."""
    total = 0

    def outline(text: str) -> toml_spans.Outline:
        nonlocal total
        total += len(text)
        return toml_spans.outline(text)

    folder = written(folder, {DAY: {"tasks": [{"title": f"Task {i}"} for i in range(count)]}})
    offer = offered(folder)
    everything = [{"ref": task["ref"], "title": task["title"], "what": "carry"} for task in offer["tasks"]]
    monkeypatch.setattr(toml_lines, "outline", outline)
    assert saved(folder, entered(offer, tasks=everything)).saved
    assert len(page(folder, NEXT)["tasks"]) == count
    offer = offered(folder)
    assert saved(folder, entered(offer, tomorrow={"tasks": offer["tomorrow"]["tasks"][:1]})).saved
    assert len(page(folder, NEXT)["tasks"]) == 1
    return total


def test_twice_as_many_tasks_are_twice_the_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    once, twice = (scanned(tmp_path / str(count), count, monkeypatch) for count in (30, 60))
    assert twice < 2.5 * once, "four times the work would be a minute for 400 tasks"
