"""Killed writers, concurrent writers, and files left behind by a crash."""

from __future__ import annotations

import multiprocessing
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from journal.folder import writing
from tests.writing.conftest import SETTINGS
from tests.writing.killing import NOW

DAY = "2025-03-14"


@pytest.mark.skipif(sys.platform == "win32", reason="there is no fork and no signal 9 on Windows")
def test_no_kill_in_ten_thousand_writes_tears_or_loses_a_page() -> None:
    # In memory if there is such a drive: a killed process leaves the same files there as on a disk, and flushing ten
    # thousand files to a disk takes a quarter of a minute.
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as name:
        (Path(name) / "journal.toml").write_text(SETTINGS)
        command = [sys.executable, "-m", "tests.writing.killing", name, "10000", "150", "20250314"]
        run = subprocess.run(
            command, cwd=Path(__file__).parents[2], capture_output=True, text=True, timeout=240, check=False
        )
    assert run.returncode == 0, run.stderr
    counts = re.fullmatch(r"(\d+) writes, (\d+) killed within one, (\d+) of them left a file behind\n", run.stdout)
    assert counts, run.stdout
    writes, within, left = map(int, counts.groups())
    assert writes >= 10_000
    assert within > 50, "the kills do not hit writes"
    assert left > 0, "the kills do not hit the moment between the two files"


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
