"""The connections of clients that are not let in: few, short, and given up without a word.

Any program of this machine can connect, and each connection costs the server one of its few file descriptors. So the
connections of strangers are bounded, and the oldest is given up first. A connection belongs to a stranger until the
guard has seen the session's cookie in a request of it. From then on it has no bound: the owner's open window goes on.
"""

from __future__ import annotations

import asyncio
import contextlib
import errno
import functools
import logging
import socket
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, cast

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from journal.pages.asgi import CONNECTION, App
from journal.pages.exchange import cookie_values

STRANGERS = 64
SECONDS = 10.0
"""How long a connection of a stranger lives, in all. A browser makes another one by itself."""

_ACCEPTED_AT_ONCE = 16  # a request has arrived, and is read, before this many others were accepted four times
_WAITING = 512  # connections that the system holds until they are accepted
_HEADER_BYTES = 1_048_576  # a browser sends up to 180 cookies of 4 kB, set by whatever program, to every port
_SHORT_OF = frozenset({errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM})
_TICK_SECONDS = 0.5  # Ctrl-C ends the server after this time at the latest


class Strangers:
    """The open connections of clients that are not let in, the oldest first. At most `bound` of them stay open."""

    def __init__(self, bound: int) -> None:
        self.bound = bound
        self._open: dict[Connection, None] = {}

    def add(self, connection: Connection) -> None:
        self._open[connection] = None
        self.keep(self.bound)

    def remove(self, connection: Connection) -> None:
        self._open.pop(connection, None)

    def keep(self, number: int) -> None:
        """Give up the oldest connections until at most `number` are open."""
        while len(self._open) > number:
            next(iter(self._open)).give_up()


class Connection(H11Protocol):
    """A connection. The state of its requests has it as `CONNECTION`. `cookie` is the name of the session's cookie."""

    def __init__(
        self,
        strangers: Strangers,
        cookie: str,
        config: uvicorn.Config,
        server_state: Any,
        app_state: dict[str, Any],
        _loop: Any = None,
    ) -> None:
        super().__init__(config, server_state, {**app_state, CONNECTION: self}, _loop)
        self._strangers = strangers
        self._cookie = cookie
        self._timer: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._timer = self.loop.call_later(SECONDS, self.give_up)
        self._strangers.add(self)

    def handle_websocket_upgrade(self, event: Any) -> None:
        # What reads the handshake takes lines of 8 kB at most, and the cookies of other programs may be longer.
        shown = [value.decode("latin-1") for name, value in self.headers if name == b"cookie"]
        ours = [value for value in cookie_values(shown, self._cookie) if len(value) < 100][:4]
        others = [(name, value) for name, value in self.headers if name != b"cookie"]
        self.headers = [*others, *((b"cookie", f"{self._cookie}={value}".encode("latin-1")) for value in ours)]
        super().handle_websocket_upgrade(event)

    def connection_lost(self, exc: Exception | None) -> None:
        super().connection_lost(exc)
        self.let_in()

    def let_in(self) -> None:
        """From now on, the client is none of the strangers."""
        self._strangers.remove(self)
        if self._timer is not None:
            self._timer.cancel()

    def give_up(self) -> None:
        """Close the connection at once."""
        self.let_in()
        self.transport.abort()


class BoundedServer(uvicorn.Server):
    """A server whose connections of strangers are bounded. Too many of them are reported nowhere.

    With `idle_seconds` it ends when nobody has been connected for so long: each open page has a connection. `at_end` is
    called before requests that are under way are waited for.
    """

    def __init__(
        self, app: App, cookie: str, idle_seconds: float | None = None, at_end: Callable[[], None] = lambda: None
    ) -> None:
        self.idle_seconds, self.at_end = idle_seconds, at_end
        self.strangers = Strangers(_bound())
        super().__init__(
            uvicorn.Config(
                cast(Any, app),
                http=cast(Any, functools.partial(Connection, self.strangers, cookie)),
                h11_max_incomplete_event_size=_HEADER_BYTES,
                backlog=_ACCEPTED_AT_ONCE,
                log_level="error",
                access_log=False,
                lifespan="on",
                server_header=False,
                proxy_headers=False,
                timeout_graceful_shutdown=1,
            )
        )
        # The event loop warns of each write to a tab that was just closed.
        logging.getLogger("asyncio").setLevel(logging.ERROR)

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        asyncio.get_running_loop().set_exception_handler(self._handle)
        await super().startup(sockets)
        for listener in sockets or ():
            listener.listen(_WAITING)

    async def main_loop(self) -> None:
        """Wait for the end. uvicorn's own loop wakes ten times a second, which is all that an idle server does."""
        used = time.monotonic()
        while not await self.on_tick(0):  # 0: the date of the answers is set each time
            await asyncio.sleep(_TICK_SECONDS)
            now = time.monotonic()
            if self.idle_seconds is None or self.server_state.connections:
                used = now
            elif now - used > self.idle_seconds:
                return

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self.at_end()
        await super().shutdown(sockets)

    def _handle(self, loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
        error = context.get("exception")
        if isinstance(error, OSError) and error.errno in _SHORT_OF:
            self.strangers.keep(self.strangers.bound // 2)  # the loop accepts again after a second
        else:
            loop.default_exception_handler(context)


def _bound() -> int:
    """How many connections of strangers this process can afford: a quarter of its free file descriptors, at most 64."""
    with contextlib.suppress(ImportError, OSError):
        import resource  # noqa: PLC0415 - not on every system

        allowed, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
        used = sum(1 for _ in Path("/dev/fd").iterdir())
        return min(STRANGERS, max(4, (allowed - used) // 4))
    return STRANGERS
