"""The server: its socket, and errors before it starts."""

from __future__ import annotations

import asyncio
import os
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from starlette.requests import Request

from journal.errors import FolderError, UsageError
from journal.pages import marimo_library, server
from journal.pages.asgi import Message, Receive, Scope, Send
from journal.pages.mounted_notebooks import MountedNotebooks


def test_an_invalid_page_or_folder_raises_before_any_announcement(tmp_path: Path) -> None:
    announced: list[str] = []
    with pytest.raises(UsageError, match=r'there is no page "dawn"; write .*month, year or settings'):
        server.serve(tmp_path, "dawn", open_browser=False, announce=announced.append)
    with pytest.raises(FolderError, match=r"journal\.toml"):
        server.serve(tmp_path, "week", open_browser=False, announce=announced.append)
    assert announced == []


def test_the_environment_is_restored(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", "/somewhere")
    monkeypatch.delenv("XDG_STATE_HOME", raising=False)
    with marimo_library._nothing_kept_at_home():
        assert os.environ["XDG_CACHE_HOME"] == os.environ["XDG_STATE_HOME"] == os.devnull
    assert os.environ["XDG_CACHE_HOME"] == "/somewhere"
    assert "XDG_STATE_HOME" not in os.environ


def test_a_closing_tab_is_no_error_and_a_failing_page_is_one() -> None:
    async def pages(scope: Scope, receive: Receive, send: Send) -> None:
        raise RuntimeError("it is not connected")

    async def nothing(*_: object) -> dict[str, object]:
        return {}

    notebooks = mounted(lambda: pages)
    asyncio.run(notebooks({"type": "websocket"}, nothing, nothing))  # type: ignore[arg-type]
    with pytest.raises(RuntimeError, match="it is not connected"):
        asyncio.run(notebooks({"type": "http"}, nothing, nothing))  # type: ignore[arg-type]


def test_a_page_that_is_left_while_it_sends_is_no_error() -> None:
    """A reload while a form was saved filled the terminal with what went wrong inside of the libraries."""

    async def pages(scope: Scope, receive: Receive, send: Send) -> None:
        await Request(scope, receive).body()

    async def gone() -> Message:
        return {"type": "http.disconnect"}

    async def nobody(message: Message) -> None:
        pytest.fail(str(message))

    asyncio.run(mounted(lambda: pages)({"type": "http", "method": "POST"}, gone, nobody))


def assert_set(ready: threading.Event) -> None:
    assert ready.wait(20)


def mounted(make: Callable[[], object], ready: threading.Event | None = None) -> MountedNotebooks:
    """Notebooks that are made by a function, when they may be."""
    notebooks = MountedNotebooks(server.notebook_folder(), server.PAGES)
    notebooks._mounted = make  # type: ignore[method-assign]
    notebooks.begin(after=lambda: None if ready is None else assert_set(ready))
    return notebooks


def asked(notebooks: MountedNotebooks, end: Callable[[], None] = lambda: None) -> list[Message]:
    """What is sent for two requests at once, a page's and a websocket's. `end` is called while they wait."""
    sent: list[Message] = []

    async def nothing() -> Message:
        return {}

    async def send(message: Message) -> None:
        sent.append(message)

    async def ask() -> None:
        requests = [asyncio.ensure_future(notebooks({"type": kind}, nothing, send)) for kind in ("http", "websocket")]
        await asyncio.sleep(0.05)
        end()
        await asyncio.gather(*requests)

    asyncio.run(ask())
    return sent


def test_requests_wait_for_the_notebooks_and_one_given_up_takes_them_from_nobody() -> None:
    ready = threading.Event()

    async def pages(scope: Scope, receive: Receive, send: Send) -> None:
        await send({"type": scope["type"]})

    notebooks = mounted(lambda: pages, ready)

    async def given_up() -> None:
        with pytest.raises(TimeoutError):
            await asyncio.wait_for(notebooks({"type": "http"}, None, None), 0.02)  # type: ignore[arg-type]

    asyncio.run(given_up())
    assert asked(notebooks, ready.set) == [{"type": "http"}, {"type": "websocket"}]


def test_requests_that_wait_are_refused_at_the_end_of_the_server() -> None:
    ready = threading.Event()
    notebooks = mounted(lambda: pytest.fail("made"), ready)
    sent = asked(notebooks, notebooks.end)
    ready.set()
    assert [(message["type"], message.get("status"), message.get("code")) for message in sent] == [
        ("http.response.start", 503, None), ("http.response.body", None, None), ("websocket.close", None, 1001)
    ]  # fmt: skip

    async def life() -> list[str]:
        told = iter([{"type": "lifespan.startup"}, {"type": "lifespan.shutdown"}])
        said: list[str] = []

        async def receive() -> Message:
            return next(told)

        async def send(message: Message) -> None:
            said.append(message["type"])

        await notebooks({"type": "lifespan"}, receive, send)
        return said

    assert asyncio.run(life()) == ["lifespan.startup.complete", "lifespan.shutdown.complete"]


def test_a_fault_in_making_the_notebooks_is_told_to_each_request() -> None:
    notebooks = mounted(lambda: 1 / 0)
    for _ in range(2):
        with pytest.raises(ZeroDivisionError):
            asked(notebooks)


def test_every_page_has_its_notebook() -> None:
    for page in server.PAGES:
        assert (server.notebook_folder() / f"{page}.py").is_file()
