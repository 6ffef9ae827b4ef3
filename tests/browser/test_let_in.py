"""Who is let in, in a real Chromium: its history, other ports of this machine, and whoever takes the port later."""

from __future__ import annotations

import contextlib
import html
import http.client
import re
import sqlite3
import subprocess
import threading
import time
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import ClassVar

import pytest
from playwright.sync_api import Browser, Page, Playwright, Route, expect

from journal.pages import running_server
from tests.browser.conftest import SIGHT, Opened, Served
from tests.browser.evenings import TODAY, Evening, begin, day
from tests.chromium import ARGUMENTS, chromium

pytestmark = pytest.mark.xdist_group("evening")


PLANT = """<script>navigator.serviceWorker.register("/worker.js", { scope: "/" })
    .then(() => navigator.serviceWorker.ready).then(() => { document.title = "planted"; })</script>"""
WORKER = """self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(clients.claim()));
self.addEventListener("fetch", (event) => event.respondWith(new Response("read by another program")));"""


class Foreign(BaseHTTPRequestHandler):
    """A program at another port, or at ours once it is free. It records what browsers send, and answers everything."""

    heard: ClassVar[list[str]] = []

    def do_GET(self) -> None:
        length = int(self.headers.get("Content-Length", 0))
        body = self.rfile.read(length).decode(errors="replace")
        self.heard.append(f"{self.command} {self.path}\n{self.headers}\n{body}")
        kind, text = {"/worker.js": ("text/javascript", WORKER), "/": ("text/html", PLANT)}.get(
            self.path, ("text/html", "hi")
        )
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(text)))
        self.send_header("Connection", "close")  # a browser would send later requests over it, see the manual
        self.end_headers()
        self.wfile.write(text.encode())

    do_POST = do_GET

    def log_message(self, *_: object) -> None:
        pass


@contextlib.contextmanager
def foreign(port: int = 0) -> Iterator[int]:
    """Such a program at a port, or at any free one."""
    Foreign.heard.clear()
    with ThreadingHTTPServer(("127.0.0.1", port), Foreign) as server:
        server.daemon_threads = True
        thread = threading.Thread(target=server.serve_forever, args=(0.05,))
        thread.start()
        try:
            yield server.server_port
        finally:
            server.shutdown()
            thread.join()


@pytest.fixture(scope="module")
def window(browser: Browser, evening_served: Served) -> Iterator[Page]:
    """A window of a browser of its own, let in by the file that a command opens."""
    begin(evening_served.folder)
    evening_served.turn(TODAY)
    context = browser.new_context()
    page = context.new_page()
    granted = running_server.ask(evening_served.running, "/evening/")
    assert granted is not None and granted.file is not None
    page.goto(granted.file.as_uri(), wait_until="commit")
    Evening(page)
    assert page.url == f"{evening_served.root}/evening/"
    assert not granted.file.exists()
    yield page
    context.close()


def test_another_port_gets_no_cookie_and_its_cookies_do_no_harm(window: Page, evening_served: Served) -> None:
    served = evening_served
    prefix = served.root.rpartition("/")[2]
    with foreign() as port:
        other = window.context.new_page()
        other.goto(f"http://127.0.0.1:{port}/hi")
        assert Foreign.heard and "cookie" not in str(Foreign.heard).lower() and prefix not in str(Foreign.heard)
        # It has learned host and path, by whatever way: then it gets the cookie, and with all of it opens nothing.
        Foreign.heard.clear()
        other.goto(f"http://127.0.0.1:{port}/{prefix}/week/")
        assert f"duskbook_{served.port}" not in Foreign.heard[0]
        Foreign.heard.clear()
        host = served.origin.removeprefix("http://").partition(":")[0]
        other.goto(f"http://{host}:{port}/{prefix}/week/")
        found = re.search(rf"duskbook_{served.port}=[\w-]+", Foreign.heard[0])
        for method, path in (("POST", "evening/api/kernel/set_model_value"), ("GET", "evening/ws?session_id=s_x")):
            assert _status(served, method, f"/{prefix}/{path}", found[0] if found else "") == 403
        other.evaluate("""() => {
            document.cookie = 'user={"name":"Ana"}; path=/';
            for (let i = 0; i < 200; i++) document.cookie = `c${i}=${"x".repeat(4000)}; path=/; Priority=High`;
        }""")
        other.close()
    window.reload()
    evening = Evening(window)
    evening.field("Good thing 1").fill("Still in.")
    evening.save("Saved to")
    assert 'gratitude = ["Still in."]' in day(served.folder, TODAY)
    window.goto(f"{served.origin}/")  # the plain address, in a browser that is let in
    window.wait_for_url(f"{served.root}/**", wait_until="commit")
    window.context.clear_cookies(name=re.compile("^c|^user"))  # too much for the program of the next test


def _status(served: Served, method: str, path: str, cookie: str) -> int:
    """The answer to a program that is no browser, and may claim any origin."""
    connection = http.client.HTTPConnection("127.0.0.1", served.port, timeout=10)
    upgrade = {"Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13",
               "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ=="} if method == "GET" else {}  # fmt: skip
    connection.request(
        method, path, headers={"Host": served.origin[7:], "Cookie": cookie, "Origin": served.origin, **upgrade}
    )
    status = connection.getresponse().status
    connection.close()
    return status


