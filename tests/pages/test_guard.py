"""The guard: accepted and rejected requests, and the security headers of every answer."""

from __future__ import annotations

import asyncio
import base64
import hashlib
import html
import re

import pytest

from journal.pages.asgi import Message
from journal.pages.guard import Guard
from tests.pages.guarded import HOST, ORIGIN, Answer, Behind, ask, ask_at, cookie, enter, guarded

SOCKETS = pytest.mark.parametrize("name", ["presence", "ws"])


@pytest.fixture
def behind() -> Behind:
    return Behind()


@pytest.fixture
def guard(behind: Behind) -> Guard:
    return guarded(behind)


@pytest.mark.parametrize("host", ["127.0.0.1:8420", "localhost:8420", "[::1]:8420", "LOCALHOST:8420"])
def test_own_host_names_are_accepted(guard: Guard, behind: Behind, host: str) -> None:
    assert ask(guard, "/week/", host=host, cookie=cookie(guard)).status == 200
    assert behind.reached == [("http", "/week/")]


@pytest.mark.parametrize(
    "host", ["evil.example:8420", "127.0.0.1", "127.0.0.1:8421", "127.0.0.1:8420.evil.example", ""]
)
def test_any_other_host_gets_421_even_with_the_cookie(guard: Guard, behind: Behind, host: str) -> None:
    assert ask(guard, "/week/", host=host, cookie=cookie(guard)).status == 421
    assert ask_at(guard, "/enter", method="POST", body=f"token={guard.entrance.new_token()}", host=host).status == 421
    assert not behind.reached


def test_two_hosts_or_none_get_421(guard: Guard, behind: Behind) -> None:
    shown = cookie(guard)
    for hosts in ([], [HOST, HOST]):
        scope = {
            "type": "http", "method": "GET", "path": f"/{guard.prefix}/week/", "query_string": b"",
            "headers": [(b"host", h.encode()) for h in hosts] + [(b"cookie", shown.encode())],
        }  # fmt: skip
        sent: list[Message] = []

        async def send(message: Message, sent: list[Message] = sent) -> None:
            sent.append(message)

        asyncio.run(guard(scope, None, send))  # type: ignore[arg-type]
        assert sent[0]["status"] == 421
    assert not behind.reached


@pytest.mark.parametrize("cookies", ["", "duskbook_8420=", "duskbook_8420=wrong", "duskbook_8420=é", "a=b;;=;\x07"])
def test_without_the_cookie_a_page_explains_what_to_do(guard: Guard, behind: Behind, cookies: str) -> None:
    answer = ask(guard, "/week/", cookie=cookies)
    assert answer.status == 403
    assert "Open the journal from the command" in answer.body
    assert not behind.reached


def test_a_cookie_of_another_start_is_rejected(guard: Guard, behind: Behind) -> None:
    other = guarded(behind)
    assert ask(other, "/week/", cookie=cookie(guard)).status == 403


@SOCKETS
@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://127.0.0.1:9999", f"https://{HOST}", ""])
def test_another_origin_is_rejected(guard: Guard, behind: Behind, name: str, origin: str) -> None:
    shown, key = cookie(guard), guard.entrance.window_key
    assert ask(guard, POST, method="POST", origin=origin, cookie=shown, duskbook_window=key).status == 403
    assert ask(guard, "/week/assets/a.js", origin=origin, cookie=shown).status == 403
    assert _closed(ask(guard, f"/week/{name}?window={key}", kind="websocket", origin=origin, cookie=shown))
    assert not behind.reached


@SOCKETS
def test_a_post_and_a_websocket_must_send_an_origin(guard: Guard, behind: Behind, name: str) -> None:
    shown, key, socket = cookie(guard), guard.entrance.window_key, f"/week/{name}?window={guard.entrance.window_key}"
    assert ask(guard, POST, method="POST", cookie=shown, duskbook_window=key).status == 403
    assert _closed(ask(guard, socket, kind="websocket", cookie=shown))
    assert ask(guard, POST, method="POST", cookie=shown, duskbook_window=key, origin=ORIGIN).status == 200
    assert not _closed(ask(guard, socket, kind="websocket", cookie=shown, origin=ORIGIN))
    assert behind.reached == [("http", POST), ("websocket", f"/week/{name}")]


@SOCKETS
def test_a_websocket_needs_host_cookie_and_its_path(guard: Guard, behind: Behind, name: str) -> None:
    shown, query = cookie(guard), f"?window={guard.entrance.window_key}"
    assert _closed(ask(guard, f"/week/{name}{query}", kind="websocket", origin=ORIGIN))
    assert _closed(ask_at(guard, f"/week/{name}{query}", kind="websocket", origin=ORIGIN, cookie=shown))
    assert _closed(
        ask(guard, f"/week/{name}{query}", kind="websocket", origin=ORIGIN, cookie=shown, host="evil.example")
    )
    for path in (f"/week/terminal/{name}", f"/week/{name}_sync", f"/{name}", f"/evening/{name}"):
        assert _closed(ask(guard, path + query, kind="websocket", origin=ORIGIN, cookie=shown))
    assert not behind.reached


