"""The first sight of a page: what its notebook shows, as HTML, before the frame of the notebook is there.

    sight_route(app)        in front of `app`: answers "/month/first-sight", and begins to draw it with "/month/"

The cells of the notebook are run once outside of a session (`notebook_cells`), so the same functions draw it. They come
as HTML, and the forms as the values that their modules mount (`browser/takeover.js`). marimo's frame is loaded when
that is on the screen, and takes over in place. A fault in the first sight costs nothing but itself: the page then comes
as the frame brings it.

The answer holds the journal, so it is a post, which needs the window key (`journal.pages.guard`); the HTML of a page
has nothing of the journal.
"""

from __future__ import annotations

import asyncio
import concurrent.futures
import gzip
import logging
import threading
import time
from pathlib import Path
from typing import NamedTuple
from urllib.parse import parse_qsl

import msgspec

from journal.language.spoken import speaking, spoken
from journal.pages import elements, sight_context, sight_frame
from journal.pages.asgi import App, Message, Receive, Scope, Send, header
from journal.pages.kept_sights import KeptSights
from journal.pages.notebook_cells import NotebookCells
from journal.pages.sight_cells import SightCells
from journal.pages.sight_elements import SightMarimo

NAME = "first-sight"
_LOG = logging.getLogger(__name__)
_REVIEWS = ("week", "month", "year")  # pages of many parts; the others are one form, which is their main part
_FRESH_SECONDS = 10  # a sight that was begun with its page and not asked for within this time is forgotten


class _Begun(NamedTuple):
    """A first sight that is being drawn, and since when (monotonic seconds)."""

    drawn: concurrent.futures.Future[bytes]
    since: float


class FirstSights:
    """Draws first sights of the notebooks in a folder, one at a time, each in a thread of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._notebooks: dict[str, NotebookCells] = {}
        self._kept = KeptSights()
        self._running = threading.Lock()  # of two at once, the second finds the journal opened
        self._lock = threading.Lock()
        self._begun: dict[tuple[str, str], _Begun] = {}

    def begin(self, page: str, query: str) -> None:
        """Begin to draw, so that it is ready, or nearly, when it is asked for."""
        now = time.monotonic()
        with self._lock:
            self._begun = {key: one for key, one in self._begun.items() if now - one.since < _FRESH_SECONDS}
            if (page, query) not in self._begun:
                self._begun[page, query] = _Begun(self._start(page, query), now)

    def take(self, page: str, query: str) -> concurrent.futures.Future[bytes]:
        """The answer for a page with that query. What was begun is given once: the files may change afterwards."""
        with self._lock:
            begun = self._begun.pop((page, query), None)
        if begun is not None and time.monotonic() - begun.since < _FRESH_SECONDS:
            return begun.drawn
        return self._start(page, query)

    def _start(self, page: str, query: str) -> concurrent.futures.Future[bytes]:
        drawn: concurrent.futures.Future[bytes] = concurrent.futures.Future()

        def draw() -> None:
            try:
                drawn.set_result(self.draw(page, query))
            except BaseException as error:  # told to whoever waits
                drawn.set_exception(error)

        # A thread of its own: what the notebook makes for its page is let go when the thread ends (`page_sessions`).
        threading.Thread(target=draw, name="first sight", daemon=True).start()
        return drawn

    def draw(self, page: str, query: str) -> bytes:
        """A first sight as compressed JSON: a kept one, or what the page's notebook shows. Raises what that raises."""
        state = self._kept.state(page)
        if (answer := self._kept.given(page, query, state)) is not None:
            return answer
        with self._running, speaking(spoken()), sight_context.drawing(dict(parse_qsl(query))) as sight:
            shown = self._notebook(page).run(SightMarimo(self.folder))
            outputs = [output for output in shown if output is not None]
            if unknown := [output for output in outputs if not elements.is_html(output)]:
                raise ValueError(f"only the frame of the notebook can show this: {type(unknown[0]).__name__}")
            texts = [elements.as_html(output) for output in outputs]
            cells = SightCells(sight)
            html = "".join(cells.cell(text) for text in texts if text.strip())
            told = {"html": html, "forms": cells.forms, "language": spoken().code}
            answer = gzip.compress(msgspec.json.encode(told), 1, mtime=0)
        self._kept.keep(page, query, state, answer)
        return answer

    def _notebook(self, page: str) -> NotebookCells:
        if page not in self._notebooks:
            self._notebooks[page] = NotebookCells.of_file(self.folder / f"{page}.py")
        return self._notebooks[page]


def sight_route(app: App, sights: FirstSights, pages: tuple[str, ...]) -> App:
    """`app` with the route to the first sights in front, and its pages made to wait for them."""

    async def application(scope: Scope, receive: Receive, send: Send) -> None:
        page, _, rest = scope.get("path", "")[1:].partition("/")
        if scope["type"] != "http" or page not in pages or rest not in ("", NAME):
            await app(scope, receive, send)
            return
        query = scope.get("query_string", b"").decode("latin-1")
        if rest == NAME:
            await _answer(scope, send, sights.take(page, query))
        elif scope["method"] == "GET":
            sights.begin(page, query)
            await app(scope, receive, _Framed(send, is_main=page in _REVIEWS))
        else:
            await app(scope, receive, send)

    return application


async def _answer(scope: Scope, send: Send, drawn: concurrent.futures.Future[bytes]) -> None:
    """Send a first sight, or 204 in place of one that could not be drawn."""
    status, headers = 200, [(b"content-type", b"application/json")]
    try:
        body = await asyncio.wrap_future(drawn)
    except Exception:
        _LOG.exception("the first sight of a page could not be drawn")
        status, headers, body = 204, [], b""
    if body and any("gzip" in value for value in header(scope, b"accept-encoding")):
        headers.append((b"content-encoding", b"gzip"))
    elif body:
        body = gzip.decompress(body)
    headers.append((b"content-length", b"%d" % len(body)))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})


class _Framed:
    """A `send` that makes marimo's HTML wait for the first sight (`sight_frame`)."""

    def __init__(self, send: Send, *, is_main: bool) -> None:
        self.send = send
        self.is_main = is_main
        self.start: Message = {}
        self.body = b""

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.start = message
            return
        self.body += message.get("body", b"")
        if message.get("more_body", False):
            return
        body, headers = self.body, list(self.start.get("headers", []))
        if self.start["status"] == 200:
            body = sight_frame.waiting(body.decode(), is_main=self.is_main).encode()
            headers = [(name, value) for name, value in headers if name.lower() != b"content-length"]
            headers.append((b"content-length", b"%d" % len(body)))
        await self.send({**self.start, "headers": headers})
        await self.send({"type": "http.response.body", "body": body})
