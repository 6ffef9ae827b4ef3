"""What the process keeps of a page is let go when its session ends."""

from __future__ import annotations

import contextlib
import gc
import importlib
import logging
import threading
import weakref

import pytest

from journal.folder.reading import gc_paused
from journal.pages import page_sessions, server
from journal.pages.chapters_widget import OpenChapters
from journal.pages.forms import ReviewForm
from journal.pages.mounted_notebooks import MountedNotebooks

REGISTRY = importlib.import_module("ipywidgets.widgets.widget")


@pytest.fixture(autouse=True)
def collected_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page_sessions, "_TOGETHER_SECONDS", 0)


def _run_session(target: object) -> None:
    """Run a session, and wait for what follows on its end."""
    others = set(threading.enumerate())
    session = threading.Thread(target=target)  # type: ignore[arg-type]
    session.start()
    session.join(60)
    for thread in set(threading.enumerate()) - others:
        thread.join(60)
        assert not thread.is_alive()


def test_the_widgets_of_a_page_are_freed_with_their_handlers() -> None:
    class Journal:
        """What a handler holds."""

    known = set(REGISTRY._instances)
    held: list[weakref.ref[object]] = []

    def page() -> None:
        book = Journal()
        form = ReviewForm({"period": "2025-W11"}, {"save": lambda _: {"book": str(book)}}, journal="j")
        assert form._display_() is form._display_()
        held.extend(weakref.ref(part) for part in (book, form, OpenChapters("week", journal="j")))
        assert set(REGISTRY._instances) > known

    _run_session(page)
    assert set(REGISTRY._instances) == known
    gc.collect()
    assert [part() for part in held] == [None, None, None]


def test_one_failure_at_the_end_of_a_page_leaves_the_rest_to_be_done(caplog: pytest.LogCaptureFixture) -> None:
    done: list[str] = []

    def fail() -> None:
        raise RuntimeError("broken")

    def page() -> None:
        for end in (lambda: done.append("first"), fail, lambda: done.append("last")):
            page_sessions.at_end(end)

    with caplog.at_level(logging.ERROR):
        _run_session(page)
    assert sorted(done) == ["first", "last"]
    assert "could not be ended" in caplog.text


def test_what_is_made_without_a_session_lasts_as_long_as_the_process() -> None:
    before = threading.active_count()
    page_sessions.at_end(lambda: pytest.fail("ended"))
    assert threading.active_count() == before


def test_garbage_is_collected_once_the_start_is_over_and_whatever_ends_it() -> None:
    with gc_paused():
        assert not gc.isenabled()
        notebooks = MountedNotebooks(server.notebook_folder(), ())
        notebooks.begin(then=gc.enable)
        for thread in threading.enumerate():
            if thread.name == "notebooks":
                thread.join(60)
        assert gc.isenabled()
    with contextlib.suppress(KeyboardInterrupt), gc_paused():
        raise KeyboardInterrupt
    assert gc.isenabled()
