"""A disk that is full: copies are given up before a save is."""

from __future__ import annotations

import datetime as dt
import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from journal.errors import WriteError
from journal.folder import history, writing
from tests.writing.test_saving import NOW, saved

_DAYS = [f"2025-03-{day:02}" for day in range(1, 29)]

_ON_A_TINY_DRIVE = """
import sys, datetime as dt
from pathlib import Path
from journal.errors import WriteError
from journal.folder import history, writing
from tests.writing.test_saving import NOW
from tests.writing.conftest import SETTINGS
folder, saves = Path(sys.argv[1]), 0
(folder / "journal.toml").write_text(SETTINGS)
try:
    for month in range(1, 13):
        for day in range(1, 29):
            key = f"2025-{month:02}-{day:02}"
            writing.save(folder, key, writing.look(folder, key), {("memory",): "x" * 3000}, now=NOW, by="log")
            assert "x" * 3000 in (folder / "2025" / f"{key}.toml").read_text()
            saves += 1
except WriteError as error:
    print(saves, len(history.pages(folder)), "the disk is full; make room" in str(error))
"""


def test_copies_make_room_on_a_drive_of_half_a_megabyte(tmp_path: Path) -> None:
    # Pages of 4 kB, each with a history of 4 kB: with the copies, half as many would fit.
    command = ["unshare", "-m", "sh", "-c", 'mount -t tmpfs -o size=512k none "$1" && exec "$2" -c "$3" "$1"', "sh"]
    run = subprocess.run(
        [*command, str(tmp_path), sys.executable, _ON_A_TINY_DRIVE], cwd=Path(__file__).parents[2],
        capture_output=True, text=True, check=False, env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"},
    ) if sys.platform == "linux" and os.geteuid() == 0 else None  # fmt: skip
    if run is None or "unshare:" in run.stderr or "mount:" in run.stderr:
        pytest.skip("no drive can be mounted here")
    saves, copies, is_told = run.stdout.split()
    assert int(saves) > 110, run.stderr
    assert int(copies) < 5
    assert is_told == "True"


def test_the_oldest_copies_go_first(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same with a drive that is full while there are more than three histories."""
    for number, day in enumerate(_DAYS[:8]):
        saved(folder, {("mood",): 3}, day, now=NOW + dt.timedelta(minutes=number))
        os.utime(folder / ".history" / "2025" / f"{day}.txt", (number, number))
    real = os.write

    def write(handle: int, data: bytes) -> int:
        if len(history.pages(folder)) > 3:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(handle, data)

    monkeypatch.setattr(os, "write", write)
    saved(folder, {("mood",): 4}, _DAYS[0])
    monkeypatch.undo()
    assert writing.look(folder, _DAYS[0]).values["mood"] == 4
    assert len(history.pages(folder)) <= 3
    assert _DAYS[7] in history.pages(folder)


def test_a_disk_that_stays_full_refuses_the_save(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    saved(folder, {("mood",): 3})

    def write(handle: int, data: bytes) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "write", write)
    with pytest.raises(WriteError, match="the disk is full; make room"):
        saved(folder, {("mood",): 4})
    monkeypatch.undo()
    assert writing.look(folder, "2025-03-14").values == {"mood": 3}
