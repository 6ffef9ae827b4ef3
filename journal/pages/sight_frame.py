"""The HTML of a page, which waits for nothing, and marimo's frame, which is added to it by a script.

    page_html("month", head)        the place of the first sight, and a script that asks for it (`first_sight.js`)
    frame_script(html)              marimo's HTML as a script: its own scripts, and what `frame.js` adds to the page

So a page is there before marimo is imported. Its script starts the frame once the first sight is on the screen. Both
places are the main part of a page that has none of its own. The frame's preloads of fonts and pictures are left out:
no page shows them.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from functools import cache
from html import escape, unescape
from pathlib import Path

from journal.language.catalogue import N_, _
from journal.language.spoken import spoken
from journal.pages.browser_modules import route_path

_HERE = Path(__file__).parent
_LINK = re.compile(r"""<link rel="(preload|modulepreload|stylesheet)"[^>]*\shref="([^"]*/assets/[^"]*)"[^>]*>""")
_ENTRY = re.compile(r"""<script type="module"[^>]*\ssrc="([^"]*/assets/[^"]*)"[^>]*></script>""")
_SCRIPT = re.compile(r"<script(?![^>]*\ssrc=)[^>]*>(.*?)</script>", re.DOTALL)
_TOLD = re.compile(r"<(marimo-[\w-]+)[^>]*>[^<]*</\1>")
_STYLE = re.compile(r"<style title='marimo-custom'>(.*?)</style>", re.DOTALL)
_TITLE = re.compile(r"<title>([^<]*)</title>")
_ROOT = '<div id="root"></div>'

TITLES: Mapping[str, str] = {
    "day": N_("Day · Duskbook"), "evening": N_("Evening · Duskbook"), "week": N_("Week · Duskbook"),
    "month": N_("Month · Duskbook"), "year": N_("Year · Duskbook"), "settings": N_("Settings · Duskbook"),
}  # fmt: skip
"""The titles of the notebooks (`app_title`)."""


def page_html(page: str, head: str = "", *, is_main: bool = False) -> str:
    """The HTML of a page, in the spoken language. It has nothing of the journal.

    With `is_main` all that the page shows is its main landmark: the cells of a review have no element around them but
    the root of the frame. A page that is a form has its own.
    """
    script = _text("first_sight.js").replace("(OF)", f"({json.dumps({'ours': f'../{route_path()}'})})")
    role = ' role="main"' if is_main else ""
    return (
        f'<!DOCTYPE html><html lang="{spoken().code}"><head><meta charset="utf-8">'
        f"<title>{escape(_(TITLES[page]))}</title>"
        '<meta name="viewport" content="width=device-width, initial-scale=1"><link rel="icon" href="favicon.ico">'
        f'<link rel="manifest" href="manifest.json"><style title="marimo-custom">{_text("style.css")}</style>'
        f'{head}<style class="first-sight">{_text("first_sight.css")}</style></head>'
        f'<body><div id="first-sight"{role}></div><div id="root"{role}></div><script>{script}</script></body></html>'
    )


def frame_script(html: str) -> str | None:
    """marimo's HTML of a page as a script for that page. None for HTML of another kind.

    A notebook may have another style sheet or title than its page was sent with.

    >>> page = '<script type="module" src="./assets/a.js"></script><div id="root"></div><script>one()</script>'
    >>> frame_script(page)[:6]
    'one();'
    >>> frame_script("<p>Something else</p>") is None
    True
    """
    entry = _ENTRY.search(html)
    if entry is None or html.count(_ROOT) != 1:
        return None
    links: dict[str, list[str]] = {"preload": [], "modulepreload": [], "stylesheet": []}
    for match in _LINK.finditer(html):
        links[match[1]].append(match[2])
    style, title = _STYLE.search(html), _TITLE.search(html)
    told = {
        "elements": "".join(match[0] for match in _TOLD.finditer(html)),
        "title": _(unescape(title[1])) if title else None,
        "style": style[1] if style and style[1].strip() != _text("style.css").strip() else None,
        "styles": links["stylesheet"],
        "modules": links["modulepreload"],
        "entry": entry[1],
    }
    own = "".join(f"{script.strip()};\n" for script in _SCRIPT.findall(html))
    return own + _text("frame.js").replace("(OF)", f"({json.dumps(told)})")


@cache
def _text(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")