def test_whoever_takes_the_port_gets_nothing_from_an_open_page(
    window: Page, evening_served: Served, evening_opened: Opened
) -> None:
    served = evening_served
    shared, reader = evening_opened
    shared.goto(reader.blank)  # the tab of other tests would report that its server has gone
    window.goto(served.opening("evening"))
    window.locator(SIGHT).wait_for(state="detached")
    evening = Evening(window)
    prefix = served.root.rpartition("/")[2]
    cookie = next(one for one in window.context.cookies() if one["name"] == f"duskbook_{served.port}")
    key = window.evaluate("localStorage.getItem('duskbook window')")
    evening.field("Good thing 2").fill("Only mine.")
    with served.ended(), foreign(served.port):
        _expect_nothing_sent(window, [prefix, str(cookie["value"]), key, "Only mine.", "ookie"])
        other = window.context.new_page()
        other.goto(f"http://127.0.0.1:{served.port}/")  # it leaves a worker that would answer all later requests
        other.wait_for_function("document.title == 'planted'")
        window.goto(served.opening("evening"))  # a reload tells it everything, which is then of no use
        told = "\n".join(Foreign.heard)
        assert prefix in told and str(cookie["value"]) in told
    shown = f"{cookie['name']}={cookie['value']}"
    assert _status(served, "POST", f"/{prefix}/evening/api/kernel/set_model_value", shown) == 403
    assert _status(served, "GET", f"/{prefix}/evening/ws?session_id=s_x&window={key}", shown) == 403
    served.let_in(window)
    window.goto(served.opening("evening"))
    expect(Evening(window).field("Good thing 2")).to_have_value("Only mine.")
    other.goto(f"http://127.0.0.1:{served.port}/again")
    expect(other.locator("body")).to_have_text("read by another program")
    assert window.evaluate("performance.getEntriesByType('navigation')[0].workerStart") == 0
    other.close()
    served.let_in(shared)


@pytest.mark.parametrize("late", ["**/frame.js**", "**/assets/index-*.js"])
def test_whoever_takes_the_port_gets_nothing_from_a_page_before_its_notebook(
    window: Page, evening_served: Served, evening_opened: Opened, late: str
) -> None:
    """The frame of the notebook is late: the page shows its first sight, in which she writes."""
    served = evening_served
    shared, reader = evening_opened
    shared.goto(reader.blank)
    begin(served.folder)
    served.let_in(window)
    page = window.context.new_page()
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    page.route(late, hold)
    page.goto(served.opening("evening"), wait_until="commit")
    expect(page.locator(f"{SIGHT} main.sheet")).to_be_visible()
    Evening(page).field("Good thing 1").fill("Mine before.")
    until = time.monotonic() + 20
    while not held and time.monotonic() < until:
        page.wait_for_timeout(20)
    assert held, "the frame was asked for"
    key = window.evaluate("localStorage.getItem('duskbook window')")
    with served.ended(), foreign(served.port):
        for route in held:
            route.abort()
        _expect_nothing_sent(page, [served.root.rpartition("/")[2], key, "Mine before.", "ookie"])
    page.unroute_all()
    served.let_in(page)
    page.goto(served.opening("evening"))
    expect(Evening(page).field("Good thing 1")).to_have_value("Mine before.")
    page.close()
    served.let_in(window)
    served.let_in(shared)


def _expect_nothing_sent(window: Page, secrets: list[str]) -> None:
    """Save on an open page whose port a foreign program has. It learns nothing, and the page says so at once."""
    evening = Evening(window)
    expect(window.locator(".connection")).to_contain_text("The journal has ended.")
    window.get_by_role("button", name=re.compile("^Save ")).click()
    expect(evening.status).to_contain_text("Not saved: the journal does not answer.", timeout=10_000)
    window.wait_for_timeout(3500)  # marimo would connect again after three seconds
    heard = "\n".join(Foreign.heard)
    assert {line.partition("?")[0] for line in Foreign.heard} == {"GET /proof"}
    assert [secret for secret in secrets if secret in heard] == []


def test_history_and_lists_of_processes_hold_no_way_in(
    playwright: Playwright, evening_served: Served, tmp_path: Path
) -> None:
    """A Chromium that is started as the command starts it, and its profile afterwards."""
    begin(evening_served.folder)
    granted = running_server.ask(evening_served.running, "/evening/")
    assert granted is not None and granted.file is not None
    page = html.unescape(granted.file.read_text())
    (token,) = re.findall(r'name="token" value="([^"]{40,})"', page)
    profile = tmp_path / "profile"
    options = (*ARGUMENTS, "--headless=new", "--remote-debugging-port=0", f"--user-data-dir={profile}")
    listed: set[str] = set()
    with subprocess.Popen([chromium(), *options, granted.file.as_uri()], stderr=subprocess.DEVNULL) as process:
        until = time.monotonic() + 40
        while granted.file.exists() and time.monotonic() < until:
            listed.update(_command_lines())
            time.sleep(0.05)
        assert not granted.file.exists(), "the token was spent"
        port = (profile / "DevToolsActivePort").read_text().split()[0]
        opened = playwright.chromium.connect_over_cdp(f"http://127.0.0.1:{port}")
        Evening(opened.contexts[0].pages[0])
        listed.update(_command_lines())
        opened.new_browser_cdp_session().send("Browser.close")  # writes the history
        assert process.wait(20) == 0
    assert any(granted.file.name in line for line in listed), "the browser was seen"
    assert [line for line in listed if token in line or evening_served.root in line] == []
    with contextlib.closing(sqlite3.connect(profile / "Default" / "History")) as database:
        visited = [url for (url,) in database.execute("select url from urls")]
    assert f"{evening_served.root}/evening/" in visited
    assert [url for url in visited if token in url] == []


def _command_lines() -> Iterator[str]:
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        with contextlib.suppress(OSError):
            yield path.read_bytes().replace(b"\0", b" ").decode(errors="replace")
