"""Pages opened as a browser opens them, without drawing them: the page, then its websocket until all cells have run.

What a page costs the server is the same, and a thousand pages need no Chromium.
"""

from __future__ import annotations

import contextlib
import http.cookiejar
import json
import re
import secrets
import urllib.parse
import urllib.request
from types import TracebackType

from websockets.sync.client import ClientConnection, connect  # comes with marimo
from websockets.typing import Origin

PAGES = ("day", "evening", "week", "month", "year", "settings")
_SECONDS = 60


class Tab:
    """An open page. Its session on the server ends some seconds after `close`."""

    def __init__(self, socket: ClientConnection, closing: contextlib.ExitStack) -> None:
        self._socket = socket
        self._closing = closing

    def wait_until_run(self) -> None:
        """Wait until the page has run once more, as after an edit."""
        _wait_until_run(self._socket)

    def close(self) -> None:
        self._closing.close()


class DrawlessBrowser:
    """A browser that a server has let in. Its tabs are closed with it."""

    def __init__(self, address: str, code: str) -> None:
        self._origin = address.rstrip("/")
        self._cookies = http.cookiejar.CookieJar()
        handlers = urllib.request.ProxyHandler({}), urllib.request.HTTPCookieProcessor(self._cookies)
        self._client = urllib.request.build_opener(*handlers)
        form = urllib.parse.urlencode({"code": code, "to": "/week/"}).encode()
        answer = self._read(urllib.request.Request(f"{self._origin}/enter", form, {"Origin": self._origin}))
        self._root = self._origin + re.findall(r'location\.replace\("(/[^/"]+)/', answer)[0]
        self._window_key = re.findall(r'setItem\("[^"]+", "([^"]+)"\)', answer)[0]
        self._closing = contextlib.ExitStack()

    def __enter__(self) -> DrawlessBrowser:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._closing.close()

    def open(self, page: str, **query: str) -> Tab:
        """Open a page, and wait until it is complete."""
        self._read(urllib.request.Request(f"{self._root}/{page}/"))
        session = {"session_id": f"s_{secrets.token_hex(3)}", "window": self._window_key}
        address = f"{self._root}/{page}/ws?{urllib.parse.urlencode(session | query)}".replace("http:", "ws:", 1)
        cookies = "; ".join(f"{cookie.name}={cookie.value}" for cookie in self._cookies)
        closing = self._closing.enter_context(contextlib.ExitStack())
        socket = closing.enter_context(
            connect(
                address,
                origin=Origin(self._origin),
                additional_headers={"Cookie": cookies},
                max_size=None,
                compression=None,
                proxy=None,
            )
        )
        _wait_until_run(socket)
        return Tab(socket, closing)

    def _read(self, request: urllib.request.Request) -> str:
        with self._client.open(request, timeout=_SECONDS) as answer:
            return str(answer.read().decode())


def _wait_until_run(socket: ClientConnection) -> None:
    while json.loads(socket.recv(timeout=_SECONDS))["op"] != "completed-run":
        pass
