"""Connections of strangers: bounded in number and time, quietly; those that are let in have no bound."""

from __future__ import annotations

import asyncio
import errno
import socket
import time
from collections.abc import Awaitable, Callable
from typing import Any

import pytest

from journal.pages import connections
from journal.pages.asgi import CONNECTION, Receive, Scope, Send
from journal.pages.connections import BoundedServer
from journal.pages.listeners import listening

REQUEST = b"GET / HTTP/1.1\r\nHost: x\r\n\r\n"
Body = Callable[[int, BoundedServer], Awaitable[None]]
Stream = tuple[asyncio.StreamReader, asyncio.StreamWriter]


async def _app(scope: Scope, receive: Receive, send: Send) -> None:
    """Lets in who asks for "/in". Answers "/" with its cookie headers."""
    if scope["type"] == "lifespan":
        for done in ("startup", "shutdown"):
            await receive()
            await send({"type": f"lifespan.{done}.complete"})
        return
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.accept"})
        shown = [value for name, value in scope["headers"] if name == b"cookie"]
        await send({"type": "websocket.send", "text": b";".join(shown).decode()})
        return
    if scope["path"] == "/in":
        scope["state"][CONNECTION].let_in()
    await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"2")]})
    await send({"type": "http.response.body", "body": b"ok"})


def served(body: Body) -> None:
    """Run `body` beside a server."""

    async def run() -> None:
        with listening(0) as listeners:
            bounded = BoundedServer(_app, "duskbook_8420")
            serving = asyncio.create_task(bounded._serve(listeners))
            while not bounded.started:
                await asyncio.sleep(0.005)
            await body(listeners[0].getsockname()[1], bounded)
            bounded.should_exit = True
            await serving

    asyncio.run(run())


async def _ask(stream: Stream, request: bytes = REQUEST) -> bytes:
    reader, writer = stream
    writer.write(request)
    return await asyncio.wait_for(reader.read(1000), 5)


async def _is_closed(stream: Stream) -> bool:
    try:
        return await asyncio.wait_for(stream[0].read(1), 0.05) == b""
    except ConnectionError:
        return True
    except TimeoutError:
        return False


async def _close(*streams: Stream) -> None:
    for _, writer in streams:
        writer.transport.abort()
    await asyncio.sleep(0)


def test_the_oldest_stranger_is_given_up_and_nobody_who_is_let_in(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "STRANGERS", 3)

    async def body(port: int, bounded: BoundedServer) -> None:
        owner = await asyncio.open_connection("127.0.0.1", port)
        assert (await _ask(owner, REQUEST.replace(b"/ ", b"/in ", 1))).endswith(b"ok")
        strangers = [await asyncio.open_connection("127.0.0.1", port) for _ in range(5)]
        assert [await _is_closed(stranger) for stranger in strangers] == [True, True, False, False, False]
        assert (await _ask(owner)).endswith(b"ok") and (await _ask(strangers[4])).endswith(b"ok")
        await _close(owner, *strangers)

    served(body)


def test_a_stranger_stays_ten_seconds_however_slowly_it_writes(monkeypatch: pytest.MonkeyPatch) -> None:
    assert connections.SECONDS == 10
    monkeypatch.setattr(connections, "SECONDS", 0.3)

    async def body(port: int, bounded: BoundedServer) -> None:
        owner = await asyncio.open_connection("127.0.0.1", port)
        await _ask(owner, REQUEST.replace(b"/ ", b"/in ", 1))
        slow = await asyncio.open_connection("127.0.0.1", port)
        for byte in b"GET / H":
            slow[1].write(bytes([byte]))
            await asyncio.sleep(0.05)
        assert await _is_closed(slow) and not await _is_closed(owner)
        assert (await _ask(owner)).endswith(b"ok")
        await _close(owner, slow)

    served(body)


