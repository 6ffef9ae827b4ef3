"""Access control in front of the pages: request checks, and the security headers of every answer.

The journal is private, but a server on the loopback address is not: every page in the same browser, and every program
of every user on the machine, can reach it. So each request must pass these checks, in this order:

1. *Host*: the requested name is one of the server's own. A foreign name that resolves to 127.0.0.1 (DNS rebinding)
   is rejected with 421.
2. *Origin* and *Sec-Fetch-Site*: the request does not come from another site. Websockets and unsafe methods must send
   an origin. Rejected with 403.
3. *Token*: the request has the session cookie. A browser gets it in exchange for the token in the address that the
   command prints. Rejected with 403 and a page that explains what to do. The exchange removes the token from the
   address, so neither history nor bookmarks keep it.
4. *Allowlist*: the request is one of the few that a page makes. Rejected with 404.

The cookie is HttpOnly and SameSite=Strict. Cookies are not bound to ports, so its name contains the port, which keeps
two journals apart. A hostile server on another port of the same machine still receives it, like any loopback cookie.
A guard of this kind cannot prevent that.
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
"""The favicon: a sun half set behind the edge of a page."""

# The requests that a page makes: itself, its scripts and fonts, its websocket, and the posts that report a user's
# choice. Everything else that marimo answers (files, code, packages, terminals) stays blocked. The only file that a
# notebook generates is its form's script, "@file/40213-....js", named by its length and a random part.
_READ = re.compile(r"(|assets/\w[\w.~@-]*|@file/\d+-\w[\w-]*\.js|manifest\.json|health)", re.ASCII)
# The forms' modules, at a path with their digest that all pages share (`journal.pages.browser_modules`).
_MODULE = re.compile(r"/browser/[0-9a-f]{16}/[a-z]\w*\.js", re.ASCII)
_POST = frozenset({"api/kernel/set_ui_element_value", "api/kernel/set_model_value", "api/kernel/function_call"})
_SOCKET = "ws"
MANUAL = "manual"

_SCRIPT = re.compile(rb"<script(?![^>]*\ssrc=)[^>]*>(.*?)</script>", re.DOTALL | re.IGNORECASE)


class Guard:
    """An ASGI application that passes only requests of this server's own pages to `app`, and serves the manual itself.

    `pages` are the mounted names, of which "/" redirects to the first; `port` is the bound port.
    """

    def __init__(self, app: App, *, pages: tuple[str, ...], port: int, token: str) -> None:
        self.app = app
        self.pages = pages
        self.token = token
        self.cookie = f"duskbook_{port}"
        self.session_secret = secrets.token_urlsafe(32)  # the cookie's value; the token is valid in addresses only
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
        status = self._rejection_status(scope, must_name_origin=method not in ("GET", "HEAD"))
        if status:
            await _answer(send, status, _page("This page is not for here", _NOT_HERE))
        elif path == "/favicon.ico" and method in ("GET", "HEAD"):
            await _answer(send, 200, ICON, kind="image/svg+xml")
        elif (clean := self._without_token(scope)) is not None:
            cookie = f"{self.cookie}={self.session_secret}; Path=/; HttpOnly; SameSite=Strict"
            await _answer(send, 303, "", extra=[(b"location", clean), (b"set-cookie", cookie.encode())])
        elif not self._has_cookie(scope):
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
                await self.app(scope, receive, _SecuredSend(send, is_page=False, is_asset=True))
            elif page not in self.pages or not _allowed(method, rest):
                await _answer(send, 404, _page("There is no such page", _NO_SUCH_PAGE))
            else:
                await self.app(scope, receive, _SecuredSend(send, is_page=rest == "", is_asset="/" in rest))

    async def _websocket(self, scope: Scope, receive: Receive, send: Send) -> None:
        page, _, rest = scope["path"][1:].partition("/")
        allowed = not self._rejection_status(scope, must_name_origin=True) and self._has_cookie(scope)
        if allowed and page in self.pages and rest == _SOCKET:
            await self.app(scope, receive, send)
        else:
            await receive()  # the connect event; closing before accepting rejects the handshake with 403
            await send({"type": "websocket.close", "code": 1008, "reason": "not allowed"})

    def _rejection_status(self, scope: Scope, *, must_name_origin: bool) -> int:
        """The status to reject a request with by its host and origin, or 0 to accept it."""
        hosts = _header(scope, b"host")
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            return 421
        origins = _header(scope, b"origin")
        if any(origin.lower() not in self.origins for origin in origins) or len(origins) > 1:
            return 403
        if must_name_origin and not origins:
            return 403
        # "none" is an address typed by the user or opened by a program; "same-site" includes other ports.
        # A link on another site passes to the token check, which a request of another site cannot pass.
        site = _header(scope, b"sec-fetch-site")
        leads_here = _header(scope, b"sec-fetch-mode") == ["navigate"] and scope.get("method") == "GET"
        return 0 if leads_here or all(where in ("same-origin", "none") for where in site) else 403

    def _without_token(self, scope: Scope) -> bytes | None:
        """The address without its token if a request has the right token, else None."""
        if scope["method"] != "GET":
            return None
        pairs = parse_qsl(scope.get("query_string", b"").decode("latin-1"), keep_blank_values=True)
        shown = [value for key, value in pairs if key == "token"]
        if len(shown) != 1 or not _equal(shown[0], self.token):
            return None
        page = scope["path"].strip("/")
        rest = urlencode([(key, value) for key, value in pairs if key != "token"])
        path = f"/{page}/" if page in self.pages else f"/{self.pages[0]}/"
        return f"{path}?{rest}".rstrip("?").encode()

    def _has_cookie(self, scope: Scope) -> bool:
        for line in _header(scope, b"cookie"):
            try:
                cookie = SimpleCookie(line).get(self.cookie)
            except CookieError:
                continue
            if cookie is not None and _equal(cookie.value, self.session_secret):
                return True
        return False


class _SecuredSend:
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


def _allowed(method: str, rest: str) -> bool:
    if method in ("GET", "HEAD"):
        return _READ.fullmatch(rest) is not None
    return method == "POST" and rest in _POST


def _header(scope: Scope, name: bytes) -> list[str]:
    return [value.decode("latin-1") for key, value in scope.get("headers", []) if key.lower() == name]


def _equal(given: str, expected: str) -> bool:
    """Whether two texts are equal, in constant time."""
    return hmac.compare_digest(given.encode(), expected.encode())


def _security_headers(scripts: Iterable[bytes] = ()) -> Headers:
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
    """Answer a request of the manual, with a policy that allows no scripts. `rest` is empty or begins with a slash."""
    reply = manual.reply(rest[1:]) if method in ("GET", "HEAD") else None
    if reply is None:
        await _answer(send, 404, _page("There is no such page", _NO_SUCH_PAGE))
    elif not rest:
        await _answer(send, 303, "", extra=[(b"location", f"/{MANUAL}/".encode())])
    else:
        await _answer(send, 200, reply.text, kind=reply.media, policy=manual.POLICY)


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
    headers += _headers(policy) if policy else _security_headers()
    await send({"type": "http.response.start", "status": status, "headers": headers + (extra or [])})
    await send({"type": "http.response.body", "body": body})


_FROM_THE_COMMAND = (
    "The journal shows itself only to the browser window that the command opened. "
    "Run duskbook evening once more, or use the whole address it printed."
)
_NOT_HERE = "The journal answers only on this machine, to its own pages. Open it from the command."
_NO_SUCH_PAGE = "Go back, or open /evening/, /week/, /month/, /year/ or /manual/."


def _page(title: str, text: str) -> Html:
    """A self-contained page with a heading and a paragraph."""
    return Html(
        '<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f"<title>{entity(title)}</title><style>:root{{color-scheme:light dark}}body{{margin:20vh auto;padding:0 "
        "1.5rem;max-width:32rem;font:1.05rem/1.6 system-ui,sans-serif;background:#FBF8F2;color:#23263B}"
        "h1{font:600 1.6rem/1.3 Georgia,serif}@media(prefers-color-scheme:dark){body{background:#1A1B2B;"
        f"color:#ECE7DC}}}}</style><h1>{entity(title)}</h1><p>{entity(text)}</p></html>"
    )
