"""Open a page in the browser."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from journal.pages import server


def open_page(folder: Path, page: str, on: dt.date | None, port: int | None, open_browser: bool) -> None:
    """Serve the pages of a journal until Ctrl-C, and show one of them first, at the day `on` where one is given."""
    server.serve(
        folder,
        page,
        port=server.PORT if port is None else port,
        on=on,
        open_browser=open_browser,
        announce=click.echo,
    )
