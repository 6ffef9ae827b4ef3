"""Killed writers, concurrent writers, and files left behind by a crash."""

from __future__ import annotations

import multiprocessing
from pathlib import Path

from journal.folder import writing
from tests.writing.test_saving import NOW

DAY = "2025-03-14"


def _add(folder: Path, own: int) -> None:
    base = writing.look(folder, DAY)  # read once: all saves but the first start from a stale page
    noted = base.values.get("notes", [])
    for i in range(8):
        task = {"title": f"Task {own} {i}"}
        changes = {("tasks", f"new {i}"): task, ("notes",): [*noted, f"{own} {i}"]}
        saved = writing.save(folder, DAY, base, changes, now=NOW)
        assert isinstance(saved, writing.Saved)


def test_concurrent_writes_are_all_kept(folder: Path) -> None:
    context = multiprocessing.get_context("spawn")
    writers = [context.Process(target=_add, args=(folder, own)) for own in range(4)]
    for each in writers:
        each.start()
    for each in writers:
        each.join(120)
    assert [each.exitcode for each in writers] == [0] * 4
    page = writing.look(folder, DAY).values
    wanted = {f"{own} {i}" for own in range(4) for i in range(8)}
    assert set(page["notes"]) == wanted
    assert sorted(task["title"] for task in page["tasks"]) == sorted(f"Task {name}" for name in wanted)


def test_leftover_temp_files_are_removed_and_nothing_else(folder: Path) -> None:
    year = folder / "2025"
    year.mkdir()
    left, others = year / f".{DAY}.toml.ab12_x9z.writing", [year / ".notes", year / f".{DAY}.toml.swp"]
    for path in (left, *others):
        path.write_text("mood = 4")
    assert writing.look(folder, DAY).data is None
    writing.save(folder, DAY, writing.look(folder, DAY), {("mood",): 4}, now=NOW)
    assert not left.exists()
    assert all(path.exists() for path in others)
