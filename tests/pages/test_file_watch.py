"""Edits of the journal's files are seen by every open page, with one thread that looks."""

from __future__ import annotations

import queue
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from journal.folder import discover, folder_signals
from journal.pages import file_watch, page_sessions

Session = Callable[[Callable[[], None]], threading.Thread]


@pytest.fixture(params=["signals", "looks"])
def folder(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A journal, on a system with signals for its files and on one without."""
    if request.param == "looks":
        monkeypatch.setattr(folder_signals, "_LOCAL", {})
    (tmp_path / "journal.toml").write_text('title = "t"')
    (tmp_path / "2025-03-14.toml").write_text("mood = 3")
    return tmp_path


@pytest.fixture
def session(monkeypatch: pytest.MonkeyPatch) -> Iterator[Session]:
    """A function that begins a session with a call, as a notebook's cell. The sessions end with the test."""
    monkeypatch.setattr(page_sessions, "_TOGETHER_SECONDS", 0)
    others, leave = set(threading.enumerate()), threading.Event()

    def begin(first: Callable[[], None]) -> threading.Thread:
        began = threading.Event()

        def run() -> None:
            first()
            began.set()
            leave.wait()

        thread = threading.Thread(target=run, daemon=True)
        thread.start()
        assert began.wait(60)
        return thread

    yield begin
    leave.set()
    for thread in set(threading.enumerate()) - others:
        thread.join(60)
        assert not thread.is_alive(), f"{thread.name} outlives its session"


def test_the_state_of_the_files_changes_only_after_an_edit(folder: Path) -> None:
    (folder / ".cache").mkdir()
    before = file_watch.seen(folder)
    (folder / ".cache" / "x.toml").write_text("a = 1")
    assert file_watch.seen(folder) == before
    (folder / "2025-03-14.toml").write_text("mood = 33")
    edited = file_watch.seen(folder)
    assert edited != before
    (folder / "journal.toml").unlink()
    assert file_watch.seen(folder) != edited


@pytest.mark.skipif(sys.platform != "linux", reason="signals of Linux")
def test_with_signals_nobody_looks_while_nothing_happens(
    tmp_path: Path, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    looks: list[Path] = []
    find = discover.find

    def counted(folder: Path, *, keeps: bool = False) -> discover.Discovery:
        looks.append(folder)
        return find(folder, keeps=keeps)

    monkeypatch.setattr(discover, "find", counted)
    told = threading.Event()
    page = tmp_path / "2025-03-14.toml"
    page.write_text("mood = 3")
    session(lambda: file_watch.start(tmp_path, file_watch.seen(tmp_path), told.set))
    time.sleep(0.5)
    before = len(looks)
    time.sleep(1)
    assert len(looks) == before <= 5
    with page.open("r+") as file:  # in place, as some editors save
        file.write("mood = 4")
    assert told.wait(60)


def test_each_open_page_is_told_once_of_an_edit_by_one_thread(folder: Path, session: Session) -> None:
    before = file_watch.seen(folder)
    (folder / "2025-03-14.toml").write_text("mood = 44")  # while the first page was reading
    told: queue.Queue[str] = queue.Queue()
    session(lambda: file_watch.start(folder, before, lambda: told.put("first")))
    assert told.get(timeout=60) == "first"
    for name in ("second", "third"):
        session(lambda name=name: file_watch.start(folder, file_watch.seen(folder), lambda: told.put(name)))  # type: ignore[misc]
    assert [thread.name for thread in threading.enumerate()].count("file watch") == 1
    (folder / "2025-03-14.toml").write_text("mood = 555")
    assert {told.get(timeout=60) for _ in range(3)} == {"first", "second", "third"}
    assert told.empty()


def test_a_page_that_is_opened_after_all_others_were_closed_is_told_too(folder: Path, session: Session) -> None:
    told = threading.Event()
    closed = threading.Thread(target=lambda: file_watch.start(folder, file_watch.seen(folder), lambda: None))
    closed.start()
    closed.join()
    for thread in [thread for thread in threading.enumerate() if thread.name in ("file watch", "end of a page")]:
        thread.join(60)
    session(lambda: file_watch.start(folder, file_watch.seen(folder), told.set))
    (folder / "2025-03-15.toml").write_text("mood = 3")
    assert told.wait(60)
