"""Writing where links, pipes and folders of other users are: nothing outside is written, and nothing hangs."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import pytest

from journal.errors import FolderError, WriteError
from journal.folder import writing
from journal.folder.writing import look
from tests.time_limit import time_limit

NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
DAY = "2025-03-14"


def save_mood(folder: Path, mood: int) -> None:
    writing.save(folder, DAY, look(folder, DAY), {("mood",): mood}, now=NOW)


@pytest.mark.parametrize("linked", ["2025", f"2025/{DAY}.toml"])
def test_nothing_is_written_through_a_link_that_leads_out(
    folder: Path, tmp_path_factory: pytest.TempPathFactory, linked: str
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    page = outside / f"{DAY}.toml"
    page.write_text("mood = 3\n")
    (folder / linked).parent.mkdir(exist_ok=True)
    (folder / linked).symlink_to(outside if linked == "2025" else page)
    base = look(folder, DAY)
    assert base.values == {"mood": 3}
    for rehearse in (True, False):
        with pytest.raises(WriteError, match="a link leads out of the journal there") as caught:
            writing.save(folder, DAY, base, {("mood",): 4}, now=NOW, rehearse=rehearse)
        assert caught.value.typed == "mood = 4"
    assert page.read_text() == "mood = 3\n"
    assert [path.name for path in outside.iterdir()] == [page.name]


@pytest.mark.parametrize("name", [f"2025/{DAY}.toml", "journal.toml"])
@pytest.mark.parametrize("kind", ["pipe", "device", "sparse"])
def test_a_page_that_is_no_file_neither_hangs_nor_fills_the_memory(folder: Path, name: str, kind: str) -> None:
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    path.unlink(missing_ok=True)
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "device":
        path.symlink_to("/dev/zero")
    else:
        with path.open("wb") as file:
            file.truncate(1 << 42)
    reason = {"pipe": "it is a pipe", "device": "it is a device", "sparse": "it has more than 250,000 bytes"}[kind]
    with time_limit(10), pytest.raises(FolderError, match=reason):
        look(folder, DAY if name != "journal.toml" else "settings")


def test_a_new_folder_is_private_and_on_disk_before_its_page(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[str] = []
    fsync = os.fsync

    def noted(handle: int) -> None:
        synced.append(Path(f"/proc/self/fd/{handle}").readlink().name)
        fsync(handle)

    (folder / ".cache").mkdir()
    (folder / ".history").write_text("a file in the way: the history has folders too")
    monkeypatch.setattr(os, "fsync", noted)
    save_mood(folder, 4)
    assert (folder / "2025").stat().st_mode & 0o777 == 0o700
    assert [name for name in synced if not name.startswith(".")] == [folder.name, "2025"]


@pytest.mark.skipif(os.geteuid() != 0, reason="only the superuser can give files away")
def test_what_the_superuser_writes_belongs_to_the_owner_of_the_folder(folder: Path) -> None:
    os.chown(folder, 12345, 23456)
    save_mood(folder, 4)
    save_mood(folder, 3)
    made = [path for path in folder.rglob("*") if path.name != "journal.toml"]
    assert {(path.stat().st_uid, path.stat().st_gid) for path in made} == {(12345, 23456)}
