"""The work of `duskbook day`, `evening`, `week`, `month` and `year`: open a page in the browser."""

from __future__ import annotations

from pathlib import Path

import click

from journal.commands import clock
from journal.folder import reading
from journal.pages import installation, server
from journal.periods import PeriodName


def open_page(folder: Path, page: str, at: PeriodName | None, port: int | None, open_browser: bool) -> None:
    """Serve the pages of a journal until Ctrl-C. Opens `page`, at the first day of `at` if given.

    The evening of a coming day cannot be closed yet, so the page of that day opens instead, which says why.
    """
    on = None
    if at:
        settings = reading.read_settings(folder).settings
        on = at.period(week_starts=settings.week_starts).first
        if page == "evening" and on > clock.today(settings):
            click.echo(f"{on} is still to come, so its evening cannot be closed yet. This opens its page, to plan it.")
            page = "day"
    installation.refuse_if_incomplete()
    server.serve(
        folder,
        page,
        port=server.PORT if port is None else port,
        on=on,
        open_browser=open_browser,
        announce=click.echo,
    )
