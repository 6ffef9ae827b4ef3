"""What a stranger asks the server: paths, names, methods, codes, tokens, keys, and what was used already."""

from __future__ import annotations

import contextlib
import http.client
import random
import secrets as randomness
import socket
import threading
from collections import Counter
from collections.abc import Callable
from urllib.parse import urlencode

_METHODS = ("GET", "GET", "GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "PROPFIND")
_PAGES = ("day", "evening", "week", "month", "year", "settings", "manual", "drafts-key", "browser", "api", "ws", "auth")
_RESTS = (
    "", "/", "/ws", "/presence", "/api/kernel/set_model_value", "/assets/index.js", "/@file/1-x.js", "/health", "//",
    "/api/status", "/../evening/", "/%2e%2e/week/", "/.cache/server.json", "/public-files-sw.js", "/api/files/read",
)  # fmt: skip
_PUBLIC = ("/favicon.ico", "/proof")
_ALPHABET = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
_THREADS = 8

Answer = tuple[int, bytes]


def ask(port: int, method: str, path: str, headers: dict[str, str], body: str = "") -> Answer:
    """The status and everything that was answered; 0 if there was no answer."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    try:
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in ({"Content-Length": str(len(body))} | headers).items():
            connection.putheader(name, value)
        connection.endheaders(body.encode())
        answer = connection.getresponse()
        return answer.status, str(answer.headers).encode() + answer.read(1_000_000)
    except (OSError, http.client.HTTPException, ValueError):
        return 0, b""
    finally:
        connection.close()


def guess_paths(port: int, count: int, seed: int, host: str, secrets: list[str]) -> dict[str, object]:
    """Requests of every shape that does not know the secret path."""
    draw = random.Random(seed)
    hosts = (
        f"{host}:{port}",
        f"127.0.0.1:{port}",
        f"localhost:{port}",
        f"[::1]:{port}",
        "site.example",
        f"x:{port}",
        "",
    )
    got, seen = [], Counter[int]()
    for _ in range(count):
        first = draw.choice(("", f"/{randomness.token_urlsafe(24)}", "/.", "//", "/%00", f"/{'A' * 32}", "/*"))
        path = f"{first}/{draw.choice(_PAGES)}{draw.choice(_RESTS)}" if draw.random() < 0.9 else draw.choice(_PUBLIC)
        headers = {"Host": draw.choice(hosts)}
        if draw.random() < 0.5:
            headers["Origin"] = draw.choice((f"http://{headers['Host']}", "null", "http://site.example", ""))
        if draw.random() < 0.3:
            headers["Cookie"] = draw.choice((f"duskbook_{port}=", f"duskbook_{port}={randomness.token_urlsafe(32)}",
                                             'user={"name":"Ana"}', f'duskbook_{port}="', "\x7f=;;;=;"))  # fmt: skip
        if draw.random() < 0.2:
            headers |= {"Upgrade": "websocket", "Connection": "Upgrade", "Sec-WebSocket-Version": "13",
                        "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ=="}  # fmt: skip
        method = draw.choice(_METHODS)
        status, content = ask(port, method, path, headers)
        seen[status] += 1
        is_public = path in _PUBLIC
        if (200 <= status < 400 or status == 101) and not is_public:
            got.append(f"{status} to {method} {path}")
        got += [f"secret {i} from {method} {path}" for i, one in enumerate(secrets) if one.encode() in content]
    return {"tries": count, "got": got, "statuses": dict(seen)}


def _exchange(port: int, host: str, fields: dict[str, str], path: str = "/enter", origin: str | None = "") -> Answer:
    headers = {"Host": f"{host}:{port}"}
    if origin is not None:
        headers["Origin"] = origin or f"http://{host}:{port}"
    return ask(port, "POST", path, headers, urlencode(fields))


def _spread(count: int, one: Callable[[], Answer]) -> dict[str, object]:
    """Ask so many times from several threads. Gives the answers by their status."""
    seen, got = Counter[int](), []

    def run() -> None:
        for _ in range(count // _THREADS):
            status, _ = one()
            seen[status] += 1
            if status == 200:
                got.append("it was let in")

    threads = [threading.Thread(target=run) for _ in range(_THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return {"tries": seen.total(), "got": got, "statuses": dict(seen)}


def _random_code() -> str:
    return "".join(randomness.choice(_ALPHABET) for _ in range(12))


def guess_codes(port: int, count: int, host: str) -> dict[str, object]:
    return _spread(count, lambda: _exchange(port, host, {"code": _random_code()}))


def guess_tokens(port: int, count: int, host: str) -> dict[str, object]:
    return _spread(count, lambda: _exchange(port, host, {"token": randomness.token_urlsafe(32)}, origin="null"))


def guess_keys(port: int, count: int, host: str) -> dict[str, object]:
    return _spread(count, lambda: _exchange(port, host, {"key": randomness.token_urlsafe(32)}))


def guess_proofs(port: int, count: int, host: str) -> dict[str, object]:
    """Ask for another way in, as the command does that has the server's key."""

    def one() -> Answer:
        fields = {"nonce": randomness.token_hex(16), "to": "/evening/", "proof": randomness.token_hex(32)}
        return _exchange(port, host, fields, "/again", None)

    return _spread(count, one)


def replay(port: int, host: str, fields: list[dict[str, str]]) -> dict[str, object]:
    """Use again what was used: at every name and from every origin."""
    got, tries = [], 0
    for name in (host, "127.0.0.1", "localhost", "[::1]"):
        for origin in ("null", "", None):
            for field in fields:
                tries += 1
                status, _ = _exchange(port, name, field, origin=origin)
                if status == 200:
                    got.append(f"{next(iter(field))} opened again at {name}")
    return {"tries": tries, "got": got}


def use_cookie(port: int, host: str, prefix: str, cookies: list[str], keys: list[str]) -> dict[str, object]:
    """Ask for everything private with what was learned: the path, cookies, keys, each also alone."""
    got, tries = [], 0
    upgrade = {"Upgrade": "websocket", "Connection": "Upgrade", "Sec-WebSocket-Version": "13",
               "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ=="}  # fmt: skip
    for cookie in ["", *cookies]:
        for key in ["", *keys]:
            headers = {"Host": f"{host}:{port}", "Origin": f"http://{host}:{port}", "Cookie": cookie}
            asked = (
                ("POST", f"/{prefix}/drafts-key", {"Duskbook-Window": key}),
                ("POST", f"/{prefix}/evening/api/kernel/set_model_value", {"Duskbook-Window": key}),
                ("GET", f"/{prefix}/evening/ws?session_id=s_strang&window={key}", upgrade),
                ("GET", f"/{prefix}/evening/presence?window={key}", upgrade),
            )
            for method, path, more in asked:
                tries += 1
                status, _ = ask(port, method, path, headers | more)
                if status in (101, 200):
                    got.append(f"{status} to {method} {path.partition('?')[0].rpartition('/')[2]}")
    return {"tries": tries, "got": got}


_taken: list[socket.socket] = []


def take(port: int) -> dict[str, object]:
    """Listen at the port of the running server, at every address and in every way that the system may allow."""
    got, tries = [], 0
    addresses = ((socket.AF_INET, "127.0.0.1"), (socket.AF_INET, "0.0.0.0"), (socket.AF_INET, "127.0.0.2"),
                 (socket.AF_INET6, "::1"), (socket.AF_INET6, "::"), (socket.AF_INET6, "::ffff:127.0.0.1"))  # fmt: skip
    for family, address in addresses:
        for options in ((), (socket.SO_REUSEADDR,), (socket.SO_REUSEADDR, socket.SO_REUSEPORT)):
            tries += 1
            with contextlib.suppress(OSError):
                one = socket.socket(family)
                _taken.append(one)
                for option in options:
                    one.setsockopt(socket.SOL_SOCKET, option, 1)
                one.bind((address, port))
                one.listen()
                if address != "127.0.0.2":  # no browser knows a name as that
                    got.append(f"listens at {address}")
    for one in _taken:
        one.close()
    _taken.clear()
    return {"tries": tries, "got": got}


ATTEMPTS: dict[str, Callable[..., object]] = {
    "guess_paths": guess_paths, "guess_codes": guess_codes, "guess_tokens": guess_tokens, "guess_keys": guess_keys,
    "guess_proofs": guess_proofs, "replay": replay, "use_cookie": use_cookie, "take": take,
}  # fmt: skip
