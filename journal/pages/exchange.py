"""The requests that are answered outside of the secret path: what lets a browser in, and what proves the server.

    POST /enter   a one-time token, a code or a window key in exchange for the session
    POST /again   a command of the same user asks for another way in (`journal.pages.running_server`)
    POST /proof   a command asks whether this server is of its journal; a tab asks the same over a websocket (`head.js`)

Nothing here tells the secret path to anyone without one of the three.
"""

from __future__ import annotations

import asyncio
import re
from urllib.parse import parse_qsl

from journal.pages import entrance_pages as pages
from journal.pages.asgi import Receive, Scope, Send, answer, header, short_body
from journal.pages.entrance import AGAIN, ENTER, PROOF, Entrance, equal, prove
from journal.pages.server_secrets import ServerSecrets

_BODY_LIMIT = 4_096  # bytes
_ANSWER_SECONDS = 10
_NONCE = re.compile(r"[0-9a-f]{32}", re.ASCII)
_QUERY = re.compile(r"[\w=&.%+~-]{0,300}", re.ASCII)


class Exchange:
    """Answers POST requests outside of the secret path. `page_names` are the pages that may be entered at."""

    def __init__(self, entrance: Entrance, secrets: ServerSecrets, page_names: tuple[str, ...]) -> None:
        self.entrance = entrance
        self.secrets = secrets
        self.page_names = page_names
        self.cookie = f"duskbook_{entrance.port}"

    async def post(self, scope: Scope, receive: Receive, send: Send, *, from_here: bool) -> bool:
        """Answer a request if it is one of the three; return whether it was.

        `from_here` tells whether the request comes from a page of this server, or from no page at all. A token may
        come from anywhere: the page that posts it is a file.
        """
        path = scope["path"]
        if path not in (ENTER, AGAIN, PROOF):
            return False
        is_command = not header(scope, b"origin") and not header(scope, b"sec-fetch-site")  # browsers send these
        try:
            body = await asyncio.wait_for(short_body(receive, _BODY_LIMIT), _ANSWER_SECONDS)
        except TimeoutError:
            body = None
        if body is None:
            await answer(send, 400, pages.message(*pages.NOT_HERE))
        elif path == PROOF and is_command:
            proof = self.proof(body)
            await answer(send, 200 if proof else 400, proof, kind="text/plain")
        elif path == AGAIN and is_command:
            await self._again(send, dict(parse_qsl(body)))
        elif path == ENTER:
            await self._enter(send, dict(parse_qsl(body)), from_here=from_here)
        else:
            await answer(send, 403, pages.message(*pages.NOT_HERE))
        return True

    def page_address(self, to: str) -> str:
        """The path of the page that `to` names, else of the one that the command asked for, else of the first page.

        `to` may begin with the secret path. Only names of pages are taken over, so no text of a request becomes the
        target.
        """
        path, _, query = (to if to.strip("/") else self.entrance.first).partition("?")
        named = [name for name in self.page_names if name == path.strip("/").rpartition("/")[2]]
        asked = f"?{query}" if named and query and _QUERY.fullmatch(query) else ""
        return f"/{self.secrets.prefix}/{(named or self.page_names)[0]}/{asked}"

    async def _enter(self, send: Send, fields: dict[str, str], *, from_here: bool) -> None:
        to = fields.get("to", "")
        if "token" in fields:
            if self.entrance.spend_token(fields["token"]):
                await self._let_in(send, to)
            else:
                await answer(send, 403, pages.sign_in(*pages.SPENT, ""))
        elif not from_here:
            await answer(send, 403, pages.message(*pages.NOT_HERE))
        elif "key" in fields:
            if equal(fields["key"], self.entrance.window_key):
                await answer(send, 200, self.page_address(to), kind="text/plain", extra=[self._set_cookie()])
            else:
                await answer(send, 403, "", kind="text/plain")
        elif self.entrance.spend_code(fields.get("code", "")):
            await self._let_in(send, to)
        else:
            await answer(send, 403, pages.sign_in(*pages.WRONG, to))

    async def _let_in(self, send: Send, to: str) -> None:
        page = pages.entered(self.page_address(to), self.entrance.window_key)
        await answer(send, 200, page, extra=[self._set_cookie()])

    def _set_cookie(self) -> tuple[bytes, bytes]:
        limits = f"Path=/{self.secrets.prefix}/; HttpOnly; SameSite=Strict; Priority=High"
        return b"set-cookie", f"{self.cookie}={self.entrance.cookie_value}; {limits}".encode()

    async def _again(self, send: Send, fields: dict[str, str]) -> None:
        nonce, to = fields.get("nonce", ""), fields.get("to", "")
        granted = self.entrance.grant(nonce, to, fields.get("proof", "")) if _NONCE.fullmatch(nonce) else None
        await answer(send, 403 if granted is None else 200, granted or "", kind="text/plain; charset=utf-8")

    async def prove_on_socket(self, nonce: str, receive: Receive, send: Send) -> None:
        """Answer a tab's question on a websocket, then close it."""
        await receive()  # the connect event
        await send({"type": "websocket.accept"})
        await send({"type": "websocket.send", "text": self.proof(nonce)})
        await send({"type": "websocket.close"})

    def proof(self, nonce: str) -> str:
        """The name of this start, with a proof that the server is of the journal. Empty if the nonce is none."""
        if not _NONCE.fullmatch(nonce):
            return ""
        start, port = self.entrance.start, self.entrance.port
        return f"{start} {prove(self.secrets.proof_key, 'proof', port, start, nonce)}"


def cookie_values(headers: list[str], name: str) -> list[str]:
    """The values of a cookie in the cookie headers of a request, whatever other cookies are there.

    Other local programs can set cookies of any form for this address.

    >>> cookie_values(['user={"name":"Ana"}; a="x;duskbook=1', 'duskbook="2"; duskbook'], "duskbook")
    ['1', '2']
    """
    pairs = [part.partition("=") for line in headers for part in line.split(";")]
    return [value.strip().strip('"') for key, sign, value in pairs if sign and key.strip() == name]
