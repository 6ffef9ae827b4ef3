"""The guard: accepted and rejected requests, and the security headers of every answer."""

from __future__ import annotations

import asyncio
import base64
import hashlib
import re
from collections.abc import Mapping
from typing import Any

import pytest

from journal.pages.guard import Guard, Message, Receive, Scope, Send

PORT, TOKEN, HOST = 8420, "right-token", "127.0.0.1:8420"
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
        self.body = b"".join(m.get("body", b"") for m in sent if m["type"] == "http.response.body").decode()


@pytest.fixture
def behind() -> Behind:
    return Behind()


@pytest.fixture
def guard(behind: Behind) -> Guard:
    return Guard(behind, pages=("week", "month", "year"), port=PORT, token=TOKEN)


def ask(guard: Guard, path: str, *, method: str = "GET", kind: str = "http", **headers: str) -> Answer:
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
        return {"type": "websocket.connect" if kind == "websocket" else "http.request"}

    async def send(message: Message) -> None:
        sent.append(message)

    asyncio.run(guard(scope, receive, send))  # type: ignore[arg-type]
    return Answer(sent)


def crumb(guard: Guard) -> str:
    """The session cookie, in exchange for the right token."""
    cookie, _, _ = ask(guard, f"/week?token={TOKEN}").headers["set-cookie"].partition(";")
    return cookie


def test_the_address_is_exchanged_for_a_cookie_and_loses_its_token(guard: Guard, behind: Behind) -> None:
    answer = ask(guard, f"/week?token={TOKEN}&on=2025-03-13")
    assert (answer.status, answer.headers["location"]) == (303, "/week/?on=2025-03-13")
    assert answer.headers["set-cookie"].startswith(f"duskbook_{PORT}=")
    assert set(answer.headers["set-cookie"].split("; ")[1:]) == {"Path=/", "HttpOnly", "SameSite=Strict"}
    assert TOKEN not in answer.headers["set-cookie"] + answer.headers["location"] + answer.body
    assert not behind.reached


@pytest.mark.parametrize("host", ["127.0.0.1:8420", "localhost:8420", "[::1]:8420", "LOCALHOST:8420"])
def test_own_host_names_are_accepted(guard: Guard, behind: Behind, host: str) -> None:
    assert ask(guard, "/week/", host=host, cookie=crumb(guard)).status == 200
    assert behind.reached == [("http", "/week/")]


@pytest.mark.parametrize(
    "host", ["evil.example:8420", "127.0.0.1", "127.0.0.1:8421", "127.0.0.1:8420.evil.example", ""]
)
def test_any_other_host_gets_421_even_with_the_cookie(guard: Guard, behind: Behind, host: str) -> None:
    assert ask(guard, "/week/", host=host, cookie=crumb(guard)).status == 421
    assert ask(guard, f"/week?token={TOKEN}", host=host).status == 421
    assert not behind.reached


def test_two_hosts_or_none_get_421(guard: Guard, behind: Behind) -> None:
    cookie = crumb(guard)
    for hosts in ([], [HOST, HOST]):
        scope = {
            "type": "http", "method": "GET", "path": "/week/", "query_string": b"",
            "headers": [(b"host", h.encode()) for h in hosts] + [(b"cookie", cookie.encode())],
        }  # fmt: skip
        sent: list[Message] = []

        async def send(message: Message, sent: list[Message] = sent) -> None:
            sent.append(message)

        asyncio.run(guard(scope, None, send))  # type: ignore[arg-type]
        assert sent[0]["status"] == 421
    assert not behind.reached


@pytest.mark.parametrize(
    "cookie", ["", "duskbook_8420=", "duskbook_8420=wrong", f"duskbook_8420={TOKEN}", "a=b;;=;\x07"]
)
def test_without_the_cookie_a_page_explains_what_to_do(guard: Guard, behind: Behind, cookie: str) -> None:
    answer = ask(guard, "/week/", cookie=cookie)
    assert answer.status == 403
    assert "Open this page from the command" in answer.body
    assert not behind.reached


@pytest.mark.parametrize("query", ["token=", "token=wrong", f"token={TOKEN}x", f"token={TOKEN}&token=wrong", "token=é"])
def test_a_wrong_token_is_rejected(guard: Guard, query: str) -> None:
    answer = ask(guard, f"/week?{query}")
    assert answer.status == 403
    assert "set-cookie" not in answer.headers


