"""One small server for all pages: on this machine only, behind the door of `journal.pages.guard`.

    serve(folder, page="week")      bind, say where, open the browser, serve until Ctrl-C

The pages are marimo notebooks in run mode, mounted in one application. They learn which journal they show from
the environment (`journal.pages.page_params`). marimo keeps a log, a state and a settings file in the home folder
unless it is told otherwise; here it keeps none, and takes its settings from `journal/pages/frame`.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import importlib
import logging
import os
import secrets
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from journal.errors import UsageError
from journal.folder.reading import read_settings
from journal.pages.browser_modules import modules_route, preload_links
from journal.pages.guard import App, Guard, Receive, Scope, Send
from journal.pages.page_params import FOLDER, ON, TODAY

PAGES = ("evening", "week", "month", "year")
PORT = 8420
_PORTS_TRIED = 64
_FRAME = Path(__file__).parent / "frame"
# How long a page that was left is still drawn at every edit, in case it comes back. A reload does not, and a page that
# lost its connection for longer begins a session anew by itself.
_SESSION_SECONDS = 5

# Two ways of marimo's page are mended in its head. It registers a service worker for files that these pages do not
# have, which would stay in the browser for this loopback address after the journal is closed: it is told that the
# worker is there already. And it puts a choice into the address but does not follow the way back through such
# addresses: the page opens anew at each.
_HEAD = (
    "<script>"
    "Object.defineProperty(navigator, 'serviceWorker', "
    "{value: {ready: new Promise(() => {}), register: () => new Promise(() => {})}});"
    "addEventListener('popstate', () => location.reload());"
    "</script>"
    '<meta name="color-scheme" content="light dark">'
)


def serve(
    folder: Path,
    page: str = "week",
    *,
    port: int = PORT,
    today: dt.date | None = None,
    on: dt.date | None = None,
    open_browser: bool = True,
    announce: Callable[[str], None] = print,
) -> None:
    """Serve the pages of a journal until Ctrl-C.

    `today` stands in for the clock's own day; `on` is the day whose week, month or year is shown first. A port
    that is taken is left alone: the next free one is used, and `announce` says so. The address that `announce`
    is given holds the token of this start.

    Raises UsageError for a page or port that there is not, FolderError for a folder that is no journal.
    """
    if page not in PAGES:
        raise UsageError(f'there is no page "{page}"; write {", ".join(PAGES[:-1])} or {PAGES[-1]}')
    folder = folder.resolve()  # the pages work from a folder of their own
    read_settings(folder)
    with listening(port) as listener:
        bound = listener.getsockname()[1]
        if port not in (0, bound):
            announce(f"Port {port} is taken; using {bound}.")
        token = secrets.token_urlsafe(32)
        os.environ[FOLDER] = str(folder)
        for name, day in ((TODAY, today), (ON, on)):
            if day is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = day.isoformat()
        guard = Guard(notebooks(), pages=PAGES, port=bound, token=token)
        address = f"http://127.0.0.1:{bound}/{page}?token={token}"
        announce(f"{address}\nOnly this machine can open it. Ctrl-C ends it.")
        if open_browser:
            webbrowser.open(address)
        _run(guard, listener)


def notebook_folder() -> Path:
    """Where the notebooks are: beside the package in a checkout, `duskbook_notebooks` in an installed copy."""
    beside = Path(__file__).parents[2]
    return next((beside / name for name in ("notebooks", "duskbook_notebooks") if (beside / name).is_dir()), beside)


def notebooks() -> App:
    """The pages as one ASGI application, without a door. Changes the working folder, see `frame/.marimo.toml`."""
    os.chdir(_FRAME)
    with _nothing_kept_at_home():
        import marimo  # noqa: PLC0415 - it takes its places from the environment when it is imported

        # Its list of recent notebooks has no place to be either, which is not worth a word to the reader.
        logging.getLogger("marimo").addFilter(lambda record: record.module != "recents")
        builder = marimo.create_asgi_app(
            include_code=False,
            quiet=True,
            skew_protection=True,
            html_head=_HEAD + preload_links(),
            session_ttl=_SESSION_SECONDS,
            asset_url=f"/{PAGES[0]}",  # one address for the scripts of all pages: the browser has them from the first
        )
        for page in PAGES:
            builder = builder.with_app(path=f"/{page}", root=str(notebook_folder() / f"{page}.py"))
        return modules_route(_closing(builder.build()))


def _closing(pages: Any) -> App:
    """The mounted pages, whose sessions end with the server: one that is left running would keep the process."""

    async def application(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":
            # A tab that is closed just while the part underneath turns to listen again: nobody is left to be told.
            with contextlib.suppress(RuntimeError):
                await pages(scope, receive, send)
            return
        if scope["type"] != "lifespan":
            await pages(scope, receive, send)
            return
        await receive()
        await send({"type": "lifespan.startup.complete"})
        await receive()
        for mounted in pages.routes:
            sessions = getattr(getattr(mounted.app, "state", None), "session_manager", None)
            if sessions is not None:
                await sessions.shutdown()
        await send({"type": "lifespan.shutdown.complete"})

    return application


@contextlib.contextmanager
def listening(port: int) -> Iterator[socket.socket]:
    """A socket bound to the loopback address, at `port` or the first free one after it; 0 is any free one.

    Raises UsageError where none of the next ports is free, or there is no such port.
    """
    if not 0 <= port <= 65535:
        raise UsageError(f"there is no port {port}; write one from 1024 to 65535")
    last = port if port == 0 else min(port + _PORTS_TRIED, 65535)
    for candidate in range(port, last + 1):
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if sys.platform != "win32":  # there the option would let two servers share a port
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind(("127.0.0.1", candidate))
            listener.listen(128)
        except OSError:
            listener.close()
            continue
        with listener:
            yield listener
        return
    raise UsageError(f"no port from {port} to {last} is free; write another with --port")


@contextlib.contextmanager
def _nothing_kept_at_home() -> Iterator[None]:
    """While marimo is imported, its log and state folders are a place where no folder can be.

    It takes both places once, at import, and goes without where it cannot make them. Afterwards the environment
    is as it was, so that a browser started from here finds its own.
    """
    names = ("XDG_CACHE_HOME", "XDG_STATE_HOME")
    before = {name: os.environ.get(name) for name in names}
    os.environ.update(dict.fromkeys(names, os.devnull))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value


def _run(app: App, listener: socket.socket) -> None:
    import uvicorn  # noqa: PLC0415 - not needed to build a page

    config = uvicorn.Config(
        app,
        log_level="error",
        access_log=False,
        lifespan="on",
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=1,
    )
    threading.Thread(target=_warm, daemon=True).start()
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listener])


def _warm() -> None:
    """Import what the pages draw with while the browser is still starting; their sessions share this process."""
    for module in ("polars", "vl_convert", "journal.tables", "journal.charts.month_grid", "journal.sections.cards"):
        with contextlib.suppress(ImportError):  # the page itself will say so, where someone sees it
            importlib.import_module(module)
