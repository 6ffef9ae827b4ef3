"""The format of a backup: what other programs read in it, and that no changed byte passes."""

from __future__ import annotations

import hashlib
import io
import random
import shutil
import subprocess
import tarfile
from pathlib import Path

import pytest

from journal.backup import archive, manifest
from journal.backup.archive import BLOCK, BackupReader
from journal.errors import BackupError
from tests.backup.journals import SMALL, Files, drawn


def packed(files: Files) -> bytes:
    out = io.BytesIO()
    digests = {path: hashlib.sha256(data).hexdigest() for path, data in files.items()}
    assert archive.write(out, ((path, len(data), [data]) for path, data in files.items()), digests) == out.tell()
    return out.getvalue()


def unpacked(data: bytes) -> dict[str, bytes]:
    return {path: b"".join(chunks) for path, chunks in BackupReader(io.BytesIO(data), "it").files()}


def test_tarfile_reads_the_same_files() -> None:
    for seed in range(40):
        files = drawn(seed)
        with tarfile.open(fileobj=io.BytesIO(packed(files)), mode="r:") as tar:
            members = tar.getmembers()
            assert [member.name for member in members] == ["MANIFEST", *(f"journal/{path}" for path in files)]
            assert {(m.mtime, m.mode, m.uid, m.gid, m.uname, m.gname, m.type) for m in members} == {
                (315532800, 0o600, 0, 0, "", "", b"0")
            }
            for member, data in zip(members[1:], files.values(), strict=True):
                extracted = tar.extractfile(member)
                assert extracted is not None
                assert extracted.read() == data
        assert unpacked(packed(files)) == files


@pytest.mark.skipif(not shutil.which("sha256sum") or not shutil.which("tar"), reason="tools of a Unix system")
def test_tar_unpacks_it_and_sha256sum_checks_it(tmp_path: Path) -> None:
    for seed in (1, 2, 3):
        folder = tmp_path / str(seed)
        folder.mkdir()
        (folder / "b.tar").write_bytes(packed(drawn(seed)))
        subprocess.run(["tar", "xf", "b.tar"], cwd=folder, check=True, capture_output=True)
        checked = subprocess.run(
            ["sha256sum", "-c", "--strict", "MANIFEST"], cwd=folder, check=True, capture_output=True
        )
        assert checked.stdout.count(b"OK\n") == len(drawn(seed))


def test_every_changed_byte_is_noticed() -> None:
    """All of a small backup, each with one bit or all bits changed."""
    data = packed({path: SMALL[path] for path in list(SMALL)[-3:]})
    flips = random.Random(4711)
    for at in range(len(data)):
        flip = flips.choice((1 << flips.randrange(8), 0xFF))
        changed = data[:at] + bytes([data[at] ^ flip]) + data[at + 1 :]
        with pytest.raises(BackupError, match=r"is damaged|is no backup|is cut off"):
            unpacked(changed)


def test_every_shorter_or_longer_file_is_noticed() -> None:
    data = packed(SMALL)
    for length in {*range(0, len(data), 97), BLOCK, len(data) - 1}:
        with pytest.raises(BackupError, match=r"is no backup" if length < BLOCK else r"is cut off"):
            unpacked(data[:length])
    with pytest.raises(BackupError, match="is damaged at its end"):
        unpacked(data + b"\0")


@pytest.mark.parametrize("data", [b"", b"PK\3\4", b"\0" * 20480, b"x" * 20480], ids=["empty", "zip", "zeros", "text"])
def test_what_is_no_backup_is_told(data: bytes) -> None:
    with pytest.raises(BackupError, match=r'^it is no backup of a journal; name a file that "duskbook backup" wrote$'):
        unpacked(data)


def test_the_tar_of_another_program_is_no_backup(tmp_path: Path) -> None:
    (tmp_path / "journal.toml").write_text('title = "x"')
    with tarfile.open(tmp_path / "x.tar", "w") as tar:
        tar.add(tmp_path / "journal.toml", "journal/journal.toml")
    with pytest.raises(BackupError, match="is no backup"):
        unpacked((tmp_path / "x.tar").read_bytes())


def test_a_manifest_has_each_file_once() -> None:
    line = manifest.text({"a": "0" * 64})
    for text in (
        line + line,
        line[:-1],
        line.replace(b"journal/", b"other/"),
        line + b"\n",
        b"\\" + line,
        b"\xff" + line,
    ):
        with pytest.raises(ValueError, match=r"."):
            manifest.parse(text)


@pytest.mark.parametrize("name", ["a\\b", "a\nb", "a\rb", "\\", "\\n", "ä" * 120])
def test_odd_names_pass_through_the_manifest(name: str) -> None:
    digests = {name: "0" * 64, "plain": "1" * 64}
    assert manifest.parse(manifest.text(digests)) == digests
