"""A guard with an application behind it that records what reaches it, and a client of both."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from journal.pages import server_secrets
from journal.pages.asgi import Message, Receive, Scope, Send
from journal.pages.entrance import Entrance
from journal.pages.guard import Guard

PORT, HOST = 8420, "127.0.0.1:8420"
ORIGIN = f"http://{HOST}"


class Behind:
    """The application behind the guard. It records requests, and answers with a page that has two scripts."""

    def __init__(self) -> None:
        self.reached: list[tuple[str, str]] = []

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        self.reached.append((scope["type"], scope.get("path", "")))
        if scope["type"] == "http":
            theirs = [(b"content-type", b"text/html"), (b"etag", b"x"), (b"access-control-allow-origin", b"*")]
            await send({"type": "http.response.start", "status": 200, "headers": theirs})
            await send({"type": "http.response.body", "body": b"<script>one()</script>", "more_body": True})
            await send({"type": "http.response.body", "body": b'<script src="a.js"></script><SCRIPT x>two()</SCRIPT>'})
        elif scope["type"] == "websocket":
            await send({"type": "websocket.accept"})


class Answer:
    def __init__(self, sent: list[Message]) -> None:
        self.sent = sent
        start = next((m for m in sent if m["type"] == "http.response.start"), {})
        self.status: int = start.get("status", 0)
        self.headers: dict[str, str] = {key.decode(): value.decode() for key, value in start.get("headers", [])}
        content = b"".join(m.get("body", b"") for m in sent if m["type"] == "http.response.body")
        self.body = content.decode(errors="replace")  # a picture is no text


def guarded(behind: Behind, pages: tuple[str, ...] = ("week", "month", "year")) -> Guard:
    """A guard with secrets that are kept nowhere."""
    secrets = server_secrets.lasting(Path("/proc/no such folder"))
    return Guard(behind, pages=pages, secrets=secrets, entrance=Entrance(PORT))


def cookie(guard: Guard) -> str:
    """The cookie of a browser that is let in."""
    return f"{guard.exchange.cookie}={guard.entrance.cookie_value}"


def ask(guard: Guard, path: str, **request: str) -> Answer:
    """Send one request to a path below the secret one. The other arguments are those of `ask_at`."""
    return ask_at(guard, f"/{guard.prefix}{path}", **request)


def ask_at(
    guard: Guard, path: str, *, method: str = "GET", kind: str = "http", body: str = "", **headers: str
) -> Answer:
    """Send one request. Headers have underscores for hyphens. Host is the right one unless given."""
    where, _, query = path.partition("?")
    named = {"host": HOST} | {key.replace("_", "-"): value for key, value in headers.items()}
    scope: dict[str, Any] = {
        "type": kind,
        "path": where,
        "query_string": query.encode(),
        "headers": [(key.encode(), value.encode("latin-1")) for key, value in named.items()],
    }
    if kind == "http":
        scope["method"] = method
    sent: list[Message] = []

    async def receive() -> Mapping[str, Any]:
        return {"type": "websocket.connect" if kind == "websocket" else "http.request", "body": body.encode()}

    async def send(message: Message) -> None:
        sent.append(message)

    asyncio.run(guard(scope, receive, send))  # type: ignore[arg-type]
    return Answer(sent)


def enter(guard: Guard, origin: str = ORIGIN, site: str = "same-origin", **fields: str) -> Answer:
    """Post to the exchange, as a page of this server unless another origin is given."""
    return ask_at(guard, "/enter", method="POST", body=urlencode(fields), origin=origin, sec_fetch_site=site)
