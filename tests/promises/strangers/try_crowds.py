"""Thousands of connections of a stranger: silent, slow, half asked, opened as fast as possible; codes without end."""

from __future__ import annotations

import contextlib
import resource
import selectors
import socket
import threading
from collections.abc import Callable
from urllib.parse import urlencode

_BEGUN = {
    "silent": b"",
    "slow": b"GET / HTTP/1.1\r\nHost: x\r\nX-Slow: ",
    "half a body": b"POST /enter HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 4000\r\n\r\ncode=",
    "half a line": b"G",
}
_KINDS = tuple(_BEGUN)

_open: list[socket.socket] = []
_flood = threading.Event()
_flooding: list[threading.Thread] = []


def crowd(port: int, count: int) -> dict[str, object]:
    """Open connections, of each kind in turn, and keep them. Gives how many the server took."""
    _, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (hard, hard))
    before = len(_open)
    refused = 0
    for number in range(count):
        if refused > 2:
            break
        try:
            one = socket.create_connection(("127.0.0.1", port), timeout=5)
            _open.append(one)
            one.sendall(_BEGUN[_KINDS[number % len(_KINDS)]])
        except ConnectionError:  # it was given up already
            pass
        except OSError:
            refused += 1
    return {"tries": count, "opened": len(_open) - before}


def still_open() -> int:
    """How many of them the server has not closed. Each slow one sends another byte."""
    with selectors.DefaultSelector() as selector:
        for one in _open:
            with contextlib.suppress(OSError):
                one.sendall(b"x")
            selector.register(one, selectors.EVENT_READ)
        return len(_open) - len(selector.select(0.1))


def disperse() -> None:
    while _open:
        _open.pop().close()


def flood(port: int, host: str, kind: str) -> None:
    """Until `end_flood`: connections that are opened and left, or codes that are typed."""
    body = urlencode({"code": "ABCDEFGHJKLM", "to": "/"})
    lines = (f"POST /enter HTTP/1.1\r\nHost: {host}:{port}\r\nOrigin: http://{host}:{port}\r\n"
             f"Content-Length: {len(body)}\r\nConnection: close\r\n\r\n{body}")  # fmt: skip
    _flood.set()

    def run() -> None:
        with contextlib.ExitStack() as kept:
            while _flood.is_set():
                with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=5) as one:
                    if kind == "codes":
                        one.sendall(lines.encode())
                        one.recv(100)
                    else:  # held until the server gives it up, in favour of the next
                        kept.enter_context(one.dup())
                        one.sendall(_BEGUN["half a line"])

    _flooding.extend(threading.Thread(target=run, daemon=True) for _ in range(8 if kind == "codes" else 2))
    for thread in _flooding:
        thread.start()


def end_flood() -> None:
    _flood.clear()
    while _flooding:
        _flooding.pop().join()


ATTEMPTS: dict[str, Callable[..., object]] = {
    "crowd": crowd, "still_open": still_open, "disperse": disperse, "flood": flood, "end_flood": end_flood,
}  # fmt: skip
