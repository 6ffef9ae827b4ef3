"""The server of all pages. It listens on this machine only, behind `journal.pages.guard`.

    serve(folder, page="week")      open a page: of a server that runs already, or of a new one (`new_server`)

The pages are marimo notebooks in run mode, mounted in one application. They read the journal's folder from the
environment (`journal.pages.page_params`), and marimo its settings from `journal/pages/frame`.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable
from pathlib import Path

from journal.errors import UsageError
from journal.folder.reading import read_settings
from journal.language.catalogue import _
from journal.language.spoken import speaking
from journal.pages import browser_opening, running_server, server_secrets
from journal.pages.page_environment import FOLDER, ON, TODAY
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

    Raises UsageError for an invalid page or port, FolderError if the folder is not a journal, or if a file of Duskbook
    that the pages need is missing.
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
        from journal.pages import new_server  # noqa: PLC0415 - a page of a server that runs already needs none of it

        _set_environment(folder, today, on)
        new_server.run(
            folder, secrets, now, to, open_browser=open_browser, announce=announce, idle_seconds=idle_seconds
        )


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
    browser_opening.open_page(
        f"{secrets.host}:{running.port}", granted.file if open_browser else None, granted.code, announce
    )
    announce(_("The journal is open already, in another terminal. This terminal is free again."))
    return True


def _set_environment(folder: Path, today: dt.date | None, on: dt.date | None) -> None:
    """Tell the notebooks, which run in this process, the journal and its days. marimo reads settings where it works."""
    os.chdir(_FRAME)
    os.environ[FOLDER] = str(folder)
    for name, day in ((TODAY, today), (ON, on)):
        if day is None:
            os.environ.pop(name, None)
        else:
            os.environ[name] = day.isoformat()


def notebook_folder() -> Path:
    """The folder of the notebooks: `notebooks` beside the package in a checkout, `duskbook_notebooks` if installed."""
    beside = Path(__file__).parents[2]
    return next((beside / name for name in ("notebooks", "duskbook_notebooks") if (beside / name).is_dir()), beside)
