"""The types of ASGI, and what the server reads from a request and sends as an answer.

Every answer has security headers. A page also names the hashes of its inline scripts, so that no others run.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from typing import Any

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]
Headers = list[tuple[bytes, bytes]]

CONNECTION = "connection"
"""The name of a request's connection (`journal.pages.connections`) in the state of its scope."""

_SCRIPT = re.compile(rb"<script(?![^>]*\ssrc=)[^>]*>(.*?)</script>", re.DOTALL | re.IGNORECASE)


class SecuredSend:
    """A `send` that adds the security headers to an answer, and to a page also the hashes of its inline scripts.

    A page is buffered until it is complete, because its inline scripts must be known for the header. A policy that
    lists their SHA-256 hashes (CSP level 2) lets no other inline script run.
    """

    def __init__(self, send: Send, *, is_page: bool, is_asset: bool) -> None:
        self.send = send
        self.is_page = is_page
        self.is_asset = is_asset
        self.start: Message = {}
        self.body = b""

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.start = dict(message)
            if not self.is_page:
                await self._begin(())
        elif not self.is_page:
            await self.send(message)
        else:
            self.body += message.get("body", b"")
            if not message.get("more_body", False):
                await self._begin(_SCRIPT.findall(self.body))
                await self.send({"type": "http.response.body", "body": self.body})

    async def _begin(self, scripts: Iterable[bytes]) -> None:
        # Names of assets contain a hash of their content, so browsers may cache them. Nothing else may be cached.
        cacheable = self.is_asset and self.start["status"] == 200
        caching = b"private, max-age=31536000, immutable" if cacheable else b"no-store"
        ours = [*_security_headers(scripts), (b"cache-control", caching)]
        names = {name for name, _ in ours} | {b"access-control-allow-origin", b"etag", b"server"}
        theirs = [(name, value) for name, value in self.start.get("headers", []) if name.lower() not in names]
        await self.send({**self.start, "headers": theirs + ours})


async def answer(
    send: Send,
    status: int,
    text: str,
    *,
    kind: str = "text/html; charset=utf-8",
    policy: str = "",
    extra: Headers | None = None,
) -> None:
    """Send an answer of our own. Its inline scripts may run, and its forms may post to this server."""
    body = text.encode()
    headers = [
        (b"content-type", kind.encode()),
        (b"content-length", str(len(body)).encode()),
        (b"cache-control", b"no-store"),
    ]
    has_form = b"<form" in body
    headers += _headers(policy) if policy else _security_headers(_SCRIPT.findall(body), has_form=has_form)
    await send({"type": "http.response.start", "status": status, "headers": headers + (extra or [])})
    await send({"type": "http.response.body", "body": body})


async def answer_bytes(send: Send, body: bytes, length: int, *, kind: str, policy: str) -> None:
    """Send bytes of our own, or for a HEAD request none, with the length that they would have."""
    headers = [
        (b"content-type", kind.encode()),
        (b"content-length", str(length).encode()),
        (b"cache-control", b"no-store"),
        *_headers(policy),
    ]
    await send({"type": "http.response.start", "status": 200, "headers": headers})
    await send({"type": "http.response.body", "body": body})


def header(scope: Scope, name: bytes) -> list[str]:
    """The values of a request's header of that name, in their order."""
    return [value.decode("latin-1") for key, value in scope.get("headers", []) if key.lower() == name]


async def short_body(receive: Receive, limit: int) -> str | None:
    """The body of a request as text, or None if it is longer than `limit` bytes or was broken off."""
    body, more = b"", True
    while more:
        message = await receive()
        if message["type"] != "http.request":
            return None
        body += message.get("body", b"")
        more = message.get("more_body", False)
        if len(body) > limit:
            return None
    return body.decode("latin-1")


def _security_headers(scripts: Iterable[bytes] = (), *, has_form: bool = False) -> Headers:
    """The security headers of every answer. `scripts` are the texts of its inline scripts."""
    hashes = [f"'sha256-{base64.b64encode(hashlib.sha256(text).digest()).decode()}'" for text in scripts]
    policy = {
        "default-src": "'none'",
        "script-src": " ".join(["'self'", *hashes]),
        "style-src": "'self' 'unsafe-inline'",  # marimo's frontend sets inline styles
        "img-src": "'self' data:",
        "font-src": "'self' data:",
        "connect-src": "'self'",
        "manifest-src": "'self'",
        "base-uri": "'self'",  # marimo's frontend sets one, for the folder of its scripts
        "form-action": "'self'" if has_form else "'none'",
        "frame-ancestors": "'none'",
    }
    # Without a referrer, the browser would also hide the origin of a form, which must be ours.
    return _headers("; ".join(f"{key} {value}" for key, value in policy.items()), "same-origin" if has_form else "")


def _headers(policy: str, referrer: str = "") -> Headers:
    return [
        (b"content-security-policy", policy.encode()),
        (b"referrer-policy", (referrer or "no-referrer").encode()),
        (b"x-content-type-options", b"nosniff"),
        (b"x-frame-options", b"DENY"),
        (b"cross-origin-opener-policy", b"same-origin"),
        (b"cross-origin-resource-policy", b"same-origin"),
        (b"permissions-policy", b"camera=(), geolocation=(), microphone=(), usb=()"),
    ]
