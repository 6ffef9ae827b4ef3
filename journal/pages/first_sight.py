"""The first sight of a page: what its notebook shows, as HTML, before the frame of the notebook is there.

    sight_route(app, ...)       in front of `app`: "/month/" begins to draw, "/month/first-sight" is what is drawn

The cells of the notebook are run once outside of a session (`notebook_cells`), so the same functions draw it. They come
as HTML, and the forms as the values that their modules mount (`browser/takeover.js`). marimo's frame, the script
"/month/frame.js", is loaded when that is on the screen, and takes over in place. A fault in the first sight costs
nothing but itself: the page then comes as the frame brings it.

The answer holds the journal, so it is a post, which needs the window key (`journal.pages.guard`); the HTML of a page
has nothing of the journal.

A socket, "/month/presence", tells the page that the server has gone: from before the frame is asked for until the page
is closed.
"""

from __future__ import annotations

import asyncio
import concurrent.futures
import functools
import gzip
import logging
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import parse_qsl

import msgspec

from journal.language.spoken import speaking, spoken
from journal.pages import elements, sight_context, sight_frame
from journal.pages.asgi import App, Message, Receive, Scope, Send, header
from journal.pages.notebook_cells import NotebookCells
from journal.pages.sight_cells import SightCells
from journal.pages.sight_elements import SightMarimo

if TYPE_CHECKING:
    from journal.pages.kept_sights import KeptSights

NAME = "first-sight"
FRAME = "frame.js"
PRESENCE = "presence"
_LOG = logging.getLogger(__name__)
_REVIEWS = ("week", "month", "year")  # pages of many parts; the others are one form, which is their main part
_UNASKED_SECONDS = 1.0  # that a drawn sight is waited for to be asked for, before anything else is done
_FRESH_SECONDS = 10  # a sight that was begun with its page and not asked for within this time is forgotten


class _Begun(NamedTuple):
    """A first sight that is being drawn, and since when (monotonic seconds)."""

    drawn: concurrent.futures.Future[bytes]
    since: float


class FirstSights:
    """Draws first sights of the notebooks in a folder, one at a time, each in a thread of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.given = threading.Event()  # once one was answered
        self._notebooks: dict[str, NotebookCells] = {}
        self._running = threading.Lock()  # of two at once, the second finds the journal opened
        self._lock = threading.Lock()
        self._begun: dict[tuple[str, str], _Begun] = {}

    @functools.cached_property
    def _kept(self) -> KeptSights:
        from journal.pages import kept_sights  # noqa: PLC0415 - reads the journal; its import is part of the drawing

        return kept_sights.KeptSights()

    def begin(self, page: str, query: str) -> None:
        """Begin to draw, so that it is ready, or nearly, when it is asked for."""
        now = time.monotonic()
        with self._lock:
            self._begun = {key: one for key, one in self._begun.items() if now - one.since < _FRESH_SECONDS}
            if (page, query) not in self._begun:
                self._begun[page, query] = _Begun(self._start(page, query), now)

    def settled(self) -> None:
        """Wait until what was begun is drawn and was given to a browser. It waits not for ever for a browser."""
        with self._lock:
            begun = [one.drawn for one in self._begun.values()]
        if begun:
            concurrent.futures.wait(begun)
            self.given.wait(_UNASKED_SECONDS)

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


def sight_route(app: App, sights: FirstSights, pages: tuple[str, ...], head: str = "") -> App:
    """`app` with the pages in front, their first sights, and its HTML as the script of their frames. `head` is what
    stands in the head of every page."""

    async def application(scope: Scope, receive: Receive, send: Send) -> None:
        page, _, rest = scope.get("path", "")[1:].partition("/")
        if scope["type"] == "websocket" and page in pages and rest == PRESENCE:
            await _be_present(receive, send)
            return
        if scope["type"] != "http" or page not in pages or rest not in ("", NAME, FRAME):
            await app(scope, receive, send)
            return
        query = scope.get("query_string", b"").decode("latin-1")
        if rest == NAME:
            await _answer(scope, send, sights.take(page, query))
            sights.given.set()
        elif rest == FRAME:
            path = f"/{page}/"
            await app({**scope, "path": path, "raw_path": path.encode()}, receive, _FrameSend(send))
        else:
            if scope["method"] == "GET":
                sights.begin(page, query)
            html = sight_frame.page_html(page, head, is_main=page in _REVIEWS)
            await _send(send, 200, html.encode(), "text/html; charset=utf-8", with_body=scope["method"] == "GET")

    return application


async def _be_present(receive: Receive, send: Send) -> None:
    """Keep a page's socket open until one of the two ends: the page learns that the server has gone."""
    await receive()  # the connect event
    await send({"type": "websocket.accept"})
    while (await receive())["type"] != "websocket.disconnect":
        pass


async def _send(send: Send, status: int, body: bytes, kind: str, *, with_body: bool = True) -> None:
    headers = [(b"content-type", kind.encode()), (b"content-length", b"%d" % len(body))]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body if with_body else b""})


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


class _FrameSend:
    """A `send` that makes a script of marimo's HTML. An answer of another kind is passed on, and starts no frame."""

    def __init__(self, send: Send) -> None:
        self.send = send
        self.start: Message = {}
        self.body = b""

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.start = message
            return
        self.body += message.get("body", b"")
        if message.get("more_body", False):
            return
        script = sight_frame.frame_script(self.body.decode()) if self.start["status"] == 200 else None
        if script is not None:
            await _send(self.send, 200, script.encode(), "text/javascript; charset=utf-8")
            return
        await self.send(self.start)
        await self.send({"type": "http.response.body", "body": self.body})
