"""marimo's HTML of a page, made to wait: its style sheets and scripts are loaded once the first sight is on the screen.

Between the head and marimo's root stands the place of the first sight, with a script (`first_sight.js`) that asks for
it, shows it, and starts the frame. Both places are the main part of a page that has none of its own. The frame's
preloads of fonts and pictures are left out: no page shows them.
"""

from __future__ import annotations

import json
import re
from functools import cache
from html import escape, unescape
from pathlib import Path

from journal.language.catalogue import N_, _
from journal.language.spoken import spoken
from journal.pages.browser_modules import route_path

_HERE = Path(__file__).parent
_LINK = re.compile(r"""<link rel="(preload|modulepreload|stylesheet)"[^>]*\shref="([^"]*/assets/[^"]*)"[^>]*>\s*""")
_ENTRY = re.compile(r"""<script type="module"[^>]*\ssrc="([^"]*/assets/[^"]*)"[^>]*></script>\s*""")
_ROOT = '<div id="root"></div>'
_LANGUAGE = re.compile(r'(<html[^>]*\slang=")en(")')
_TITLE = re.compile(r"(<title>)([^<]*)(</title>)")

TITLES = (
    N_("Day · Duskbook"), N_("Evening · Duskbook"), N_("Week · Duskbook"), N_("Month · Duskbook"),
    N_("Year · Duskbook"), N_("Settings · Duskbook"),
)  # fmt: skip
"""The titles of the notebooks (`app_title`)."""


def waiting(html: str, *, is_main: bool = False) -> str:
    """The HTML of a page with its frame taken out, for the script to start. HTML of another kind stays as it is.

    The page is of the spoken language, in its title as well. With `is_main` all that the page shows is its main
    landmark: the cells of a review have no element around them but the root of the frame. A page that is a form has its
    own.

    >>> page = '<script type="module" src="./assets/index.js"></script><body><div id="root"></div></body>'
    >>> waiting(page).startswith("<body>"), waiting("<p>Something else</p>")
    (True, '<p>Something else</p>')
    """
    entry = _ENTRY.search(html)
    if entry is None or html.count(_ROOT) != 1:
        return html
    links: dict[str, list[str]] = {"preload": [], "modulepreload": [], "stylesheet": []}

    def take(match: re.Match[str]) -> str:
        links[match[1]].append(match[2])
        return ""

    bare = _ENTRY.sub("", _LINK.sub(take, html))
    bare = _LANGUAGE.sub(rf"\g<1>{spoken().code}\2", bare, count=1)
    bare = _TITLE.sub(lambda match: f"{match[1]}{escape(_(unescape(match[2])))}{match[3]}", bare, count=1)
    told = {
        "ours": f"../{route_path()}",
        "styles": links["stylesheet"],
        "modules": links["modulepreload"],
        "entry": entry[1],
    }
    script = _text("first_sight.js").replace("(OF)", f"({json.dumps(told)})")
    style = f'<style class="first-sight">{_text("first_sight.css")}</style>'
    role = ' role="main"' if is_main else ""
    places = f'<div id="first-sight"{role}></div><div id="root"{role}></div>'
    return bare.replace(_ROOT, f"{style}{places}<script>{script}</script>")


@cache
def _text(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")
