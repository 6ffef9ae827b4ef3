"""A file that takes the browser into the journal, so that no secret stands in a command line or an address.

The browser is opened with the path of the file. Its page posts a one-time token to the server. Other users can neither
list its folder nor read it, and it is removed as soon as the token is spent.
"""

from __future__ import annotations

import threading

from journal.language.catalogue import _
from journal.language.spoken import spoken
from journal.pages import private_file
from journal.sections.escape import Html, entity

SECONDS = 300
"""How long the file stays if no browser reads it: enough for a slow start of a browser."""

_NAME = "open-journal.html"


class RedirectFile:
    """The file at `path`. It removes itself after `SECONDS`.

    Raises OSError if no private folder can be made.
    """

    def __init__(self, address: str, token: str, to: str) -> None:
        self.path = private_file.write(_NAME, _page(address, token, to))
        self._timer = threading.Timer(SECONDS, self.remove)
        self._timer.daemon = True
        self._timer.start()

    def remove(self) -> None:
        """Remove the file and its folder. May be called again."""
        self._timer.cancel()
        private_file.remove(self.path)


def _page(address: str, token: str, to: str) -> Html:
    fields = "".join(
        f'<input type="hidden" name="{name}" value="{entity(value)}">' for name, value in (("token", token), ("to", to))
    )
    title, button = entity(_("Opening the journal")), entity(_("Open the journal"))
    return Html(
        f'<!doctype html><html lang="{spoken().code}"><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f'<meta name="referrer" content="no-referrer"><title>{title}</title>'
        "<style>:root{color-scheme:light dark}body{margin:20vh 1.5rem;text-align:center;font:1.05rem system-ui}</style>"
        f'<form method="post" action="{entity(address)}">{fields}<button>{button}</button></form>'
        "<script>document.forms[0].submit()</script></html>"
    )