def test_a_cookie_of_another_start_is_rejected(guard: Guard, behind: Behind) -> None:
    other = Guard(behind, pages=guard.pages, port=PORT, token=TOKEN)
    assert ask(other, "/week/", cookie=crumb(guard)).status == 403


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://127.0.0.1:9999", f"https://{HOST}", ""])
def test_another_origin_is_rejected(guard: Guard, behind: Behind, origin: str) -> None:
    cookie, post = crumb(guard), "/week/api/kernel/set_ui_element_value"
    assert ask(guard, post, method="POST", origin=origin, cookie=cookie).status == 403
    assert ask(guard, "/week/assets/a.js", origin=origin, cookie=cookie).status == 403
    assert _closed(ask(guard, "/week/ws", kind="websocket", origin=origin, cookie=cookie))
    assert not behind.reached


def test_a_post_and_a_websocket_must_send_an_origin(guard: Guard, behind: Behind) -> None:
    cookie, post = crumb(guard), "/week/api/kernel/set_ui_element_value"
    assert ask(guard, post, method="POST", cookie=cookie).status == 403
    assert _closed(ask(guard, "/week/ws", kind="websocket", cookie=cookie))
    assert ask(guard, post, method="POST", cookie=cookie, origin=ORIGIN).status == 200
    assert not _closed(ask(guard, "/week/ws", kind="websocket", cookie=cookie, origin=ORIGIN))
    assert behind.reached == [("http", post), ("websocket", "/week/ws")]


def test_a_websocket_needs_host_cookie_and_its_path(guard: Guard, behind: Behind) -> None:
    cookie = crumb(guard)
    assert _closed(ask(guard, "/week/ws", kind="websocket", origin=ORIGIN))
    assert _closed(ask(guard, "/week/ws", kind="websocket", origin=ORIGIN, cookie=cookie, host="evil.example"))
    for path in ("/week/terminal/ws", "/week/ws_sync", "/ws", "/evening/ws"):
        assert _closed(ask(guard, path, kind="websocket", origin=ORIGIN, cookie=cookie))
    assert not behind.reached


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_a_request_embedded_by_another_site_or_port_is_rejected(guard: Guard, behind: Behind, site: str) -> None:
    cookie = crumb(guard)
    assert ask(guard, "/week/assets/a.js", cookie=cookie, sec_fetch_site=site, sec_fetch_mode="no-cors").status == 403
    assert not behind.reached


def test_the_form_s_script_is_the_only_allowed_file(guard: Guard, behind: Behind) -> None:
    cookie = crumb(guard)
    assert ask(guard, "/week/@file/40213-aB3x9.js", cookie=cookie).status == 200
    for path in ("/week/@file/1-a.html", "/week/@file/a.js", "/week/@file/1-a/b.js", "/week/@file/1-..js"):
        assert ask(guard, path, cookie=cookie).status == 404
    assert ask(guard, "/week/@file/40213-aB3x9.js", cookie=cookie, method="POST", origin=ORIGIN).status == 404
    assert ask(guard, "/week/@file/40213-aB3x9.js").status == 403


MODULE = "/browser/0123456789abcdef/times.js"


def test_only_our_own_pages_can_load_the_modules(guard: Guard, behind: Behind) -> None:
    cookie = crumb(guard)
    assert ask(guard, MODULE).status == 403
    assert ask(guard, MODULE, cookie=cookie, host="evil.example").status == 421
    assert ask(guard, MODULE, cookie=cookie, origin="http://evil.example").status == 403
    assert ask(guard, MODULE, cookie=cookie, sec_fetch_site="cross-site", sec_fetch_mode="cors").status == 403
    assert not behind.reached
    for method in ("GET", "HEAD"):
        answer = ask(guard, MODULE, method=method, cookie=cookie, sec_fetch_site="same-origin", sec_fetch_mode="cors")
        assert answer.status == 200
        assert answer.headers["cache-control"] == "private, max-age=31536000, immutable"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert "unsafe" not in answer.headers["content-security-policy"].partition("; style-src")[0]


