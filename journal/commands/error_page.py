"""An error as a page in the browser, for a command that was started from the desktop's menu: nobody sees a terminal."""

from __future__ import annotations

import time
import webbrowser

from journal.language.catalogue import _
from journal.language.spoken import spoken
from journal.pages import private_file
from journal.sections.escape import entity

SECONDS = 60
"""How long the file stays: enough for a slow start of a browser."""


def show(error: str) -> None:
    """Show an error in the browser, and wait until it has read it. Nothing is shown where no file can be written."""
    try:
        path = private_file.write("error.html", page(error))
    except OSError:
        return
    try:
        if webbrowser.open(path.as_uri()):
            time.sleep(SECONDS)
    finally:
        private_file.remove(path)


def page(error: str) -> str:
    """The page. It runs no script and loads nothing."""
    title = entity(_("The journal does not open"))
    after = _("Nothing in it was changed. The entry in the menu is written anew by the command: {command}")
    said = "".join(f"<p>{entity(line)}" for line in (error, after.format(command="duskbook menu")))
    return (
        f'<!doctype html><html lang="{spoken().code}"><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width"><meta name="referrer" content="no-referrer">'
        f"<title>{title}</title><style>:root{{color-scheme:light dark}}"
        "body{max-width:40rem;margin:15vh auto;padding:0 1.5rem;font:1.05rem/1.5 system-ui;overflow-wrap:anywhere}"
        "</style>"
        f"<main><h1>{title}</h1>{said}</main></html>"
    )
