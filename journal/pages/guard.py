"""The door in front of the pages: who may ask, for what, and what every answer says about itself.

The journal is private, and a server on the loopback address is not: every page in the same browser, and every
program of every user on the machine, can reach it. So each request has to pass, in this order:

1. *Host*: the name it was asked for is the server's own. A name that was pointed at 127.0.0.1 from outside
   (DNS rebinding) is turned away with 421.
2. *Origin* and *Sec-Fetch-Site*: it does not come from another site. A websocket and an unsafe method have to
   name their origin. 403.
3. *Token*: it has the cookie that the address with this start's token was exchanged for. 403, as a page that
   says what to do. The address loses its token in the exchange, so no history or bookmark keeps it.
4. *Allowlist*: it is one of the few things a page asks for. 404.

The cookie is HttpOnly and SameSite=Strict. Cookies do not know ports, so its name holds the port, which keeps two
journals apart; a hostile server on another port of the same machine would be sent it, as it would be sent any
loopback cookie, and this is the one thing a door of this kind cannot shut.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import re
import secrets
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qsl, urlencode

from journal.pages import manual
from journal.sections.escape import Html, entity

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]
Headers = list[tuple[bytes, bytes]]

ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect width="32" height="32" rx="7" '
    'fill="#2B2A4C"/><path d="M6 21a10 10 0 0 1 20 0z" fill="#E2A46E"/>'
    '<path d="M4 24.5h24" stroke="#F6DE9E" stroke-width="2" stroke-linecap="round"/></svg>'
)
"""A sun half set behind the edge of a page."""

# What the pages ask of a notebook: itself, its scripts and fonts, its live connection, and the posts that tell it
# of a choice. Everything else that the part underneath answers (files, code, packages, terminals) stays shut.
# The one file that a notebook makes itself is its form's script, "@file/40213-....js" by its length and a random name.
_READ = re.compile(r"(|assets/\w[\w.~@-]*|@file/\d+-\w[\w-]*\.js|manifest\.json|health)", re.ASCII)
# The forms' own modules, for all pages at one address that holds a digest of them (`journal.pages.browser_modules`).
_MODULE = re.compile(r"/browser/[0-9a-f]{16}/[a-z]\w*\.js", re.ASCII)
_POST = frozenset({"api/kernel/set_ui_element_value", "api/kernel/set_model_value", "api/kernel/function_call"})
_SOCKET = "ws"
MANUAL = "manual"

_SCRIPT = re.compile(rb"<script(?![^>]*\ssrc=)[^>]*>(.*?)</script>", re.DOTALL | re.IGNORECASE)


class Guard:
    """An ASGI application that lets only this start's own pages through to `app`, and answers for the manual itself.

    `pages` are the names that are mounted, the first of them is where "/" leads; `port` is the one that is bound.
    """

    def __init__(self, app: App, *, pages: tuple[str, ...], port: int, token: str) -> None:
        self.app = app
        self.pages = pages
        self.token = token
        self.cookie = f"duskbook_{port}"
        self.pass_word = secrets.token_urlsafe(32)  # what the cookie holds: the address's token opens nothing else
        names = ("127.0.0.1", "localhost", "[::1]")
        self.hosts = frozenset(f"{name}:{port}" for name in names)
        self.origins = frozenset(f"http://{host}" for host in self.hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            await self._http(scope, receive, send)
        elif scope["type"] == "websocket":
            await self._websocket(scope, receive, send)
        else:
            await self.app(scope, receive, send)

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        method, path = scope["method"], scope["path"]
        status = self._stranger(scope, must_name_origin=method not in ("GET", "HEAD"))
        if status:
            await _answer(send, status, _page("This page is not for here", _NOT_HERE))
        elif path == "/favicon.ico" and method in ("GET", "HEAD"):
            await _answer(send, 200, ICON, kind="image/svg+xml")
        elif (clean := self._exchanged(scope)) is not None:
            crumb = f"{self.cookie}={self.pass_word}; Path=/; HttpOnly; SameSite=Strict"
            await _answer(send, 303, "", extra=[(b"location", clean), (b"set-cookie", crumb.encode())])
        elif not self._known(scope):
            await _answer(send, 403, _page("Open this page from the command", _FROM_THE_COMMAND))
        elif path == "/" or (path.strip("/") in self.pages and not path.endswith("/")):
            clean = (f"{path}/" if path != "/" else f"/{self.pages[0]}/").encode()
            query = scope.get("query_string", b"")
            await _answer(send, 303, "", extra=[(b"location", clean + (b"?" + query if query else b""))])
        elif path == f"/{MANUAL}" or path.startswith(f"/{MANUAL}/"):
            await _answer_manual(send, method, path.removeprefix(f"/{MANUAL}"))
        else:
            page, _, rest = path[1:].partition("/")
            if page in self.pages and rest == "favicon.ico" and method in ("GET", "HEAD"):
                await _answer(send, 200, ICON, kind="image/svg+xml")
            elif _MODULE.fullmatch(path) and method in ("GET", "HEAD"):
                await self.app(scope, receive, _Hardened(send, is_page=False, is_asset=True))
            elif page not in self.pages or not _allowed(method, rest):
                await _answer(send, 404, _page("There is no such page", _NO_SUCH_PAGE))
            else:
                await self.app(scope, receive, _Hardened(send, is_page=rest == "", is_asset="/" in rest))

    async def _websocket(self, scope: Scope, receive: Receive, send: Send) -> None:
        page, _, rest = scope["path"][1:].partition("/")
        welcome = not self._stranger(scope, must_name_origin=True) and self._known(scope)
        if welcome and page in self.pages and rest == _SOCKET:
            await self.app(scope, receive, send)
        else:
            await receive()  # the connect event; closing before accepting answers the handshake with 403
            await send({"type": "websocket.close", "code": 1008, "reason": "not allowed"})

    def _stranger(self, scope: Scope, *, must_name_origin: bool) -> int:
        """The status to turn a request away with, 0 for one that comes from where it should."""
        hosts = _header(scope, b"host")
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            return 421
        origins = _header(scope, b"origin")
        if any(origin.lower() not in self.origins for origin in origins) or len(origins) > 1:
            return 403
        if must_name_origin and not origins:
            return 403
        # "none" is an address that a person typed or a program opened; "same-site" includes other ports.
        # A link on another site is let as far as the token, which no other site's request can show.
        site = _header(scope, b"sec-fetch-site")
        leads_here = _header(scope, b"sec-fetch-mode") == ["navigate"] and scope.get("method") == "GET"
        return 0 if leads_here or all(where in ("same-origin", "none") for where in site) else 403

    def _exchanged(self, scope: Scope) -> bytes | None:
        """The address without its token, for a request that shows the right one."""
        if scope["method"] != "GET":
            return None
        pairs = parse_qsl(scope.get("query_string", b"").decode("latin-1"), keep_blank_values=True)
        shown = [value for key, value in pairs if key == "token"]
        if len(shown) != 1 or not _same(shown[0], self.token):
            return None
        page = scope["path"].strip("/")
        rest = urlencode([(key, value) for key, value in pairs if key != "token"])
        path = f"/{page}/" if page in self.pages else f"/{self.pages[0]}/"
        return f"{path}?{rest}".rstrip("?").encode()

    def _known(self, scope: Scope) -> bool:
        for line in _header(scope, b"cookie"):
            try:
                crumb = SimpleCookie(line).get(self.cookie)
            except CookieError:
                continue
            if crumb is not None and _same(crumb.value, self.pass_word):
                return True
        return False


class _Hardened:
    """A `send` that puts the protecting headers on an answer, and on a page the fingerprints of its own scripts.

    A page is held back until it is whole: only then is it known which inline scripts it came with. Naming those by
    their SHA-256 (CSP level 2) means that no other inline script runs, wherever it may have come from.
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
        # Assets carry the hash of their bytes in their name, so they may stay; nothing else is kept.
        fine = self.is_asset and self.start["status"] == 200
        keep = b"private, max-age=31536000, immutable" if fine else b"no-store"
        ours = [*_protecting(scripts), (b"cache-control", keep)]
        names = {name for name, _ in ours} | {b"access-control-allow-origin", b"etag", b"server"}
        theirs = [(name, value) for name, value in self.start.get("headers", []) if name.lower() not in names]
        await self.send({**self.start, "headers": theirs + ours})


