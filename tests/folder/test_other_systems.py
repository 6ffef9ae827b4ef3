"""What Windows and macOS do otherwise, played on this system: files in use, locks, names. None of it ran on them."""

from __future__ import annotations

import datetime as dt
import fcntl
import os
import sys
import threading
import time
import types
import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from journal.errors import PictureError, WriteError
from journal.folder import busy_files, exchanged_names, history, locking, picture_names, private_folder, writing
from journal.pictures import picture_files
from tests.pictures.drawn import jpeg
from tests.writing.conftest import SETTINGS

DAY = "2025-03-14"
NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    (tmp_path / "2025").mkdir()
    (tmp_path / "2025" / f"{DAY}.toml").write_text("mood = 3 # so far\n", encoding="utf-8")
    return tmp_path


def _byte_lock(handle: int, mode: int, length: int) -> None:
    """`msvcrt.locking`: without waiting, and a lock that is held is a PermissionError."""
    assert (mode, length) == (2, 1)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise PermissionError(13, "Permission denied") from None


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The ways that are taken on Windows: no handles of folders, no exchange of names, no modes, locks of msvcrt."""
    opening = os.open

    def open_file(path: object, flags: int, *mode: int, dir_fd: int | None = None) -> int:
        if dir_fd is not None or (isinstance(path, str | Path) and Path(path).is_dir()):
            raise PermissionError(13, "Permission denied", str(path))
        return opening(path, flags, *mode)  # type: ignore[arg-type]

    monkeypatch.setitem(sys.modules, "msvcrt", types.SimpleNamespace(locking=_byte_lock, LK_NBLCK=2))
    monkeypatch.setattr(private_folder, "_HAS_HANDLES", False)
    monkeypatch.setattr(os, "open", open_file)
    for missing in ("fchmod", "O_DIRECTORY"):
        monkeypatch.delattr(os, missing, raising=False)
    exchanged_names._rename.cache_clear()
    monkeypatch.setattr(sys, "platform", "win32")
    yield
    monkeypatch.undo()
    exchanged_names._rename.cache_clear()


def scanner(monkeypatch: pytest.MonkeyPatch, times: int, meanwhile: Callable[[], object] = lambda: None) -> list[str]:
    """Have a page open for so many attempts to replace it. Return the names of the files it was asked for."""
    replace, asked = os.replace, list[str]()

    def refused(source: str, target: str, **handles: int | None) -> None:
        if Path(target).name == f"{DAY}.toml":
            asked.append(Path(source).name)
            if len(asked) <= times:
                meanwhile()
                raise PermissionError(13, "The process cannot access the file because it is being used", str(target))
        replace(source, target, **handles)

    monkeypatch.setattr(os, "replace", refused)
    return asked


def save(folder: Path, mood: int = 4) -> writing.Saved | writing.Conflict:
    base = writing.Base(DAY, f"2025/{DAY}.toml", b"mood = 3 # so far\n")
    return writing.save(folder, DAY, base, {("mood",): mood}, now=NOW)


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in (folder / "2025").iterdir())


@pytest.mark.usefixtures("windows")
def test_a_page_that_is_in_use_for_a_moment_is_saved(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = scanner(monkeypatch, 3)
    assert isinstance(save(folder), writing.Saved)
    assert len(asked) == 4
    assert (folder / "2025" / f"{DAY}.toml").read_bytes() == b"mood = 4 # so far\n"
    assert names(folder) == [f"{DAY}.toml"]


@pytest.mark.usefixtures("windows")
def test_a_page_that_stays_in_use_is_told_and_left(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(busy_files, "PATIENCE_SECONDS", 0.05)
    scanner(monkeypatch, 1000)
    with pytest.raises(WriteError, match=rf"{DAY}\.toml"):
        save(folder)
    assert (folder / "2025" / f"{DAY}.toml").read_bytes() == b"mood = 3 # so far\n"
    assert names(folder) == [f"{DAY}.toml"]


@pytest.mark.usefixtures("windows")
def test_what_is_written_while_a_page_is_in_use_is_merged(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page = folder / "2025" / f"{DAY}.toml"
    scanner(monkeypatch, 1, lambda: page.write_text('mood = 3 # so far\nmemory = "Sewn."\n', encoding="utf-8"))
    saved = save(folder)
    assert isinstance(saved, writing.Saved) and saved.merged
    assert page.read_text(encoding="utf-8") == 'mood = 4 # so far\nmemory = "Sewn."\n'


def test_elsewhere_a_refusal_is_told_at_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    calls = list[int]()

    def refused() -> None:
        calls.append(1)
        raise PermissionError(13, "Permission denied")

    with pytest.raises(PermissionError):
        busy_files.patiently(refused)
    assert calls == [1]


@pytest.mark.usefixtures("windows")
def test_a_lock_of_msvcrt_keeps_a_second_writer_waiting(folder: Path) -> None:
    held, order = threading.Event(), list[str]()

    def first() -> None:
        with locking.write_lock(folder):
            held.set()
            time.sleep(0.1)
            order.append("first")

    other = threading.Thread(target=first)
    other.start()
    assert held.wait(5)
    with pytest.raises(WriteError, match="another Duskbook"), locking.write_lock(folder, patience_seconds=0):
        pass
    with locking.write_lock(folder, patience_seconds=5):
        order.append("second")
    other.join()
    assert order == ["first", "second"]


@pytest.mark.usefixtures("windows")
def test_the_history_of_a_page_is_kept_without_handles_of_folders(folder: Path) -> None:
    assert isinstance(save(folder), writing.Saved)
    assert isinstance(writing.save(folder, DAY, writing.look(folder, DAY), {("energy",): 2}, now=NOW), writing.Saved)
    after = writing.look(folder, DAY)
    states = [state.data for state in history.states(folder, DAY, after.data)]
    assert states == [b"mood = 3 # so far\n", b"mood = 4 # so far\n", after.data]


def test_a_name_that_windows_takes_for_something_else_is_told() -> None:
    others = ("C:a.jpg", "a\\b.jpg", "nul.jpg", "COM1.png", "lpt9 .jpg", "a.jpg ", "a?.jpg", "a.jpg.")
    assert [name for name in others if picture_names.fault(name) is None] == []
    alike = ("console.jpg", "com.jpg", "com10.jpg", "2025-03-14-nul.jpg")
    assert [name for name in alike if picture_names.fault(name) is not None] == []


def test_a_picture_is_found_by_its_name_in_either_spelling(folder: Path) -> None:
    composed, apart = (unicodedata.normalize(form, "2025-03-14-štruca.jpg") for form in ("NFC", "NFD"))
    assert composed != apart
    (folder / "2025" / apart).write_bytes(jpeg(1, 48, 36))
    page = f'pictures = ["{composed}"]\n[captions]\n"{composed}" = "Bread."\n'
    (folder / "2025" / f"{DAY}.toml").write_text(page, encoding="utf-8")
    assert picture_files.look(folder / "2025" / composed).width == 48
    assert [*picture_files.problems(folder, [(f"2025/{DAY}.toml", f"2025/{composed}")])] == []
    with pytest.raises(PictureError):
        picture_files.look(folder / "2025" / "2025-03-14-strúca.jpg")
