"""The server of all pages. It listens on this machine only, behind `journal.pages.guard`.

    serve(folder, page="week")      bind, announce the address, open the browser, serve until Ctrl-C

The pages are marimo notebooks in run mode, mounted in one application. They read the journal's folder from the
environment (`journal.pages.page_params`), and marimo its settings from `journal/pages/frame`.

What a person waits for comes first: the browser is opened and the first page begins to be drawn before the libraries of
the server and of the notebooks are imported (`journal.pages.mounted_notebooks`).
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path

from msgspec.structs import replace

from journal.errors import UsageError
from journal.folder.reading import read_settings
from journal.language.catalogue import _
from journal.language.spoken import speaking
from journal.pages import page_sessions, running_server, server_secrets
from journal.pages.browser_modules import modules_route
from journal.pages.entrance import Entrance
from journal.pages.first_sight import FirstSights, sight_route
from journal.pages.guard import Guard
from journal.pages.listeners import listening
from journal.pages.mounted_notebooks import MountedNotebooks
from journal.pages.page_environment import FOLDER, ON, TODAY
from journal.pages.page_head import page_head
from journal.pages.served_language import ServedLanguage
from journal.pages.server_secrets import RunningServer, ServerSecrets
from journal.wording import numbers

PAGES = ("day", "evening", "week", "month", "year", "settings")
PORT = 8420
_FRAME = Path(__file__).parent / "frame"


def serve(
    folder: Path,
    page: str = "week",
    *,
    port: int = PORT,
    today: dt.date | None = None,
    on: dt.date | None = None,
    open_browser: bool = True,
    announce: Callable[[str], None] = print,
    idle_seconds: float | None = None,
) -> None:
    """Serve the pages of a journal until Ctrl-C.

    `today` replaces the current day; `on` is the day whose week, month or year is shown first. If the port is taken,
    the next free one is used and announced. If the journal is served already, its server opens the page instead.
    With `idle_seconds` it ends when no page has been open for so long.

    Raises UsageError for an invalid page or port, FolderError if the folder is not a journal.
    """
    if page not in PAGES:
        raise UsageError(_('there is no page "{page}"; write {pages}', page=page, pages=numbers.listed(PAGES, "or")))
    folder = folder.resolve()  # the working folder of the pages is another one
    read_settings(folder)
    secrets = server_secrets.lasting(folder)
    to = f"/{page}/" + (f"?on={on.isoformat()}" if on else "")
    now = RunningServer(port, str(folder), today.isoformat() if today else "", b"")
    with speaking(ServedLanguage(folder)()):
        if _is_open_already(secrets, now, to, open_browser, announce):
            return
        _set_environment(folder, today, on)
        with page_sessions.uncollected():
            _serve(folder, secrets, now, to, open_browser=open_browser, announce=announce, idle_seconds=idle_seconds)


def _is_open_already(
    secrets: ServerSecrets, now: RunningServer, to: str, open_browser: bool, announce: Callable[[str], None]
) -> bool:
    """Whether the journal is served already. Its server has then opened the page."""
    running = secrets.running
    if not running or (now.folder, now.today) != (running.folder, running.today):
        return False
    granted = running_server.ask(running, to) if now.port in (PORT, running.port) else None
    if granted is None:
        return False
    _open(f"{secrets.host}:{running.port}", granted.file if open_browser else None, granted.code, announce)
    announce(_("The journal is open already, in another terminal. This terminal is free again."))
    return True


def _serve(
    folder: Path,
    secrets: ServerSecrets,
    now: RunningServer,
    to: str,
    *,
    open_browser: bool,
    announce: Callable[[str], None],
    idle_seconds: float | None,
) -> None:
    is_first = not (secrets.running and running_server.is_there(secrets, secrets.running.port))
    page_sessions.share_arenas()
    with listening(now.port) as listeners:
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
            _open(
                f"{secrets.host}:{bound}",
                entrance.write_redirect(to) if open_browser else None,
                entrance.code,
                announce,
            )
            announce(_("Only this machine can open it. Ctrl-C ends it."))
            notebooks = MountedNotebooks(notebook_folder(), PAGES)
            notebooks.begin(after=sights.settled, then=page_sessions.collect_again)
            pages = sight_route(modules_route(notebooks), sights, PAGES, page_head(entrance, secrets))
            guard = Guard(pages, pages=PAGES, secrets=secrets, entrance=entrance, language=ServedLanguage(folder))
            _run(guard, notebooks, listeners, idle_seconds)


def _set_environment(folder: Path, today: dt.date | None, on: dt.date | None) -> None:
    """Tell the notebooks, which run in this process, the journal and its days. marimo reads settings where it works."""
    os.chdir(_FRAME)
    os.environ[FOLDER] = str(folder)
    for name, day in ((TODAY, today), (ON, on)):
        if day is None:
            os.environ.pop(name, None)
        else:
            os.environ[name] = day.isoformat()


def _open(place: str, file: Path | None, code: str, announce: Callable[[str], None]) -> None:
    """Announce the address with the code, and open the browser with a redirect file if there is one."""
    if file:
        how = _("If no browser opens, go there and type the code {code}", code=code)
    else:
        how = _("Open it in a browser and type the code {code}", code=code)
    announce(f"http://{place}/\n{how}")
    if file:
        webbrowser.open(file.as_uri())


def notebook_folder() -> Path:
    """The folder of the notebooks: `notebooks` beside the package in a checkout, `duskbook_notebooks` if installed."""
    beside = Path(__file__).parents[2]
    return next((beside / name for name in ("notebooks", "duskbook_notebooks") if (beside / name).is_dir()), beside)


def _run(guard: Guard, notebooks: MountedNotebooks, listeners: list[socket.socket], idle_seconds: float | None) -> None:
    from journal.pages.connections import BoundedServer  # noqa: PLC0415 - the browser was opened before its import

    with contextlib.suppress(KeyboardInterrupt):
        BoundedServer(guard, guard.exchange.cookie, idle_seconds, notebooks.end).run(sockets=listeners)
