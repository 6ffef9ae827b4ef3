"""Access control in front of the pages: request checks, and the security headers of every answer.

The journal is private, but a server on the loopback address is not: every page in the same browser, and every program
of every user on the machine, can reach it. So each request must pass these checks, in this order:

1. *Host*: the requested name is one of the server's own. A foreign name that resolves to 127.0.0.1 (DNS rebinding)
   is rejected with 421.
2. *Origin* and *Sec-Fetch-Site*: the request does not come from another site. Websockets and unsafe methods must send
   an origin. Rejected with 403. Only the exchange of a one-time token may come from elsewhere.
3. *Path*: it begins with a part that only this user knows. Outside of it, there are the exchange
   (`journal.pages.exchange`), an icon, and a page that asks for the code, with 403.
4. *Cookie*: the request has the session cookie, which the browser sends below that path only. Rejected with 403 and a
   page that asks for the code.
5. *Window key*: a websocket or a post has the key that the browser keeps for this port only. Rejected with 403.
6. *Allowlist*: the request is one of the few that a page makes. Rejected with 404.

Cookies are not bound to ports: a program at another port of this machine receives every cookie of its path. It does
not know the path; and if it learns path and cookie, it has no window key, without which nothing private is answered.
Pictures are the exception: their addresses are secrets of their own (`journal.pages.picture_route`).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from urllib.parse import parse_qsl

from journal.language.languages import Language
from journal.language.spoken import speaking, spoken
from journal.pages import entrance_pages as pages
from journal.pages import manual, picture_route
from journal.pages.asgi import CONNECTION, App, Receive, Scope, SecuredSend, Send, answer, header
from journal.pages.entrance import PROOF, Entrance, equal
from journal.pages.exchange import Exchange, cookie_values
from journal.pages.server_secrets import ServerSecrets

ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect width="32" height="32" rx="7" '
    'fill="#2B2A4C"/><path d="M6 21a10 10 0 0 1 20 0z" fill="#E2A46E"/>'
    '<path d="M4 24.5h24" stroke="#F6DE9E" stroke-width="2" stroke-linecap="round"/></svg>'
)
"""The favicon: a sun half set behind the edge of a page."""

# The requests that a page makes: itself, its scripts and fonts, its websocket, and the posts that report a user's
# choice. Everything else that marimo answers (files, code, packages, terminals) stays blocked. The only file that a
# notebook generates is its form's script, "@file/40213-....js", named by its length and a random part.
_READ = re.compile(r"(|frame\.js|assets/\w[\w.~@-]*|@file/\d+-\w[\w-]*\.js|manifest\.json|health)", re.ASCII)
# The forms' modules, at a path with their digest that all pages share (`journal.pages.browser_modules`).
_MODULE = re.compile(r"/browser/[0-9a-f]{16}/forms\.js", re.ASCII)
_POST = frozenset(
    {"first-sight", "api/kernel/set_ui_element_value", "api/kernel/set_model_value", "api/kernel/function_call"}
)
_SOCKETS = frozenset({"presence", "ws"})
_DRAFTS_KEY = "/drafts-key"  # beside the pages; `browser/browser_storage.js` asks for it
MANUAL = "manual"

KEY_HEADER, KEY_PARAMETER = "duskbook-window", "window"
"""Where a post and a websocket, which can have no header of its own, carry the window key."""


class Guard:
    """An ASGI application that passes only requests of this server's own pages to `app`, and serves the manual itself.

    `pages` are the mounted names. `app` sees paths without the secret part. `language` is that of the journal at a
    request, which its answer speaks.
    """

    def __init__(
        self,
        app: App,
        *,
        pages: tuple[str, ...],
        secrets: ServerSecrets,
        entrance: Entrance,
        language: Callable[[], Language] = spoken,
    ) -> None:
        self.app = app
        self.pages = pages
        self.prefix = secrets.prefix
        self.drafts_key = secrets.drafts_key
        self.entrance = entrance
        self.language = language
        self.exchange = Exchange(entrance, secrets, pages)
        names = (entrance.host, "127.0.0.1", "localhost", "[::1]")
        self.hosts = frozenset(f"{name}:{entrance.port}" for name in names)
        self.origins = frozenset(f"http://{host}" for host in self.hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            with speaking(self.language()):
                await self._http(scope, receive, send)
        elif scope["type"] == "websocket":
            await self._websocket(scope, receive, send)
        else:
            await self.app(scope, receive, send)

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        method, path = scope["method"], scope["path"]
        status = self._rejection_status(scope, must_name_origin=method not in ("GET", "HEAD"))
        inside = self._inside(path)
        if status == 421:
            await answer(send, status, pages.message(*pages.NOT_HERE))
        elif (
            inside is None and method == "POST" and await self.exchange.post(scope, receive, send, from_here=not status)
        ):
            pass
        elif status:
            await answer(send, status, pages.message(*pages.NOT_HERE))
        elif path == "/favicon.ico" and method in ("GET", "HEAD"):
            await answer(send, 200, ICON, kind="image/svg+xml")
        elif inside is None or not self._has_cookie(scope):
            await answer(send, 403, pages.sign_in(*pages.SIGN_IN, _asked(scope), renew=True))
        else:
            _let_in(scope)
            await self._page({**scope, "path": inside, "raw_path": inside.encode()}, receive, send)

    async def _page(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request below the secret path, from a browser that is let in."""
        method, path = scope["method"], scope["path"]
        page, _, rest = path[1:].partition("/")
        if path == "/" or (page in self.pages and path == f"/{page}"):
            query = scope.get("query_string", b"")
            place = f"/{self.prefix}/{page or self.pages[0]}/".encode()
            await answer(send, 303, "", extra=[(b"location", place + (b"?" + query if query else b""))])
        elif page == MANUAL:
            await self._manual(send, method, path.removeprefix(f"/{MANUAL}"))
        elif page in self.pages and rest == "favicon.ico" and method in ("GET", "HEAD"):
            await answer(send, 200, ICON, kind="image/svg+xml")
        elif _MODULE.fullmatch(path) and method in ("GET", "HEAD"):
            await self.app(scope, receive, SecuredSend(send, is_page=False, is_asset=True))
        elif method in ("GET", "HEAD") and await picture_route.send_picture(send, path, with_body=method == "GET"):
            pass
        elif not (path == _DRAFTS_KEY and method == "POST") and (page not in self.pages or not _allowed(method, rest)):
            await answer(send, 404, pages.message(*pages.NO_SUCH_PAGE))
        elif method == "POST" and not self._is_window_key(header(scope, KEY_HEADER.encode())):
            await answer(send, 403, pages.message(*pages.NOT_HERE))
        elif path == _DRAFTS_KEY:
            await answer(send, 200, self.drafts_key.hex(), kind="text/plain; charset=utf-8")
        else:
            await self.app(scope, receive, SecuredSend(send, is_page=rest == "", is_asset="/" in rest))

    async def _websocket(self, scope: Scope, receive: Receive, send: Send) -> None:
        page, _, rest = (self._inside(scope["path"]) or "/")[1:].partition("/")
        is_from_here = not self._rejection_status(scope, must_name_origin=True)
        query = parse_qsl(scope.get("query_string", b"").decode("latin-1"))
        keys = [value for name, value in query if name == KEY_PARAMETER]
        if is_from_here and scope["path"] == PROOF:
            await self.exchange.prove_on_socket(dict(query).get("nonce", ""), receive, send)
        elif (
            is_from_here and self._has_cookie(scope) and self._is_window_key(keys) and page in self.pages
            and rest in _SOCKETS
        ):  # fmt: skip
            _let_in(scope)
            path = f"/{page}/{rest}"
            await self.app({**scope, "path": path, "raw_path": path.encode()}, receive, send)
        else:
            await receive()  # the connect event; closing before accepting rejects the handshake with 403
            await send({"type": "websocket.close", "code": 1008, "reason": "not allowed"})

    async def _manual(self, send: Send, method: str, rest: str) -> None:
        """Answer a request of the manual, with a policy that allows no scripts. `rest` is empty or begins with "/"."""
        reply = manual.reply(rest[1:]) if method in ("GET", "HEAD") else None
        if reply is None:
            await answer(send, 404, pages.message(*pages.NO_SUCH_PAGE))
        elif not rest:
            await answer(send, 303, "", extra=[(b"location", f"/{self.prefix}/{MANUAL}/".encode())])
        else:
            await answer(send, 200, reply.text, kind=reply.media, policy=manual.POLICY)

    def _inside(self, path: str) -> str | None:
        """The path below the secret part, beginning with "/", or None if it is not below it."""
        first, _, rest = path[1:].partition("/")
        return f"/{rest}" if equal(first, self.prefix) else None

    def _rejection_status(self, scope: Scope, *, must_name_origin: bool) -> int:
        """The status to reject a request with by its host and origin, or 0 to accept it."""
        hosts = header(scope, b"host")
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            return 421
        origins = header(scope, b"origin")
        if any(origin.lower() not in self.origins for origin in origins) or len(origins) > 1:
            return 403
        if must_name_origin and not origins:
            return 403
        # "none" is an address typed by the user or opened by a program; "same-site" includes other ports.
        # A link on another site passes to the cookie check, which a request of another site cannot pass.
        site = header(scope, b"sec-fetch-site")
        leads_here = header(scope, b"sec-fetch-mode") == ["navigate"] and scope.get("method") == "GET"
        return 0 if leads_here or all(where in ("same-origin", "none") for where in site) else 403

    def _has_cookie(self, scope: Scope) -> bool:
        shown = cookie_values(header(scope, b"cookie"), self.exchange.cookie)
        return any(equal(value, self.entrance.cookie_value) for value in shown)

    def _is_window_key(self, shown: list[str]) -> bool:
        return len(shown) == 1 and equal(shown[0], self.entrance.window_key)


def _allowed(method: str, rest: str) -> bool:
    if method in ("GET", "HEAD"):
        return _READ.fullmatch(rest) is not None
    return method == "POST" and rest in _POST


def _asked(scope: Scope) -> str:
    """The address of a request, to go on to after the exchange."""
    query = scope.get("query_string", b"").decode("latin-1")
    return f"{scope['path']}?{query}"[:400].rstrip("?")


def _let_in(scope: Scope) -> None:
    """Tell the connection (`journal.pages.connections`) that its client is none of the strangers."""
    connection = scope.get("state", {}).get(CONNECTION)
    if connection is not None:
        connection.let_in()
