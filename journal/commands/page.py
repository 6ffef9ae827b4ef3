"""The work of `duskbook evening`, `week`, `month` and `year`: open a page in the browser."""

from __future__ import annotations

from pathlib import Path

import click

from journal.folder import reading
from journal.pages import server
from journal.periods import PeriodName


def open_page(folder: Path, page: str, at: PeriodName | None, port: int | None, open_browser: bool) -> None:
    """Serve the pages of a journal until Ctrl-C. Opens `page`, at the first day of `at` if given."""
    on = at.period(week_starts=reading.read_settings(folder).settings.week_starts).first if at else None
    server.serve(
        folder,
        page,
        port=server.PORT if port is None else port,
        on=on,
        open_browser=open_browser,
        announce=click.echo,
    )
