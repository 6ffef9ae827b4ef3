"""Restoring: hostile and damaged backups put nothing anywhere, and a folder with files is left alone."""

from __future__ import annotations

import hashlib
import io
import os
from pathlib import Path

import pytest

from journal.backup import archive, manifest, new_backup, restored_journal
from journal.errors import BackupError
from journal.folder import plain_file
from tests.backup.journals import NOW, SMALL, read, write
from tests.promises import backups

SETTINGS = {"journal.toml": SMALL["journal.toml"]}


def packed(files: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    digests = {path: hashlib.sha256(data).hexdigest() for path, data in files.items()}
    archive.write(out, ((path, len(data), [data]) for path, data in files.items()), digests)
    return out.getvalue()


def refused(tmp_path: Path, data: bytes) -> str:
    """The message of a backup that is refused. Nothing but it is on disk afterwards."""
    source = tmp_path / "b.tar"
    source.write_bytes(data)
    with pytest.raises(BackupError) as caught:
        restored_journal.restore(source, tmp_path / "again", now=NOW)
    assert read(tmp_path) == {"b.tar": data}
    return str(caught.value)


@pytest.mark.parametrize(
    "path",
    [
        "../evil", "/etc/evil", "a/../../evil", "a//b", "./a", "a/.", "a/", "/", "", "..",
        ".cache/server.json", ".profile",
        "2025/.hidden", ".history/.x", ".history/2025/../../x", ".history/a/b", ".history", "nul\0l",
    ],
)  # fmt: skip
def test_a_path_that_no_backup_has_is_refused(tmp_path: Path, path: str) -> None:
    assert "nothing is restored" in refused(tmp_path, packed(SETTINGS | {path: b"evil"})) or not path


def test_a_file_that_is_also_a_folder_is_refused(tmp_path: Path) -> None:
    for paths in (("a", "a/b"), ("a/b", "a"), ("x/a", "x/a/b/c")):
        assert "have one name" in refused(tmp_path, packed(SETTINGS | dict.fromkeys(paths, b"")))


def test_a_backup_that_stops_to_be_readable_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Bad(io.BytesIO):
        def read(self, size: int | None = -1, /) -> bytes:
            if self.tell() > 3000:
                raise OSError(5, "Input/output error")
            return super().read(size)

        def fileno(self) -> int:
            return source.fileno()

    with (tmp_path / "b.tar").open("w+b") as source:
        source.write(packed(dict(SMALL)))
        monkeypatch.setattr(plain_file, "opened", lambda _: Bad(packed(dict(SMALL))))
        with pytest.raises(
            BackupError, match=r'b.tar" cannot be read \(Input/output error\); take another copy of it$'
        ):
            restored_journal.restore(tmp_path / "b.tar", tmp_path / "again", now=NOW)
    assert {path.name for path in tmp_path.iterdir()} == {"b.tar"}


def test_a_part_of_the_campaign() -> None:
    assert backups.failures(count=15, seed=1) == []


def test_what_a_killed_restore_left_is_removed_after_a_day(tmp_path: Path) -> None:
    backup = new_backup.write(write(tmp_path / "small", SMALL), tmp_path / "b.tar").path
    left = {name: write(tmp_path / name, SMALL) for name in (".again.abcd_123.restoring", ".again.abcd_124.restoring")}
    write(tmp_path / ".other.abcd_123.restoring", SMALL)
    os.utime(left[".again.abcd_123.restoring"], (1, 1))
    restored_journal.restore(backup, tmp_path / "again", now=NOW)
    names = {path.name for path in tmp_path.iterdir()} - {"small", "b.tar", "again"}
    assert names == {".again.abcd_124.restoring", ".other.abcd_123.restoring"}


def test_a_link_a_device_and_a_sparse_file_are_refused(tmp_path: Path) -> None:
    for kind in b"1234567xgLKS":
        data = bytearray(packed({"evil": b"x"} | SETTINGS))
        at = data.index(b"journal/evil", data.index(b"\njournal") if b"\njournal" in data else 1024)
        assert data[at + 156] == ord("0")
        data[at + 156] = kind
        data[at + 148 : at + 156] = b" " * 8
        data[at + 148 : at + 156] = b"%06o\0 " % sum(data[at : at + 512])
        assert "is damaged" in refused(tmp_path, bytes(data))


def test_a_file_twice_is_refused(tmp_path: Path) -> None:
    line = manifest.text({"journal.toml": hashlib.sha256(b"").hexdigest()})
    data = archive.header(manifest.NAME, 2 * len(line)) + line * 2 + archive.padding(2 * len(line))
    data += archive.header("journal/journal.toml", 0) * 2 + bytes(20_000)
    assert "is damaged in its manifest" in refused(tmp_path, data)


def test_announced_sizes_take_neither_memory_nor_time(tmp_path: Path) -> None:
    huge = archive.header(manifest.NAME, manifest.SIZE_LIMIT + 1)
    assert "is no backup" in refused(tmp_path, huge + bytes(10_000))
    assert "is cut off" in refused(tmp_path, archive.header(manifest.NAME, manifest.SIZE_LIMIT) + bytes(10_000))
    text = manifest.text({"journal.toml": "0" * 64})
    begin = archive.header(manifest.NAME, len(text)) + text + archive.padding(len(text))
    assert "is cut off" in refused(tmp_path, begin + archive.header("journal/journal.toml", archive.FILE_SIZE_LIMIT))
    sparse = tmp_path / "sparse.tar"
    with sparse.open("wb") as file:
        file.write(begin)
        file.truncate(10**13)
    with pytest.raises(BackupError, match="there is no room"):
        restored_journal.restore(sparse, tmp_path / "again", now=NOW)


def test_more_bytes_than_a_backup_may_have_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    data = packed(dict(SMALL))
    monkeypatch.setattr(archive, "SIZE_LIMIT", 1000)
    assert "has more than 1,000 bytes" in refused(tmp_path, data)


def test_a_backup_without_settings_is_refused(tmp_path: Path) -> None:
    assert "it has no journal.toml" in refused(tmp_path, packed({"2025/2025-03-14.toml": b""}))


def test_a_wrong_digest_puts_nothing_in_place(tmp_path: Path) -> None:
    data = packed(dict(SMALL))
    assert "is damaged at undated.toml" in refused(tmp_path, data.replace(b"Grey thread", b"Grey threat"))


def test_only_a_new_or_empty_folder_is_taken(tmp_path: Path) -> None:
    backup = new_backup.write(write(tmp_path / "small", SMALL), tmp_path / "b.tar").path
    folder = write(tmp_path / "again", {"mine.txt": b"mine"})
    with pytest.raises(BackupError, match="has files, which stay as they are"):
        restored_journal.restore(backup, folder, now=NOW)
    with pytest.raises(BackupError, match="is a file"):
        restored_journal.restore(backup, folder / "mine.txt", now=NOW)
    with pytest.raises(BackupError, match="there is no folder"):
        restored_journal.restore(backup, tmp_path / "no" / "where", now=NOW)
    assert read(folder) == {"mine.txt": b"mine"}
    (folder / "mine.txt").unlink()
    (tmp_path / "link").symlink_to(folder)
    restored_journal.restore(backup, tmp_path / "link", now=NOW)
    assert read(folder) == SMALL
    assert folder.stat().st_mode & 0o777 == 0o700


@pytest.mark.parametrize(
    ("source", "said"), [("/dev/zero", "it is a device"), ("no.tar", "No such file"), (".", "it is a folder")]
)
def test_a_source_that_is_no_file_is_told(tmp_path: Path, source: str, said: str) -> None:
    with pytest.raises(BackupError, match=said):
        restored_journal.restore(Path(source), tmp_path / "again", now=NOW)
    assert not list(tmp_path.iterdir())
