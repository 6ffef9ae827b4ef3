"""The file of a server's secrets: it lasts, nobody else reads it, and nothing in its place does harm."""

from __future__ import annotations

import hashlib
import os
import re
import socket
import stat
from pathlib import Path

import pytest

from journal.pages import server_secrets
from journal.pages.server_secrets import RunningServer, keep_running, lasting


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / ".cache" / "server.json"


def test_the_secrets_last_as_long_as_their_file(tmp_path: Path, file: Path) -> None:
    first = lasting(tmp_path)
    assert lasting(tmp_path) == first
    assert stat.S_IMODE(file.stat().st_mode) == 0o600 and stat.S_IMODE(file.parent.stat().st_mode) == 0o700
    assert len(first.prefix) >= 22 and len(first.drafts_key) == len(first.proof_key) == 32
    file.unlink()
    second = lasting(tmp_path)
    assert not {first.prefix, first.drafts_key, first.proof_key} & {second.prefix, second.drafts_key, second.proof_key}


def test_the_host_lasts_with_the_path_and_tells_nothing_of_it(tmp_path: Path) -> None:
    secrets, other = lasting(tmp_path), lasting(tmp_path / "other")
    assert lasting(tmp_path).host == secrets.host != other.host
    assert re.fullmatch(r"[0-9a-f]{12}\.localhost", secrets.host)
    assert secrets.host[:12] not in hashlib.sha256(secrets.prefix.encode()).hexdigest()


def test_the_running_server_is_kept_with_them(tmp_path: Path) -> None:
    secrets, running = lasting(tmp_path), RunningServer(8421, str(tmp_path), "2025-03-13", b"k" * 32)
    assert keep_running(tmp_path, secrets, running)
    found = lasting(tmp_path)
    assert (found.running, found.prefix) == (running, secrets.prefix)


def test_without_a_writable_cache_they_are_in_memory(tmp_path: Path) -> None:
    (tmp_path / ".cache").write_text("a file")
    assert lasting(tmp_path).prefix != lasting(tmp_path).prefix
    assert (tmp_path / ".cache").read_text() == "a file"


@pytest.mark.parametrize("kind", ["link", "fifo", "folder", "socket", "sparse", "readable", "hard link", "cache link"])
def test_anything_else_in_its_place_is_neither_read_nor_waited_for(
    tmp_path: Path, file: Path, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    known = lasting(tmp_path)
    elsewhere = tmp_path / "elsewhere"
    content = file.read_bytes()
    file.unlink()
    if kind == "link":
        elsewhere.write_bytes(content)
        elsewhere.chmod(0o600)
        file.symlink_to(elsewhere)
    elif kind == "fifo":
        os.mkfifo(file, 0o600)
    elif kind == "folder":
        file.mkdir()
    elif kind == "socket":
        monkeypatch.chdir(file.parent)  # a path of at most 107 bytes
        with socket.socket(socket.AF_UNIX) as listener:
            listener.bind(file.name)
    elif kind == "cache link":
        file.write_bytes(content)
        file.chmod(0o600)
        file.parent.rename(elsewhere)
        file.parent.symlink_to(elsewhere)
    else:
        file.write_bytes(content)
        file.chmod(0o644 if kind == "readable" else 0o600)
        if kind == "sparse":
            os.truncate(file, 2**40)
        if kind == "hard link":
            elsewhere.hardlink_to(file)
    assert server_secrets._read(tmp_path) is None
    assert lasting(tmp_path).prefix != known.prefix
    if kind == "link":
        assert elsewhere.read_bytes() == content, "nothing is written through it"


@pytest.mark.parametrize(
    "content",
    [b"", b"{}", b"[]", b"\xff", b'{"prefix":"short","drafts_key":"AAAA","proof_key":"AAAA"}', b"[" * 4000, b"null"],
)
def test_a_broken_file_is_replaced(tmp_path: Path, file: Path, content: bytes) -> None:
    lasting(tmp_path)
    file.write_bytes(content)
    made = lasting(tmp_path)
    assert lasting(tmp_path) == made


def test_a_short_prefix_or_key_is_not_taken(tmp_path: Path, file: Path) -> None:
    prefix = lasting(tmp_path).prefix
    text = file.read_text()
    for wrong in ("", "a" * 21, "a" * 65, "../" * 10, "a/b" * 10, "é" * 30):
        file.write_text(text.replace(prefix, wrong))
        assert server_secrets._read(tmp_path) is None
