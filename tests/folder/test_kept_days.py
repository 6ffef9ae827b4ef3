"""What is kept of the days of a journal, and the state of its folder."""

from __future__ import annotations

import os
import random
from array import array
from pathlib import Path

import pytest

from journal.folder import folder_state, kept_days
from journal.folder.folder_state import FolderState
from journal.folder.kept_days import KeptDays


@pytest.mark.parametrize("has_handles", [True, False])
def test_the_state_of_a_folder_has_every_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, has_handles: bool
) -> None:
    """With handles of folders, and without, as on Windows. Folders with a dot are named and not walked."""
    monkeypatch.setattr(folder_state, "_HAS_HANDLES", has_handles)
    for name in ("2025/2025-03-14.toml", "journal.toml", ".cache/days", "2025/more/a.txt"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(name, encoding="utf-8")
    state = folder_state.seen(str(tmp_path))
    paths = [".cache", "2025", "journal.toml", "2025/2025-03-14.toml", "2025/more", "2025/more/a.txt"]
    assert state.paths == paths and [state.of(i)[1] for i in range(6)] == [0, 0, 12, 20, 0, 15]
    status = (tmp_path / "journal.toml").stat()
    assert state.of(2) == (status.st_mode, 12, status.st_mtime_ns, status.st_ctime_ns)
    assert not state.has_links and state.newest_ns >= status.st_mtime_ns
    (tmp_path / "2025" / "link.toml").symlink_to("2025-03-14.toml")
    assert folder_state.seen(str(tmp_path)).has_links
    (tmp_path / "journal.toml").chmod(0o600)
    os.utime(tmp_path / "2025" / "2025-03-14.toml", ns=(1, 1))
    changed = folder_state.changes(state, folder_state.seen(str(tmp_path)))
    assert changed == ["2025/2025-03-14.toml", "2025/link.toml", "journal.toml"]


def test_too_many_folders_are_no_state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(folder_state, "FOLDER_LIMIT", 3)
    for name in "abc":
        (tmp_path / name).mkdir()
    with pytest.raises(OSError, match="more than 3"):
        folder_state.seen(str(tmp_path))


def test_content_that_may_have_changed_without_a_trace_is_outdated() -> None:
    """Two writes within a tick of the file system's clock leave the same times."""
    state = FolderState(["a", "b", "c"], array("q", [0, 4, 100, 1, 0, 4, 101, 1, 0, 4, 99, 1]))
    assert kept_days.outdated(KeptDays(state, {}, {}, 102), state) == []
    assert kept_days.outdated(KeptDays(state, {}, {}, 100), state) == ["a", "b"]


def test_what_is_kept_is_read_again(tmp_path: Path) -> None:
    """The texts to the byte, names that are not UTF-8 among the paths, and nothing under another stamp."""
    state = FolderState(["a\udcff.toml", "ü"], array("q", [1, 2, 3, 4, 5, 6, 7, -8]))
    kept = KeptDays(state, {"problems": {"a": 2}}, {"settings": b"\0\xff", "codes 0": b""})
    kept_days.save(tmp_path, kept, "one", since_walk_ns=7)
    loaded = kept_days.load(tmp_path, "one")
    assert loaded is not None and loaded[:3] == kept[:3]
    written_ns = (tmp_path / ".cache" / kept_days.FILE_NAME).stat().st_mtime_ns
    assert loaded.trusted_before_ns == written_ns - 7 - kept_days.TICK_NS
    assert kept_days.load(tmp_path, "another") is None and kept_days.load(tmp_path / "2025", "one") is None


def test_the_stamp_is_of_the_code_that_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    before = kept_days.stamp()
    assert before == kept_days.stamp() and "plain_streaks.py" in before
    monkeypatch.setattr(kept_days, "__version__", "0.0.0")
    assert kept_days.stamp() != before


def slow_changes(before: FolderState, now: FolderState) -> list[str]:
    known = {path: before.of(i) for i, path in enumerate(before.paths)}
    present = {path: now.of(i) for i, path in enumerate(now.paths)}
    return sorted(path for path in known.keys() | present.keys() if known.get(path) != present.get(path))


def test_changes_among_many_names_are_those_of_a_slow_look_at_each() -> None:
    """Names that come, go, change their places or their facts, in a few of several blocks."""
    rng = random.Random(4)
    for _ in range(300):
        names = [f"{number:03}" for number in range(rng.choice([3, 130, 400]))]
        states = []
        for _ in range(2):
            kept = [name for name in names if rng.random() > rng.choice([0, 0.01])]
            if rng.random() < 0.2 and kept:
                kept.insert(0, kept.pop(rng.randrange(len(kept))))
            facts = array("q", [fact for name in kept for fact in (int(name), 1, 2, int(rng.random() < 0.01))])
            states.append(FolderState(kept, facts))
        assert folder_state.changes(*states) == slow_changes(*states)
