"""Making backups: what is in them, when, and what stays on disk if it goes wrong."""

from __future__ import annotations

import ast
import io
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from journal.backup import archive, contents, manifest, new_backup, restored_journal
from journal.backup.archive import BackupReader
from journal.errors import BackupError, WriteError
from journal.folder import locking
from tests.backup.journals import NOW, SMALL, drawn, read, write

PROJECT = Path(__file__).parents[2]


def inside(backup: Path) -> dict[str, bytes]:
    reader = BackupReader(io.BytesIO(backup.read_bytes()), "it")
    return {path: b"".join(chunks) for path, chunks in reader.files()}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(tmp_path / "small", SMALL)


def test_journals_go_there_and_back_to_the_byte(tmp_path: Path) -> None:
    for seed in range(8):
        folder, target, again = (tmp_path / f"{name}{seed}" for name in ("journal", "backup", "again"))
        write(folder, drawn(seed))
        new_backup.write(folder, target)
        restored_journal.restore(target, again, now=NOW)
        assert read(again) == drawn(seed)
        assert {path.stat().st_mode & 0o777 for path in (again, *again.rglob("*"))} == {0o700, 0o600}
    assert len(list(tmp_path.iterdir())) == 3 * 8  # nothing else is left


def test_the_same_journal_has_the_same_bytes(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = new_backup.write(folder, tmp_path / "first.tar").path.read_bytes()
    other = tmp_path / "elsewhere" / "other name"
    for path in sorted(SMALL, reverse=True):  # in another order, so that the folders list them in another one
        write(other, {path: SMALL[path]})
        os.utime(other / path, (1, 1))
        (other / path).chmod(0o644)
    monkeypatch.setenv("TZ", "Pacific/Kiritimati")
    time.tzset()
    try:
        assert new_backup.write(other, tmp_path / "second.tar").path.read_bytes() == first
    finally:
        monkeypatch.undo()
        time.tzset()
    (other / "undated.toml").write_bytes(b"")
    assert new_backup.write(other, tmp_path / "third.tar").path.read_bytes() != first


def test_what_is_hidden_stays_out_and_what_is_no_file_is_told(folder: Path, tmp_path: Path) -> None:
    secret = write(tmp_path / "elsewhere", {"secret": b"secret"})
    write(
        folder,
        {".cache/server.json": b"key", ".git/config": b"", ".2025-03-14.toml.swp": b"", "2025-03-15.toml/a": b""},
    )
    write(folder, {".history/.README.txt.0123456789abcdef.writing": b"", ".history/other/x.txt": b""})
    (folder / "linked").symlink_to(secret)
    (folder / "2025" / "2025-03-16.toml").symlink_to(secret / "secret")
    (folder / "gone").symlink_to("nowhere")
    (folder / ".history" / "undated.txt").symlink_to(secret / "secret")
    os.mkfifo(folder / "2025" / "pipe")
    os.mkfifo(folder / ".history" / "2025" / "2025-03-13.txt")
    (folder / os.fsdecode(b"latin-\xe9.jpg")).write_bytes(b"x")
    made = new_backup.write(folder, tmp_path / "b.tar")
    assert inside(made.path) == SMALL
    assert [(problem.path, problem.got.partition(",")[0]) for problem in made.left_out] == [
        ("2025-03-15.toml", "a folder that is named like a page"),
        ("2025/2025-03-16.toml", "a link"),
        ("2025/pipe", "a pipe"),
        ("gone", "a link"),
        ("latin-\\xe9.jpg", "a name that is not UTF-8"),
        ("linked", "a link that is not followed"),
    ]


def test_a_journal_whose_settings_are_a_link_is_not_backed_up(folder: Path, tmp_path: Path) -> None:
    """It could not be restored, and that must not show when it is too late."""
    shutil.move(folder / "journal.toml", tmp_path / "other.toml")
    (folder / "journal.toml").symlink_to(tmp_path / "other.toml")
    with pytest.raises(BackupError, match="cannot be read as a plain file, and without it no backup could be restored"):
        new_backup.write(folder, tmp_path / "b.tar")


def test_a_drive_without_hard_links(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    assert inside(new_backup.write(folder, tmp_path / "b.tar").path) == SMALL
    with pytest.raises(BackupError, match="is there already"):
        new_backup.write(folder, tmp_path / "b.tar")


def test_a_linked_history_is_not_followed(folder: Path, tmp_path: Path) -> None:
    shutil.move(folder / ".history", tmp_path / "other")
    (folder / ".history").symlink_to(tmp_path / "other")
    made = new_backup.write(folder, tmp_path / "b.tar")
    assert not any(path.startswith(".history") for path in inside(made.path))
    assert [problem.path for problem in made.left_out] == [".history"]


def test_a_file_that_cannot_be_read_is_told_and_the_rest_is_kept(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A picture and a page on bad sectors of the disk."""
    bad = {"undated.toml", list(SMALL)[-1]}
    original = contents.chunks

    def chunks(folder: Path, path: str, size: int) -> Iterator[bytes]:
        if path in bad:
            raise OSError(5, "Input/output error", path)
        return original(folder, path, size)

    monkeypatch.setattr(contents, "chunks", chunks)
    made = new_backup.write(folder, tmp_path / "b.tar")
    assert inside(made.path) == {path: data for path, data in SMALL.items() if path not in bad}
    assert {problem.path: problem.got for problem in made.left_out} == dict.fromkeys(
        bad, '"Input/output error", which is not in the backup'
    )
    bad.add("journal.toml")
    with pytest.raises(BackupError, match="without it no backup could be restored"):
        new_backup.write(folder, tmp_path / "c.tar")


def test_more_than_could_be_restored_is_refused(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for module, name, limit in (
        (manifest, "FILE_LIMIT", 5),
        (archive, "SIZE_LIMIT", 500),
        (manifest, "SIZE_LIMIT", 400),
    ):
        with monkeypatch.context() as less:
            less.setattr(module, name, limit)
            with pytest.raises(BackupError, match=r"^the journal has more than a backup takes"):
                new_backup.write(folder, tmp_path / "b.tar")
    assert {path.name for path in tmp_path.iterdir()} == {"small"}


CHANGES: tuple[Callable[[Path], object], ...] = (
    lambda folder: (folder / "undated.toml").write_bytes(b"# changed\n"),
    lambda folder: (folder / "2025" / "2025-03.toml").unlink(missing_ok=True),
    lambda folder: (folder / list(SMALL)[-1]).write_bytes(b"longer" * 1000),
)


@pytest.mark.parametrize("change", CHANGES, ids=["written", "removed", "longer"])
def test_a_file_that_is_changed_while_it_is_read_is_read_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, change: Callable[[Path], object]
) -> None:
    """An editor changes a file before each of the reads of a backup in turn."""
    original, calls = contents.chunks, 0

    def chunks(folder: Path, path: str, size: int) -> Iterator[bytes]:
        nonlocal calls
        calls += 1
        if calls == step:
            change(folder)
        return original(folder, path, size)

    monkeypatch.setattr(contents, "chunks", chunks)
    states = set()
    for step in range(1, 16):
        folder, calls = write(tmp_path / f"journal{step}", SMALL), 0
        found = inside(new_backup.write(folder, tmp_path / f"{step}.tar").path)
        assert found in (SMALL, read(folder))
        states.add(found == SMALL)
    assert states == {True, False}


def test_a_file_that_always_changes_is_told(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    counted = iter(range(10_000))
    original = contents.chunks

    def chunks(folder: Path, path: str, size: int) -> Iterator[bytes]:
        return iter([b"%d" % next(counted)]) if path == "undated.toml" else original(folder, path, size)

    monkeypatch.setattr(contents, "chunks", chunks)
    with pytest.raises(BackupError, match=r'undated.toml" changes while it is read'):
        new_backup.write(folder, tmp_path / "b.tar")
    assert {path.name for path in tmp_path.iterdir()} == {"small"}


def test_text_is_read_under_the_write_lock_and_the_rest_is_not(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    original, locked = contents.chunks, dict[str, list[bool]]()

    def chunks(folder: Path, path: str, size: int) -> Iterator[bytes]:
        try:
            with locking.write_lock(folder, 0):
                locked.setdefault(path, []).append(False)
        except WriteError:
            locked.setdefault(path, []).append(True)
        return original(folder, path, size)

    monkeypatch.setattr(contents, "chunks", chunks)
    new_backup.write(folder, tmp_path / "b.tar")
    assert {path: states for path, states in locked.items() if path.endswith(".jpg")} == {list(SMALL)[-1]: [False] * 2}
    assert {tuple(states) for path, states in locked.items() if not path.endswith(".jpg")} == {(True, True)}


def test_another_file_is_not_replaced_unless_asked(folder: Path, tmp_path: Path) -> None:
    target = tmp_path / "b.tar"
    target.write_bytes(b"other")
    with pytest.raises(BackupError, match="is there already and stays as it is"):
        new_backup.write(folder, target)
    assert target.read_bytes() == b"other"
    new_backup.write(folder, target, replace=True)
    assert inside(target) == SMALL
    assert target.stat().st_mode & 0o777 == 0o600


def test_a_file_that_came_meanwhile_stays(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "b.tar"
    monkeypatch.setattr(new_backup, "_read_back", lambda *_: target.write_bytes(b"other"))
    with pytest.raises(BackupError, match="is there already"):
        new_backup.write(folder, target)
    assert target.read_bytes() == b"other"
    assert {path.name for path in tmp_path.iterdir()} == {"small", "b.tar"}


@pytest.mark.parametrize("name", ["small/b.tar", "small/.cache/b.tar", "inside/b.tar", "small"])
def test_a_place_in_the_journal_is_refused(folder: Path, tmp_path: Path, name: str) -> None:
    (folder / ".cache").mkdir()
    (tmp_path / "inside").symlink_to(folder / "2025")
    with pytest.raises(BackupError, match="is in the journal itself"):
        new_backup.write(folder, tmp_path / name)


def test_a_disk_that_gives_back_other_bytes_is_told(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    original = new_backup._read_back

    def changed(path: Path, *others: Any) -> None:
        data = bytearray(path.read_bytes())
        data[len(data) // 2] ^= 1
        path.write_bytes(data)
        original(path, *others)

    monkeypatch.setattr(new_backup, "_read_back", changed)
    with pytest.raises(BackupError, match="is not what was written when it is read back"):
        new_backup.write(folder, tmp_path / "b.tar")
    assert {path.name for path in tmp_path.iterdir()} == {"small"}


def test_a_full_disk_leaves_nothing(folder: Path, tmp_path: Path) -> None:
    script = (
        "import resource, sys; from pathlib import Path; from journal.backup import new_backup\n"
        "import signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))\n"
        "new_backup.write(Path(sys.argv[1]), Path(sys.argv[2]))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, folder, tmp_path / "b.tar"], capture_output=True, text=True, check=False
    )
    assert "cannot be written (File too large); name another place" in done.stderr
    assert {path.name for path in tmp_path.iterdir()} == {"small"}


def test_a_killed_backup_leaves_no_half_file(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "tests.backup.killing", str(tmp_path), "30", "4711"]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=PROJECT)
    found = ast.literal_eval(done.stdout)
    assert found.keys() <= {"before", "after"}
    assert found["before"]
    left = [path for path in tmp_path.iterdir() if path.name.endswith(".writing")]
    for path in left:
        assert path.stat().st_mode & 0o777 == 0o600
        os.utime(path, (1, 1))
    new_backup.write(tmp_path / "small", tmp_path / "b.tar", replace=True)
    assert {path.name for path in tmp_path.iterdir()} == {"small", "b.tar", "after.tar"}