def _allowed(method: str, rest: str) -> bool:
    if method in ("GET", "HEAD"):
        return _READ.fullmatch(rest) is not None
    return method == "POST" and rest in _POST


def _header(scope: Scope, name: bytes) -> list[str]:
    return [value.decode("latin-1") for key, value in scope.get("headers", []) if key.lower() == name]


def _same(shown: str, right: str) -> bool:
    """Whether two texts are equal, in a time that does not tell where they differ."""
    return hmac.compare_digest(shown.encode(), right.encode())


def _protecting(scripts: Iterable[bytes] = ()) -> Headers:
    """The headers of every answer. `scripts` are the texts of the inline scripts that it came with."""
    prints = [f"'sha256-{base64.b64encode(hashlib.sha256(text).digest()).decode()}'" for text in scripts]
    policy = {
        "default-src": "'none'",
        "script-src": " ".join(["'self'", *prints]),
        "style-src": "'self' 'unsafe-inline'",  # the frame sets its styles as it draws
        "img-src": "'self' data:",
        "font-src": "'self' data:",
        "connect-src": "'self'",
        "manifest-src": "'self'",
        "base-uri": "'self'",  # the frame sets one, for the folder of its scripts
        "form-action": "'none'",
        "frame-ancestors": "'none'",
    }
    return _headers("; ".join(f"{key} {value}" for key, value in policy.items()))


