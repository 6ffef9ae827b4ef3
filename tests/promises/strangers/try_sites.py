"""Servers of a stranger that the owner's browser visits: they record what it sends, set cookies, and serve attacks."""

from __future__ import annotations

import contextlib
import socket
import threading
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import ClassVar
from urllib.parse import urlsplit

_HERE = Path(__file__).parent
_WORKER = """self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(clients.claim()));
self.addEventListener("fetch", (event) => event.respondWith(new Response("read by another program")));"""
_PAGE = '<!doctype html><title>a page</title><body><script src="/attack.js"></script></body>'


class Hostile(BaseHTTPRequestHandler):
    """It answers every request as if it were the one that was meant, lets every origin read, and closes."""

    heard: ClassVar[list[str]] = []
    cookies: ClassVar[list[str]] = []

    def do_GET(self) -> None:
        length = int(self.headers.get("Content-Length", 0))
        body = self.rfile.read(length).decode(errors="replace")
        self.heard.append(f"{self.command} {self.path}\n{self.headers}\n{body}")
        path = urlsplit(self.path).path
        kind, text = "text/html", _PAGE
        if path == "/attack.js":
            kind, text = "text/javascript", (_HERE / "hostile_page.js").read_text(encoding="utf-8")
        elif path == "/worker.js":
            kind, text = "text/javascript", _WORKER
        self.send_response(200)
        headers = {"Content-Type": kind, "Content-Length": str(len(text)), "Connection": "close",
                   "Access-Control-Allow-Origin": self.headers.get("Origin", "*"),
                   "Access-Control-Allow-Credentials": "true", "Service-Worker-Allowed": "/"}  # fmt: skip
        for name, value in headers.items():
            self.send_header(name, value)
        if path == "/visit":
            for cookie in self.cookies:
                self.send_header("Set-Cookie", cookie)
        if path == "/clear":
            self.send_header("Clear-Site-Data", '"cookies", "cache", "storage"')
        self.end_headers()
        self.wfile.write(text.encode())

    do_POST = do_HEAD = do_OPTIONS = do_PUT = do_GET

    def log_message(self, *_: object) -> None:
        pass


class AtSix(ThreadingHTTPServer):
    address_family = socket.AF_INET6


_running: list[ThreadingHTTPServer] = []


def serve(port: int) -> int:
    """Serve at a port of both addresses, 0 for a free one. Gives the port, or 0 if another program has it."""
    with contextlib.suppress(OSError):
        first = ThreadingHTTPServer(("127.0.0.1", port), Hostile)
        _start(first)
        with contextlib.suppress(OSError):
            _start(AtSix(("::1", first.server_port), Hostile))
        return first.server_port
    return 0


def serve_beside(port: int) -> int:
    """Serve at the port of a running server, at the machine's other address. Gives 0 if that is refused."""
    with contextlib.suppress(OSError):
        _start(AtSix(("::1", port), Hostile))
        return port
    return 0


def _start(server: ThreadingHTTPServer) -> None:
    server.daemon_threads = True
    _running.append(server)
    threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()


def stop() -> None:
    while _running:
        server = _running.pop()
        server.shutdown()
        server.server_close()


def heard() -> list[str]:
    """What was recorded, which is forgotten then."""
    given = list(Hostile.heard)
    Hostile.heard.clear()
    return given


def set_cookies(cookies: list[str]) -> None:
    """The cookies that a visit sets from now on."""
    Hostile.cookies[:] = cookies


ATTEMPTS: dict[str, Callable[..., object]] = {
    "serve": serve, "serve_beside": serve_beside, "stop": stop, "heard": heard, "set_cookies": set_cookies,
}  # fmt: skip
