"""The work of `duskbook day`, `evening`, `week`, `month` and `year`: open a page in the browser."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from journal.commands import clock
from journal.commands.usage_errors import say
from journal.folder import interrupted_save, reading
from journal.folder.opened_files import OpenedFiles
from journal.language.catalogue import _
from journal.pages import server
from journal.periods import PeriodName

IDLE_SECONDS = 600.0
"""How long a server waits for another page, if it ends by itself. A computer that wakes up has its page back sooner."""


def _is_watched() -> bool:
    """Whether a person, or a program that asked for it, reads what is printed."""
    return sys.stdout is not None and sys.stdout.isatty()


def open_page(
    folder: Path,
    page: str,
    at: PeriodName | None,
    port: int | None,
    *,
    no_browser: bool = False,
    until_closed: bool = False,
) -> None:
    """Serve the pages of a journal until Ctrl-C. Opens `page`, at the first day of `at` if given.

    With `until_closed` it ends some time after the last page was closed. Started so without a terminal, it prints
    nothing: what it prints would be kept in the log of the desktop, with the code that lets a browser in.

    The evening of a coming day cannot be closed yet, so the page of that day opens instead, which says why.
    """
    if told := interrupted_save.finish(OpenedFiles(folder), clock.now()):
        say(told)
    on = None
    if at:
        settings = reading.read_settings(folder).settings
        on = at.period(week_starts=settings.week_starts).first
        if page == "evening" and on > clock.today(settings):
            text = _("{day} is still to come, so its evening cannot be closed yet. This opens its page, to plan it.")
            click.echo(text.format(day=on))
            page = "day"
    server.serve(
        folder,
        page,
        port=server.PORT if port is None else port,
        on=on,
        open_browser=not no_browser,
        announce=(lambda _text: None) if until_closed and not _is_watched() else click.echo,
        idle_seconds=IDLE_SECONDS if until_closed else None,
    )