def _headers(policy: str) -> Headers:
    return [
        (b"content-security-policy", policy.encode()),
        (b"referrer-policy", b"no-referrer"),
        (b"x-content-type-options", b"nosniff"),
        (b"x-frame-options", b"DENY"),
        (b"cross-origin-opener-policy", b"same-origin"),
        (b"cross-origin-resource-policy", b"same-origin"),
        (b"permissions-policy", b"camera=(), geolocation=(), microphone=(), usb=()"),
    ]


async def _answer_manual(send: Send, method: str, rest: str) -> None:
    """A page of the manual, with a policy of its own in which nothing runs. `rest` begins with a slash, or is empty."""
    found = manual.reply(rest[1:]) if method in ("GET", "HEAD") else None
    if found is None:
        await _answer(send, 404, _page("There is no such page", _NO_SUCH_PAGE))
    elif not rest:
        await _answer(send, 303, "", extra=[(b"location", f"/{MANUAL}/".encode())])
    else:
        await _answer(send, 200, found.text, kind=found.media, policy=manual.POLICY)


async def _answer(
    send: Send,
    status: int,
    text: str,
    *,
    kind: str = "text/html; charset=utf-8",
    policy: str = "",
    extra: Headers | None = None,
) -> None:
    body = text.encode()
    headers = [
        (b"content-type", kind.encode()),
        (b"content-length", str(len(body)).encode()),
        (b"cache-control", b"no-store"),
    ]
    headers += _headers(policy) if policy else _protecting()
    await send({"type": "http.response.start", "status": status, "headers": headers + (extra or [])})
    await send({"type": "http.response.body", "body": body})


_FROM_THE_COMMAND = (
    "The journal shows itself only to the browser window that the command opened. "
    "Run duskbook evening once more, or use the whole address it printed."
)
_NOT_HERE = "The journal answers only on this machine, to its own pages. Open it from the command."
_NO_SUCH_PAGE = "Go back, or open /evening/, /week/, /month/, /year/ or /manual/."


def _page(title: str, text: str) -> Html:
    """A page of two sentences that needs nothing but itself."""
    return Html(
        '<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f"<title>{entity(title)}</title><style>:root{{color-scheme:light dark}}body{{margin:20vh auto;padding:0 "
        "1.5rem;max-width:32rem;font:1.05rem/1.6 system-ui,sans-serif;background:#FBF8F2;color:#23263B}"
        "h1{font:600 1.6rem/1.3 Georgia,serif}@media(prefers-color-scheme:dark){body{background:#1A1B2B;"
        f"color:#ECE7DC}}}}</style><h1>{entity(title)}</h1><p>{entity(text)}</p></html>"
    )
