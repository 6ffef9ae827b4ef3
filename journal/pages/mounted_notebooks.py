"""The notebooks of all pages as one application, made when the first page was given: marimo takes a second to start."""

from __future__ import annotations

import asyncio
import concurrent.futures
import contextlib
import importlib
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from journal.pages import marimo_library
from journal.pages.asgi import Message, Receive, Scope, Send

# Seconds that the session of a closed page lives on, and reruns at every edit, in case the page reconnects. A reload
# starts a new session anyway, and so does a page that lost its connection for longer.
_SESSION_SECONDS = 5
# What a first sight takes longest to import, where none was drawn yet because no browser was opened.
_OF_SIGHTS = ("journal.tables", "journal.charts.month_grid", "journal.sections.cards")


class MountedNotebooks:
    """An ASGI application with the notebooks of the pages, each below its name. Requests wait until it is made."""

    def __init__(self, folder: Path, pages: Sequence[str]) -> None:
        self.folder, self.pages = folder, pages
        self._made: concurrent.futures.Future[Any] = concurrent.futures.Future()

    def begin(self, *, after: Callable[[], None] = lambda: None, then: Callable[[], None] = lambda: None) -> None:
        """Make it in a thread of its own, once `after` returns, which may take long. Then call `then`."""
        threading.Thread(target=self._make, args=(after, then), name="notebooks", daemon=True).start()

    def end(self) -> None:
        """Let no request wait any longer: the server ends."""
        self._made.cancel()

    def _make(self, after: Callable[[], None], then: Callable[[], None]) -> None:
        with contextlib.suppress(concurrent.futures.InvalidStateError):  # the server has ended
            try:
                after()
                if not self._made.cancelled():
                    self._made.set_result(self._mounted())
            except Exception as error:  # told to whoever asks
                self._made.set_exception(error)
        then()
        for module in _OF_SIGHTS:
            importlib.import_module(module)

    def _mounted(self) -> Any:
        builder = marimo_library.imported().create_asgi_app(
            include_code=False,
            quiet=True,
            skew_protection=True,
            session_ttl=_SESSION_SECONDS,
            asset_url=f"../{self.pages[0]}",  # all pages share the scripts of the first, so the browser loads them once
        )
        for page in self.pages:
            builder = builder.with_app(path=f"/{page}", root=str(self.folder / f"{page}.py"))
        return builder.build()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self._live(receive, send)
            return
        try:
            pages = await asyncio.shield(asyncio.wrap_future(self._made))
        except asyncio.CancelledError:
            if not self._made.cancelled():
                raise
            await _refuse(scope, send)
            return
        if scope["type"] == "websocket":
            # A tab was closed just before marimo received from it again. Nothing needs to be reported.
            with contextlib.suppress(RuntimeError):
                await pages(scope, receive, send)
        else:
            client = _Client(receive)
            try:
                await pages(scope, client, send)
            except Exception:
                if not client.has_gone:
                    raise

    async def _live(self, receive: Receive, send: Send) -> None:
        """Answer the server's start and end. At its end sessions are closed: one would keep the process alive."""
        await receive()
        await send({"type": "lifespan.startup.complete"})
        await receive()
        is_made = self._made.done() and not self._made.cancelled() and not self._made.exception()
        for mounted in self._made.result().routes if is_made else ():
            sessions = getattr(getattr(mounted.app, "state", None), "session_manager", None)
            if sessions is not None:
                await sessions.shutdown()
        await send({"type": "lifespan.shutdown.complete"})


class _Client:
    """A `receive` that knows whether the client has gone: a page that was left, or loaded again, while it was sending.

    marimo raises an error then, which no one waits for.
    """

    def __init__(self, receive: Receive) -> None:
        self.receive = receive
        self.has_gone = False

    async def __call__(self) -> Message:
        message = await self.receive()
        self.has_gone = self.has_gone or message["type"] == "http.disconnect"
        return message


async def _refuse(scope: Scope, send: Send) -> None:
    """Answer a request that comes too late."""
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1001})
        return
    await send({"type": "http.response.start", "status": 503, "headers": [(b"content-length", b"0")]})
    await send({"type": "http.response.body", "body": b""})
