"""The server: its socket, and errors before it starts."""

from __future__ import annotations

import asyncio
import os
import socket
from pathlib import Path

import pytest

from journal.errors import FolderError, UsageError
from journal.pages import server
from journal.pages.asgi import Receive, Scope, Send


def test_it_listens_on_the_loopback_address_only() -> None:
    with server.listening(0) as listener:
        assert listener.getsockname()[0] == "127.0.0.1"


def test_the_next_free_port_replaces_a_taken_one() -> None:
    with server.listening(0) as first:
        taken = first.getsockname()[1]
        with server.listening(taken) as second:
            assert taken < second.getsockname()[1] <= taken + 64


def test_the_socket_is_closed_afterwards() -> None:
    with server.listening(0) as listener:
        port = listener.getsockname()[1]
    with socket.socket() as free:
        free.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        free.bind(("127.0.0.1", port))


@pytest.mark.parametrize("port", [-1, 65536])
def test_an_invalid_port_raises(port: int) -> None:
    with pytest.raises(UsageError, match=f"there is no port {port}"), server.listening(port):
        pass


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
    with server._nothing_kept_at_home():
        assert os.environ["XDG_CACHE_HOME"] == os.environ["XDG_STATE_HOME"] == os.devnull
    assert os.environ["XDG_CACHE_HOME"] == "/somewhere"
    assert "XDG_STATE_HOME" not in os.environ


def test_a_closing_tab_is_no_error_and_a_failing_page_is_one() -> None:
    async def pages(scope: Scope, receive: Receive, send: Send) -> None:
        raise RuntimeError("it is not connected")

    async def nothing(*_: object) -> dict[str, object]:
        return {}

    asyncio.run(server._closing(pages)({"type": "websocket"}, nothing, nothing))  # type: ignore[arg-type]
    with pytest.raises(RuntimeError):
        asyncio.run(server._closing(pages)({"type": "http"}, nothing, nothing))  # type: ignore[arg-type]


def test_every_page_has_its_notebook() -> None:
    for page in server.PAGES:
        assert (server.notebook_folder() / f"{page}.py").is_file()
