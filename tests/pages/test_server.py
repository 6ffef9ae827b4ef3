"""The server: its socket, and errors before it starts."""

from __future__ import annotations

import asyncio
import os
from pathlib import Path

import pytest

from journal.errors import FolderError, UsageError
from journal.pages import marimo_library, server
from journal.pages.asgi import Receive, Scope, Send


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

    asyncio.run(server._closing(pages)({"type": "websocket"}, nothing, nothing))  # type: ignore[arg-type]
    with pytest.raises(RuntimeError):
        asyncio.run(server._closing(pages)({"type": "http"}, nothing, nothing))  # type: ignore[arg-type]


def test_every_page_has_its_notebook() -> None:
    for page in server.PAGES:
        assert (server.notebook_folder() / f"{page}.py").is_file()