@SOCKETS
@pytest.mark.parametrize("key", ["", "wrong", "é", "right"])
def test_path_and_cookie_alone_open_nothing_private(guard: Guard, behind: Behind, name: str, key: str) -> None:
    """What a program at another port receives that the browser was made to visit with the path of the pages."""
    shown, known = cookie(guard), {"right": guard.entrance.window_key}.get(key, key)
    post = ask(guard, POST, method="POST", cookie=shown, origin=ORIGIN, duskbook_window=known)
    socket = ask(guard, f"/week/{name}?window={known}", kind="websocket", cookie=shown, origin=ORIGIN)
    assert (post.status == 200, not _closed(socket)) == (key == "right", key == "right")
    twice = ask(guard, f"/week/{name}?window={known}&window=x", kind="websocket", cookie=shown, origin=ORIGIN)
    assert _closed(twice)
    assert len(behind.reached) == (2 if key == "right" else 0)


def test_the_key_of_drafts_is_given_to_the_pages_only(guard: Guard, behind: Behind) -> None:
    """With it, what a browser keeps of this journal can be read."""
    shown, window = cookie(guard), guard.entrance.window_key

    def asked(**headers: str) -> Answer:
        return ask(guard, "/drafts-key", **{"method": "POST", "cookie": shown, "origin": ORIGIN, **headers})

    given = asked(duskbook_window=window)
    assert (given.status, given.body) == (200, guard.drafts_key.hex())
    assert given.headers["cache-control"] == "no-store"
    refused = [
        asked(),
        asked(duskbook_window="wrong"),
        asked(duskbook_window=window, cookie="x=y"),
        asked(duskbook_window=window, origin="http://127.0.0.1:8421"),
        asked(duskbook_window=window, sec_fetch_site="same-site"),
        asked(duskbook_window=window, host="evil.example"),
        asked(duskbook_window=window, method="GET"),
        ask_at(guard, "/drafts-key", method="POST", cookie=shown, origin=ORIGIN, duskbook_window=window),
    ]
    assert {answer.status for answer in refused} == {403, 404, 421}
    assert not any(guard.drafts_key.hex() in answer.body for answer in refused)
    assert not behind.reached


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_a_request_embedded_by_another_site_or_port_is_rejected(guard: Guard, behind: Behind, site: str) -> None:
    shown = cookie(guard)
    assert ask(guard, "/week/assets/a.js", cookie=shown, sec_fetch_site=site, sec_fetch_mode="no-cors").status == 403
    assert not behind.reached


def test_the_form_s_script_is_the_only_allowed_file(guard: Guard, behind: Behind) -> None:
    shown = cookie(guard)
    assert ask(guard, "/week/@file/40213-aB3x9.js", cookie=shown).status == 200
    for path in ("/week/@file/1-a.html", "/week/@file/a.js", "/week/@file/1-a/b.js", "/week/@file/1-..js"):
        assert ask(guard, path, cookie=shown).status == 404
    assert ask(guard, "/week/@file/40213-aB3x9.js", cookie=shown, method="POST", origin=ORIGIN).status == 404
    assert ask(guard, "/week/@file/40213-aB3x9.js").status == 403


def test_the_script_of_the_frame_is_for_the_page_alone(guard: Guard, behind: Behind) -> None:
    """It has marimo's token; as a script it could be embedded by a page of another port."""
    shown = cookie(guard)
    answer = ask(guard, "/week/frame.js?on=2025-03-14", cookie=shown, sec_fetch_site="same-origin")
    assert (answer.status, answer.headers["cache-control"]) == (200, "no-store")
    assert answer.headers["cross-origin-resource-policy"] == "same-origin"
    reached = list(behind.reached)
    for site in ("same-site", "cross-site"):
        refused = ask(guard, "/week/frame.js", cookie=shown, sec_fetch_site=site, sec_fetch_mode="no-cors")
        assert refused.status == 403
    assert ask(guard, "/week/frame.js").status == 403
    assert ask(guard, "/week/frame_js", cookie=shown).status == 404
    assert ask(guard, "/week/frame.js", cookie=shown, method="POST", origin=ORIGIN).status == 404
    assert behind.reached == reached


POST = "/week/api/kernel/set_ui_element_value"
MODULE = "/browser/0123456789abcdef/forms.js"