SHUT = [
    "/browser/0123456789abcdef/a.css", "/browser/0123456789abcdef/package.json", "/browser/0123456789abcdef/",
    "/browser/0123456789abcdef/../a.js", "/browser/0123456789abcdef/.a.js", "/browser/0123456789abcdef/b/a.js",
    "/browser/0123456789abcde/a.js", "/browser/a.js", "/week/browser/0123456789abcdef/a.js", "/browser/",
    "/week/api/files/list_files", "/week/api/kernel/read_code", "/week/api/kernel/save", "/week/api/kernel/run",
    "/week/api/export/html", "/week/api/home/workspace_files", "/week/api/packages/add", "/week/api/ai/chat",
    "/week/api/status/connections", "/week/api/version", "/week/sse", "/week/auth/login", "/week/auth/token",
    "/week/mcp", "/week/docs", "/week/openapi.json", "/week/og/thumbnail", "/week/public/a", "/week/@file/1-a.txt",
    "/week/assets/../index.html", "/week/assets/a/b.js", "/week/assets/", "/week//", "/evening/", "/journal.toml",
]  # fmt: skip


@pytest.mark.parametrize("path", SHUT)
@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "DELETE", "OPTIONS"])
def test_other_paths_get_404(guard: Guard, behind: Behind, path: str, method: str) -> None:
    assert ask(guard, path, method=method, origin=ORIGIN, cookie=crumb(guard)).status == 404
    assert not behind.reached


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS"])
def test_the_modules_are_read_only(guard: Guard, behind: Behind, method: str) -> None:
    assert ask(guard, MODULE, method=method, origin=ORIGIN, cookie=crumb(guard)).status == 404
    assert not behind.reached


@pytest.mark.parametrize(
    ("path", "to"),
    [("/", "/week/"), ("/?on=2025-03-13", "/week/?on=2025-03-13"), ("/month?month=2025-03", "/month/?month=2025-03")],
)
def test_short_addresses_redirect_to_the_pages(guard: Guard, path: str, to: str) -> None:
    answer = ask(guard, path, cookie=crumb(guard))
    assert (answer.status, answer.headers["location"]) == (303, to)


def test_the_icon_is_our_own(guard: Guard, behind: Behind) -> None:
    answer = ask(guard, "/favicon.ico")
    assert (answer.status, answer.headers["content-type"]) == (200, "image/svg+xml")
    assert ask(guard, "/week/favicon.ico", cookie=crumb(guard)).body == answer.body
    assert not behind.reached


def test_every_answer_has_the_security_headers(guard: Guard) -> None:
    cookie = crumb(guard)
    answers = [
        ask(guard, "/week/"), ask(guard, "/week/", cookie=cookie), ask(guard, "/week/assets/a.js", cookie=cookie),
        ask(guard, "/nothing", cookie=cookie), ask(guard, "/week/", host="evil.example"),
        ask(guard, f"/week?token={TOKEN}"), ask(guard, "/favicon.ico"), ask(guard, "/", cookie=cookie),
    ]  # fmt: skip
    assert [answer.status for answer in answers] == [403, 200, 200, 404, 421, 303, 200, 303]
    for answer in answers:
        policy = dict(part.split(" ", 1) for part in answer.headers["content-security-policy"].split("; "))
        assert policy["default-src"] == policy["frame-ancestors"] == policy["form-action"] == "'none'"
        assert policy["connect-src"] == "'self'"
        assert "unsafe" not in policy["script-src"]
        assert not re.search(r"https?:|\*|//", answer.headers["content-security-policy"])
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["x-frame-options"] == "DENY"
        assert answer.headers["cross-origin-opener-policy"] == "same-origin"
        assert answer.headers["cross-origin-resource-policy"] == "same-origin"
        assert not {"access-control-allow-origin", "etag", "server"} & answer.headers.keys()


def test_pages_are_not_cached_and_assets_are(guard: Guard) -> None:
    cookie = crumb(guard)
    assert ask(guard, "/week/", cookie=cookie).headers["cache-control"] == "no-store"
    assert "immutable" in ask(guard, "/week/assets/a.js", cookie=cookie).headers["cache-control"]


def test_only_the_page_s_own_scripts_may_run(guard: Guard) -> None:
    answer = ask(guard, "/week/", cookie=crumb(guard))
    policy = answer.headers["content-security-policy"]
    for script in (b"one()", b"two()"):
        assert f"'sha256-{base64.b64encode(hashlib.sha256(script).digest()).decode()}'" in policy
    assert policy.count("sha256-") == 2
    assert answer.body == '<script>one()</script><script src="a.js"></script><SCRIPT x>two()</SCRIPT>'


def test_other_traffic_passes(guard: Guard, behind: Behind) -> None:
    asyncio.run(guard({"type": "lifespan"}, None, None))  # type: ignore[arg-type]
    assert behind.reached == [("lifespan", "")]


def _closed(answer: Answer) -> bool:
    return [message["type"] for message in answer.sent] == ["websocket.close"]
