"""The private folders of a journal: nothing in them leads outside, waits, or fills the memory.

Each test runs with handles of folders, and with checked paths as on a system without them.
"""

from __future__ import annotations

import os
import re
import time
from pathlib import Path

import pytest

from journal.folder import cache, private_folder
from journal.folder.private_folder import NotOursError
from journal.language import system_errors
from journal.language.languages import GERMAN
from journal.language.spoken import speaking
from tests.time_limit import time_limit

SHAPE = re.compile(r"[a-z]+\.toml")
DAY_SECONDS = 86_400


@pytest.fixture(params=["handles", "paths"], autouse=True)
def system(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    if request.param == "paths":
        monkeypatch.setattr(private_folder, "_HAS_HANDLES", False)
        monkeypatch.setattr(private_folder, "_PLAIN", 0)
    return str(request.param)


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    folder = tmp_path / "journal"
    folder.mkdir()
    return folder


@pytest.fixture
def outside(tmp_path: Path) -> Path:
    folder = tmp_path / "outside"
    folder.mkdir()
    (folder / "a.toml").write_text("mood = 5")
    return folder


def content(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir()}


def test_files_are_written_read_listed_and_removed(journal: Path) -> None:
    with private_folder.opened(journal, ".history", "pages", make=True) as folder:
        folder.write("b.toml", [b"mood = ", b"4"], durable=True)
        folder.write("a.toml", [b"mood = 3"])
        folder.write("a.toml", [b"mood = 2"])
        folder.write("A note", [b""])
        folder.append("a.toml", b"\nenergy = 1", 100, durable=True)
        folder.append("c.toml", b"new", 3)
        assert folder.names(SHAPE) == ["a.toml", "b.toml", "c.toml"]
        assert folder.read("a.toml", 100).data == b"mood = 2\nenergy = 1"
        assert abs(folder.read("a.toml", 19).written_ns / 1e9 - time.time()) < 60
        folder.remove("a.toml", SHAPE)
        assert folder.names(SHAPE) == ["b.toml", "c.toml"]
    made = journal / ".history" / "pages"
    assert [path.stat().st_mode & 0o777 for path in (made.parent, made)] == [0o700, 0o700]
    assert {path.stat().st_mode & 0o777 for path in made.iterdir()} == {0o600}
    assert sorted(content(made)) == ["A note", "b.toml", "c.toml"]
    with private_folder.opened(journal, ".history", "pages") as folder:
        assert folder.names(SHAPE) == ["b.toml", "c.toml"]


def test_without_make_a_missing_folder_stays_missing(journal: Path) -> None:
    with pytest.raises(FileNotFoundError), private_folder.opened(journal, ".cache"):
        pass
    assert list(journal.iterdir()) == []


@pytest.mark.parametrize("linked", [".cache", ".cache/before"])
def test_a_linked_folder_is_not_entered(journal: Path, outside: Path, linked: str) -> None:
    (journal / linked).parent.mkdir(exist_ok=True)
    (journal / linked).symlink_to(outside)
    for make in (False, True):
        with pytest.raises(OSError), private_folder.opened(journal, ".cache", "before", make=make):
            pass
    assert not cache.put(journal, "before/a.toml", [b""])
    assert content(outside) == {"a.toml": "mood = 5"}


def test_a_folder_that_is_exchanged_for_a_link_leads_nowhere(journal: Path, outside: Path, system: str) -> None:
    with private_folder.opened(journal, ".cache", make=True) as folder:
        folder.write("a.toml", [b"mood = 4"])
        (journal / ".cache").rename(journal / "moved")
        (journal / ".cache").symlink_to(outside)
        if system == "paths":
            with pytest.raises(NotOursError):
                folder.write("a.toml", [b"mood = 3"])
            with pytest.raises(NotOursError):
                folder.remove("a.toml", SHAPE)
        else:
            folder.write("a.toml", [b"mood = 3"])
            folder.remove("a.toml", SHAPE)
    assert content(outside) == {"a.toml": "mood = 5"}


def test_a_link_is_neither_read_nor_written_through(journal: Path, outside: Path) -> None:
    with private_folder.opened(journal, ".cache", make=True) as folder:
        for name, target in (("a.toml", outside / "a.toml"), ("b.toml", journal), ("c.toml", journal / "nothing")):
            (journal / ".cache" / name).symlink_to(target)
            with pytest.raises(OSError):
                folder.read(name, 100)
            with pytest.raises(OSError):
                folder.append(name, b"x", 100)
            with pytest.raises(OSError):
                folder.remove(name, SHAPE)
        assert folder.names(SHAPE) == []
        folder.write("a.toml", [b"ours"])
        assert folder.read("a.toml", 100).data == b"ours"
    assert content(outside) == {"a.toml": "mood = 5"}
    assert not (journal / "nothing").exists()


def test_a_file_with_a_second_name_is_not_appended_to(journal: Path, outside: Path) -> None:
    with private_folder.opened(journal, ".cache", make=True) as folder:
        (journal / ".cache" / "a.toml").hardlink_to(outside / "a.toml")
        with pytest.raises(NotOursError):
            folder.append("a.toml", b"x", 100)
        folder.write("a.toml", [b"ours"])
    assert content(outside) == {"a.toml": "mood = 5"}


def test_a_pipe_does_not_hang(journal: Path) -> None:
    with time_limit(5), private_folder.opened(journal, ".cache", make=True) as folder:
        os.mkfifo(journal / ".cache" / "a.toml")
        for call in (lambda: folder.read("a.toml", 9), lambda: folder.append("a.toml", b"x", 9)):
            with pytest.raises(NotOursError):
                call()
        with pytest.raises(NotOursError):
            folder.remove("a.toml", SHAPE)
        assert folder.names(SHAPE) == []


def test_a_huge_file_is_not_read(journal: Path) -> None:
    with private_folder.opened(journal, ".cache", make=True) as folder:
        with (journal / ".cache" / "a.toml").open("wb") as file:
            file.truncate(1 << 40)
        with pytest.raises(NotOursError, match="too large"):
            folder.read("a.toml", 1000)
        with pytest.raises(NotOursError, match="too large"):
            folder.append("a.toml", b"x", 1000)


def test_what_is_not_ours_is_said_in_the_language_that_is_spoken(journal: Path) -> None:
    said = set(
        re.findall(r'(?:NotOursError|_not_ours)\(\d+, "([^"]*)"', Path(private_folder.__file__).read_text("utf-8"))
    )
    assert said == system_errors.OWN_TEXTS
    with private_folder.opened(journal, ".cache", make=True) as folder:
        (journal / ".cache" / "a.toml").mkdir()
        with pytest.raises(NotOursError) as raised:
            folder.read("a.toml", 9)
    with speaking(GERMAN):
        assert system_errors.reason(raised.value) == "keine gewöhnliche Datei"


@pytest.mark.parametrize("name", ["", ".", "..", "../a.toml", "/etc/passwd", "a\0b"])
def test_a_name_is_one_of_the_folder_itself(journal: Path, name: str) -> None:
    with private_folder.opened(journal, ".cache", make=True) as folder:
        for call in (lambda: folder.read(name, 9), lambda: folder.append(name, b"", 9), lambda: folder.write(name, [])):
            with pytest.raises(OSError):
                call()
    with pytest.raises(OSError), private_folder.opened(journal, name, make=True):
        pass


def test_only_names_of_the_shape_are_removed(journal: Path) -> None:
    with private_folder.opened(journal, ".cache", make=True) as folder:
        (journal / ".cache" / "mine").write_text("kept")
        (journal / ".cache" / "a.toml").mkdir()
        for name in ("mine", "a.toml", "b.toml"):
            with pytest.raises(OSError):
                folder.remove(name, SHAPE)
    assert (journal / ".cache" / "mine").read_text() == "kept"


@pytest.mark.parametrize(("age_days", "is_kept"), [(0, True), (0.9, True), (1.1, False), (-2, False)])
def test_old_temporaries_are_swept(journal: Path, age_days: float, is_kept: bool) -> None:
    names = [".snapshot.0123456789abcdef.writing", "snapshot.ab_d1234", "CACHEDIR.TAG.abcdefg1"]
    others = ["snapshot.mine", ".a.writing", "x.abcdefg1", "closed.json"]
    with private_folder.opened(journal, ".cache", make=True) as folder:
        for name in (*names, *others):
            (journal / ".cache" / name).touch()
            os.utime(journal / ".cache" / name, (time.time() - age_days * DAY_SECONDS,) * 2)
        folder.sweep()
    expected = (names if is_kept else []) + others
    assert sorted(content(journal / ".cache")) == sorted(expected)


def test_a_failed_write_leaves_the_old_file_and_no_temporary(journal: Path) -> None:
    def failing() -> object:
        yield b"half"
        raise OSError(28, "No space left on device")

    with private_folder.opened(journal, ".cache", make=True) as folder:
        folder.write("a.toml", [b"old"])
        with pytest.raises(OSError, match="No space"):
            folder.write("a.toml", failing())  # type: ignore[arg-type]
    assert content(journal / ".cache") == {"a.toml": "old"}
