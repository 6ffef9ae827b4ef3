"""The server of a journal that runs already, as seen by a command that is run again."""

from __future__ import annotations

import contextlib
import secrets
import socket
import time
from pathlib import Path
from typing import NamedTuple
from urllib.parse import urlencode

from journal.pages.entrance import AGAIN, PROOF, equal, granted_code, prove
from journal.pages.server_secrets import RunningServer, ServerSecrets

_SECONDS = 3.0  # for the whole answer; it comes from this machine
_SIZE_LIMIT = 8_192


class Granted(NamedTuple):
    """Another way in: a redirect file to open, None if the server could not write one, and a code to type."""

    file: Path | None
    code: str


def ask(server: RunningServer, to: str = "") -> Granted | None:
    """Ask a running server for another way in, to the page `to`. None if it has ended.

    Another program may have its port. It gets a proof that is of no use, and its answer is not believed.
    """
    nonce = secrets.token_hex(16)
    proof = prove(server.control_key, "ask", server.port, nonce, to)
    answer = _post(server.port, AGAIN, urlencode({"nonce": nonce, "to": to, "proof": proof}))
    given, _, path = answer.partition(" ")
    if not equal(given, prove(server.control_key, "granted", server.port, nonce, path)):
        return None
    return Granted(Path(path) if path else None, granted_code(server.control_key, server.port, nonce))


def is_there(secrets_kept: ServerSecrets, port: int) -> bool:
    """Whether a server of this journal answers at a port."""
    nonce = secrets.token_hex(16)
    start, _, proof = _post(port, PROOF, nonce).partition(" ")
    return equal(proof, prove(secrets_kept.proof_key, "proof", port, start, nonce))


def _post(port: int, path: str, body: str) -> str:
    """The body of the answer, or "" without one in time. A program that answers slowly or for ever is cut off."""
    lines = (f"POST {path} HTTP/1.1", f"Host: 127.0.0.1:{port}", f"Content-Length: {len(body)}", "Connection: close")
    head = "\r\n".join((*lines, "\r\n"))
    until, answer = time.monotonic() + _SECONDS, b""
    with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=_SECONDS) as connection:
        connection.sendall((head + body).encode())
        while len(answer) < _SIZE_LIMIT and (left := until - time.monotonic()) > 0:
            connection.settimeout(left)
            part = connection.recv(_SIZE_LIMIT)
            if not part:
                break
            answer += part
    return answer.partition(b"\r\n\r\n")[2].decode(errors="replace")
