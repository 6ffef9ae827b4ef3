"""The write lock: one writer at a time, also of an earlier version, and none held up by the lock of another program."""

from __future__ import annotations

import contextlib
import datetime as dt
import os
import shutil
import stat
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from journal.errors import WriteError
from journal.folder import locking, writing

fcntl = pytest.importorskip("fcntl")
PROJECT = Path(__file__).parents[2]
DAY = "2025-03-14"

OURS = "with locking.write_lock(folder): print('held', flush=True); time.sleep(600)"
FOREIGN = "fcntl.flock(os.open(folder, os.O_RDONLY), fcntl.LOCK_EX); print('held', flush=True); time.sleep(600)"


@contextlib.contextmanager
def holder(folder: Path, script: str) -> Iterator[subprocess.Popen[bytes]]:
    """A process that holds a lock."""
    start = (
        "import fcntl, os, pathlib, sys, time\nfrom journal.folder import locking\nfolder = pathlib.Path(sys.argv[1])"
    )
    command = [sys.executable, "-c", f"{start}\n{script}", str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, cwd=PROJECT) as process:
        assert process.stdout and process.stdout.readline().strip() == b"held"
        try:
            yield process
        finally:
            process.kill()


def save_mood(folder: Path) -> None:
    now = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
    writing.save(folder, DAY, writing.look(folder, DAY), {("mood",): 4}, now=now)


def test_a_writer_waits_for_the_lock_and_its_holders_end_releases_it(folder: Path) -> None:
    with holder(folder, OURS) as process:
        with pytest.raises(WriteError, match="another Duskbook"), locking.write_lock(folder, patience_seconds=0):
            pass
        process.kill()
        process.wait()
        with locking.write_lock(folder, patience_seconds=5):
            pass


def test_a_lock_of_another_program_on_the_folder_holds_up_nothing(folder: Path) -> None:
    with holder(folder, FOREIGN):
        began = time.monotonic()
        save_mood(folder)
        assert time.monotonic() - began < 2
    assert "mood = 4" in (folder / "2025" / f"{DAY}.toml").read_text()


def test_a_writer_of_an_earlier_version_waits(folder: Path) -> None:
    """Such a writer locks the folder alone."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        with locking.write_lock(folder), pytest.raises(BlockingIOError):
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    finally:
        os.close(handle)


def test_a_cache_deleted_meanwhile_has_a_new_lock(folder: Path) -> None:
    with locking.write_lock(folder):
        shutil.rmtree(folder / ".cache")
        with locking.write_lock(folder, patience_seconds=0):
            assert (folder / ".cache" / "lock").exists()
        with holder(folder, OURS), pytest.raises(WriteError), locking.write_lock(folder, patience_seconds=0):
            pass


def test_without_a_lock_file_the_folder_counts(folder: Path) -> None:
    (folder / ".cache").write_text("a file in its place")
    with (
        locking.write_lock(folder),
        pytest.raises(WriteError, match="has locked"),
        locking.write_lock(folder, patience_seconds=0),
    ):
        pass
    (folder / ".cache").unlink()
    (folder / ".cache").mkdir()
    (folder / ".cache" / "lock").symlink_to(folder / "journal.toml")
    with locking.write_lock(folder, patience_seconds=0):
        pass


@pytest.mark.parametrize("locks_files", [True, False])
def test_a_drive_without_locks_on_folders(folder: Path, monkeypatch: pytest.MonkeyPatch, locks_files: bool) -> None:
    flock = fcntl.flock

    def refused(handle: int, how: int) -> None:
        if stat.S_ISDIR(os.fstat(handle).st_mode) or not locks_files:
            raise OSError(95, "Operation not supported")
        flock(handle, how)

    monkeypatch.setattr(fcntl, "flock", refused)
    with locking.write_lock(folder):
        if locks_files:
            with pytest.raises(WriteError), locking.write_lock(folder, patience_seconds=0):
                pass
    save_mood(folder)


@pytest.mark.skipif(os.geteuid() != 0, reason="only the superuser can give files away")
def test_a_lock_file_of_another_user_is_replaced(folder: Path) -> None:
    """Who can write in the folder could put a file there and hold it all evening."""
    cache = folder / ".cache"
    cache.mkdir()
    (cache / "lock").touch()
    os.chown(cache / "lock", 12345, 12345)
    with (cache / "lock").open() as foreign:
        fcntl.flock(foreign, fcntl.LOCK_EX)
        with locking.write_lock(folder, patience_seconds=0):
            assert (cache / "lock").stat().st_uid == os.geteuid()