def test_only_our_own_pages_can_load_the_modules(guard: Guard, behind: Behind) -> None:
    shown = cookie(guard)
    assert ask(guard, MODULE).status == 403
    assert ask(guard, MODULE, cookie=shown, host="evil.example").status == 421
    assert ask(guard, MODULE, cookie=shown, origin="http://evil.example").status == 403
    assert ask(guard, MODULE, cookie=shown, sec_fetch_site="cross-site", sec_fetch_mode="cors").status == 403
    assert not behind.reached
    for method in ("GET", "HEAD"):
        answer = ask(guard, MODULE, method=method, cookie=shown, sec_fetch_site="same-origin", sec_fetch_mode="cors")
        assert answer.status == 200
        assert answer.headers["cache-control"] == "private, max-age=31536000, immutable"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert "unsafe" not in answer.headers["content-security-policy"].partition("; style-src")[0]


def test_other_paths_ask_for_the_code_and_tell_nothing_of_the_secret_one(guard: Guard, behind: Behind) -> None:
    right, wrong = ask(guard, "/week/?on=2025-03-13"), ask_at(guard, f"/{'x' * 32}/week/?on=2025-03-13")
    assert right.status == wrong.status == 403
    assert html.unescape(right.body).replace(guard.prefix, "x" * 32) == html.unescape(wrong.body)
    for path in ("/", "/week/", f"/{guard.prefix[:-1]}/week/", f"/{guard.prefix}x/week/", "//", "/.."):
        answer = ask_at(guard, path, cookie=cookie(guard))
        assert answer.status == 403 and "The code in the terminal" in answer.body
        assert guard.prefix not in str(answer.headers)
    assert not behind.reached


SHUT = [
    "/browser/0123456789abcdef/forms.css", "/browser/0123456789abcdef/times.js",
    "/browser/0123456789abcdef/package.json", "/browser/0123456789abcdef/",
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
    assert ask(guard, path, method=method, origin=ORIGIN, cookie=cookie(guard)).status == 404
    assert not behind.reached


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS"])
def test_the_modules_are_read_only(guard: Guard, behind: Behind, method: str) -> None:
    assert ask(guard, MODULE, method=method, origin=ORIGIN, cookie=cookie(guard)).status == 404
    assert not behind.reached


@pytest.mark.parametrize(
    ("path", "to"),
    [("/", "/week/"), ("/?on=2025-03-13", "/week/?on=2025-03-13"), ("/month?month=2025-03", "/month/?month=2025-03")],
)
def test_short_addresses_redirect_to_the_pages(guard: Guard, path: str, to: str) -> None:
    answer = ask(guard, path, cookie=cookie(guard))
    assert (answer.status, answer.headers["location"]) == (303, f"/{guard.prefix}{to}")


def test_the_icon_is_our_own(guard: Guard, behind: Behind) -> None:
    answer = ask_at(guard, "/favicon.ico")
    assert (answer.status, answer.headers["content-type"]) == (200, "image/svg+xml")
    assert ask(guard, "/week/favicon.ico", cookie=cookie(guard)).body == answer.body
    assert not behind.reached


def test_every_answer_has_the_security_headers(guard: Guard) -> None:
    shown = cookie(guard)
    token = guard.entrance.new_token()
    answers = [
        ask(guard, "/week/"), ask(guard, "/week/", cookie=shown), ask(guard, "/week/assets/a.js", cookie=shown),
        ask(guard, "/nothing", cookie=shown), ask(guard, "/week/", host="evil.example"), ask_at(guard, "/week/"),
        enter(guard, token=token), ask_at(guard, "/favicon.ico"), ask(guard, "/", cookie=shown), enter(guard, token=""),
    ]  # fmt: skip
    assert [answer.status for answer in answers] == [403, 200, 200, 404, 421, 403, 200, 200, 303, 403]
    for answer in answers:
        policy = dict(part.split(" ", 1) for part in answer.headers["content-security-policy"].split("; "))
        asks = "<form" in answer.body
        assert policy["default-src"] == policy["frame-ancestors"] == "'none'"
        assert policy["form-action"] == ("'self'" if asks else "'none'")
        assert answer.headers["referrer-policy"] == ("same-origin" if asks else "no-referrer")
        assert policy["connect-src"] == "'self'"
        assert "unsafe" not in policy["script-src"]
        named = re.sub(r"'sha256-[^']+'", "", answer.headers["content-security-policy"])  # a hash may contain "//"
        assert not re.search(r"https?:|\*|//", named)
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["x-frame-options"] == "DENY"
        assert answer.headers["cross-origin-opener-policy"] == "same-origin"
        assert answer.headers["cross-origin-resource-policy"] == "same-origin"
        assert not {"access-control-allow-origin", "etag", "server"} & answer.headers.keys()


def test_pages_are_not_cached_and_assets_are(guard: Guard) -> None:
    shown = cookie(guard)
    assert ask(guard, "/week/", cookie=shown).headers["cache-control"] == "no-store"
    assert "immutable" in ask(guard, "/week/assets/a.js", cookie=shown).headers["cache-control"]


def test_only_the_page_s_own_scripts_may_run(guard: Guard) -> None:
    answer = ask(guard, "/week/", cookie=cookie(guard))
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
