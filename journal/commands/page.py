"""The work of `duskbook day`, `evening`, `week`, `month` and `year`: open a page in the browser."""

from __future__ import annotations

from pathlib import Path

import click

from journal.commands import clock
from journal.commands.usage_errors import say
from journal.folder import interrupted_save, reading
from journal.folder.opened_files import OpenedFiles
from journal.pages import installation, server
from journal.periods import PeriodName


def open_page(folder: Path, page: str, at: PeriodName | None, port: int | None, open_browser: bool) -> None:
    """Serve the pages of a journal until Ctrl-C. Opens `page`, at the first day of `at` if given.

    The evening of a coming day cannot be closed yet, so the page of that day opens instead, which says why.
    """
    if told := interrupted_save.finish(OpenedFiles(folder), clock.now()):
        say(told)
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