@pytest.mark.parametrize("number", [errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM])
def test_a_lack_of_descriptors_is_no_message_and_frees_some(
    number: int, capsys: pytest.CaptureFixture[str], caplog: pytest.LogCaptureFixture
) -> None:
    async def body(port: int, bounded: BoundedServer) -> None:
        strangers = [await asyncio.open_connection("127.0.0.1", port) for _ in range(6)]
        await asyncio.sleep(0.05)
        bounded.strangers.bound = 4
        context = {"message": "socket.accept() out of system resource", "exception": OSError(number, "")}
        asyncio.get_running_loop().call_exception_handler(context)
        assert [await _is_closed(stranger) for stranger in strangers] == [True] * 4 + [False] * 2
        await _close(*strangers)

    served(body)
    assert capsys.readouterr() == ("", "") and caplog.records == []


def test_other_failures_are_still_reported(caplog: pytest.LogCaptureFixture) -> None:
    async def body(port: int, bounded: BoundedServer) -> None:
        asyncio.get_running_loop().call_exception_handler({"message": "a bug", "exception": OSError(5, "")})

    served(body)
    assert [record.getMessage().split("\n")[0] for record in caplog.records] == ["a bug"]


def test_a_websocket_gets_our_cookie_among_longer_ones() -> None:
    """The reader of the handshake allows lines of 8 kB; a browser sends all cookies of the address in one."""
    cookies = f'x={"y" * 30_000}; duskbook_8420=right; duskbook_8420={"z" * 9_000}; user={{"name":"Ana"}}'
    head = (
        "GET /ws HTTP/1.1\r\nHost: x\r\nConnection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\n"
        f"Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nCookie: {cookies}\r\n\r\n"
    )

    async def body(port: int, bounded: BoundedServer) -> None:
        stream = await asyncio.open_connection("127.0.0.1", port)
        told = await _ask(stream, head.encode())
        while b"right" not in told:
            told += await asyncio.wait_for(stream[0].read(1000), 5)
        assert told.startswith(b"HTTP/1.1 101") and told.endswith(b"duskbook_8420=right")
        await _close(stream)

    served(body)


def test_the_bound_leaves_most_descriptors_to_the_journal(monkeypatch: pytest.MonkeyPatch) -> None:
    resource: Any = pytest.importorskip("resource")
    bounds = []
    for allowed in (8, 128, 256, 1024, 1_000_000):
        monkeypatch.setattr(resource, "getrlimit", lambda _, allowed=allowed: (allowed, allowed))
        bounds.append(connections._bound())
    assert bounds[0] == 4 and bounds[-2:] == [64, 64] and bounds == sorted(bounds)
    assert bounds[1] <= 128 // 4
    with socket.socket():
        assert connections._bound() == 64


def test_an_idle_server_seldom_wakes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten times a second was a fifth of a percent of a core, all day long."""
    slept: list[float] = []

    async def sleep(seconds: float) -> None:
        slept.append(seconds)
        server.should_exit = len(slept) == 10

    monkeypatch.setattr(asyncio, "sleep", sleep)
    server = BoundedServer(_app, "cookie")
    server.config.load()
    asyncio.run(server.main_loop())
    assert len(slept) == 10 and sum(slept) >= 4


@pytest.mark.parametrize(("idle_seconds", "ticks"), [(600.0, 600), (None, 2_000)])
def test_a_server_that_is_to_end_by_itself_does_so_once_nobody_is_connected(
    monkeypatch: pytest.MonkeyPatch, idle_seconds: float | None, ticks: int
) -> None:
    """A page is open for 600 seconds, then none for as long."""
    seconds: list[float] = []

    async def sleep(_seconds: float) -> None:
        seconds.append(2.0)
        if len(seconds) == 300:
            server.server_state.connections.clear()
        server.should_exit = len(seconds) == 2_000

    monkeypatch.setattr(asyncio, "sleep", sleep)
    monkeypatch.setattr(time, "monotonic", lambda: sum(seconds))
    server = BoundedServer(_app, "cookie", idle_seconds)
    server.config.load()
    server.server_state.connections.add(object())  # type: ignore[arg-type]  # a connection, whichever
    asyncio.run(server.main_loop())
    assert len(seconds) == ticks
