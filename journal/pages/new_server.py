"""A new server of a journal's pages, from its socket to its end.

    run(folder, secrets, now, to, ...)      bind, announce the address, open the browser, serve until Ctrl-C

What a person waits for comes first: the first page begins to be drawn and the browser is opened before the libraries of
the server are imported, and those of the notebooks come last (`mounted_notebooks`).
"""

from __future__ import annotations

import contextlib
import gc
import socket
from collections.abc import Callable
from pathlib import Path

from msgspec.structs import replace

from journal.folder.reading import gc_paused
from journal.language.catalogue import _
from journal.pages import browser_opening, installation, page_sessions, running_server, server_secrets
from journal.pages.browser_modules import modules_route
from journal.pages.entrance import Entrance
from journal.pages.first_sight import FirstSights, sight_route
from journal.pages.guard import Guard
from journal.pages.listeners import listening
from journal.pages.mounted_notebooks import MountedNotebooks
from journal.pages.page_head import page_head
from journal.pages.served_language import ServedLanguage
from journal.pages.server import PAGES, notebook_folder
from journal.pages.server_secrets import RunningServer, ServerSecrets


def run(
    folder: Path,
    secrets: ServerSecrets,
    now: RunningServer,
    to: str,
    *,
    open_browser: bool,
    announce: Callable[[str], None],
    idle_seconds: float | None,
) -> None:
    """Serve the pages, and open `to`. `now` has the port that is asked for; all else is as for `server.serve`."""
    installation.refuse_if_incomplete()
    is_first = not (secrets.running and running_server.is_there(secrets, secrets.running.port))
    page_sessions.share_arenas()
    with gc_paused(), listening(now.port) as listeners:  # a start makes objects that stay, and hardly any garbage
        bound = listeners[0].getsockname()[1]
        if now.port not in (0, bound):
            announce(_("Port {port} is taken; using {other}.", port=now.port, other=bound))
        entrance = Entrance(bound, secrets.host, first=to, say=announce)
        if is_first:
            server_secrets.keep_running(folder, secrets, replace(now, port=bound, control_key=entrance.control_key))
        sights = FirstSights(notebook_folder())
        if open_browser:
            page = to.strip("/").partition("/")[0]
            sights.begin(page, to.partition("?")[2])  # the browser takes longer to start than that to be drawn
        with contextlib.closing(entrance):
            file = entrance.write_redirect(to) if open_browser else None
            browser_opening.open_page(f"{secrets.host}:{bound}", file, entrance.code, announce)
            announce(_("Only this machine can open it. Ctrl-C ends it."))
            notebooks = MountedNotebooks(notebook_folder(), PAGES)
            notebooks.begin(after=sights.settled, then=gc.enable)
            pages = sight_route(modules_route(notebooks), sights, PAGES, page_head(entrance, secrets))
            guard = Guard(pages, pages=PAGES, secrets=secrets, entrance=entrance, language=ServedLanguage(folder))
            _serve(guard, notebooks, listeners, idle_seconds)


def _serve(
    guard: Guard, notebooks: MountedNotebooks, listeners: list[socket.socket], idle_seconds: float | None
) -> None:
    from journal.pages.connections import BoundedServer  # noqa: PLC0415 - the browser was opened before its import

    with contextlib.suppress(KeyboardInterrupt):
        BoundedServer(guard, guard.exchange.cookie, idle_seconds, notebooks.end).run(sockets=listeners)
