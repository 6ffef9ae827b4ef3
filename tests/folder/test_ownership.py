"""The owner of what is made in a journal, also by a command that was run as the superuser."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from journal.cli import duskbook
from journal.folder import cache, ownership

THEIRS = 12345, 23456


def owners(*paths: Path) -> set[tuple[int, int]]:
    return {(path.stat().st_uid, path.stat().st_gid) for path in paths}


def test_the_owner_is_given_by_the_superuser_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[tuple[int, int]] = []
    monkeypatch.setattr(os, "fchown", lambda _, user, group: given.append((user, group)))
    theirs = os.stat_result((0o700, 0, 0, 1, *THEIRS, 0, 0, 0, 0))
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    ownership.follow(0, theirs)
    assert given == []
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    ownership.follow(0, theirs)
    assert given == [THEIRS]


@pytest.mark.skipif(os.geteuid() != 0, reason="only the superuser can give files away")
def test_the_cache_belongs_to_the_owner_of_the_folder(tmp_path: Path) -> None:
    os.chown(tmp_path, *THEIRS)
    assert cache.put(tmp_path, "snapshot", [b""])
    made = tmp_path / ".cache"
    assert owners(made, made / "snapshot", made / "CACHEDIR.TAG") == {THEIRS}


@pytest.mark.skipif(os.geteuid() != 0, reason="only the superuser can become another user")
def test_another_user_reads_nothing_of_a_new_journal(open_path: Path) -> None:
    folder = open_path / "journal"
    result = CliRunner().invoke(duskbook, ["start", str(folder), "--yes"])
    assert result.exit_code == 0, result.output
    os.seteuid(THEIRS[0])
    try:
        for path in (folder, folder / "journal.toml"):
            with pytest.raises(PermissionError):
                os.open(path, os.O_RDONLY)
    finally:
        os.seteuid(0)
