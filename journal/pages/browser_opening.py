"""The address of a page, told in the terminal, and the browser that is opened with it."""

from __future__ import annotations

import webbrowser
from collections.abc import Callable
from pathlib import Path

from journal.language.catalogue import _


def open_page(place: str, file: Path | None, code: str, announce: Callable[[str], None]) -> None:
    """Announce the address with the code, and open the browser with a redirect file if there is one."""
    if file:
        how = _("If no browser opens, go there and type the code {code}", code=code)
    else:
        how = _("Open it in a browser and type the code {code}", code=code)
    announce(f"http://{place}/\n{how}")
    if file:
        webbrowser.open(file.as_uri())
