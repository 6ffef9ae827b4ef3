"""The browser's code: native ES modules in `journal/pages/browser/`, served as one file (`browser_bundle`).

    modules_route(app)            serve the modules in front of `app`, at a path that contains their digest
    widget_source("evening")      the source of a widget: an import of its module, or a loader

The server of `journal.pages.server` has the route. Elsewhere (Jupyter, a notebook opened without the server) the
source has the loader (`browser/loader.js`) and the texts of all modules.
"""

from __future__ import annotations

import asyncio
import gzip
import hashlib
import json
import os
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from journal.language.languages import ENGLISH, LANGUAGES
from journal.language.spoken import spoken
from journal.pages import browser_bundle, browser_languages
from journal.pages.asgi import App, Receive, Scope, Send, header
from journal.pages.browser_bundle import bundle

BROWSER = Path(__file__).parent / "browser"
ROUTE = "DUSKBOOK_BROWSER_ROUTE"
"""Environment variable with the path of the route, in a process that has the route."""

WIDGETS = (
    "chapters", "day", "day_pictures", "earlier_states", "evening", "habit_decisions", "page_copies", "paper_sheets",
    "review", "settings", "task_triage", "time_off", "trials", "week_ahead", "yearbook",
)  # fmt: skip
"""The modules that the forms and widgets load."""

_LOADER = "loader.js"


@cache
def module_texts() -> Mapping[str, str]:
    """Map file names to module texts. Read once, so that the digest stays valid while the process runs."""
    return {path.name: path.read_text(encoding="utf-8") for path in sorted(BROWSER.glob("*.js"))}


@cache
def _sources() -> tuple[Mapping[str, str], str]:
    """The texts of all modules with the languages, and the style sheet of the forms. Read once, as above."""
    texts = {**module_texts(), browser_languages.MODULE: browser_languages.module(LANGUAGES.values())}
    return texts, (BROWSER / "forms.css").read_text(encoding="utf-8")


@cache
def served_file() -> bytes:
    """The file of the route: all modules as one, with the style sheet of the forms, compressed once."""
    texts, styles = _sources()
    return gzip.compress(bundle(texts, WIDGETS, "takeover", styles=styles).encode(), 9, mtime=0)


@cache
def route_path() -> str:
    """The path of the file below the server's root, e.g. "browser/0123456789abcdef/forms.js".

    It contains a digest of what the file is made of, so browsers may cache answers forever: changed modules have
    another path. To make the file takes longer, and a browser that was here before does not ask for it.
    """
    code = Path(browser_bundle.__file__).read_text(encoding="utf-8")
    made_of = json.dumps([code, WIDGETS, *_sources()]).encode()
    return f"browser/{hashlib.sha256(made_of).hexdigest()[:16]}/forms.js"


def preload_link() -> str:
    """A preload link for the head of a page, so that the modules load while the first sight is drawn."""
    return f'<link rel="modulepreload" href="../{route_path()}">'


def widget_source(name: str) -> str:
    """The source of a widget's module. Its default export is that of the module `name`."""
    route, code = os.environ.get(ROUTE), spoken().code
    if route:
        # A widget's source is a file of its page, "/evening/@file/60-....js". The import is relative to it, so that a
        # prefix before the page's name also applies to the route.
        names, speaks = "takenOver, forms", ""
        if code != ENGLISH.code:
            names, speaks = f"{names}, speak", f"speak({json.dumps(code)});\n"
        source = f'import {{ {names} }} from "../../{route}";\n{speaks}'
        return source + f'export default takenOver("{name}", forms.{name});\n'
    texts = dict(module_texts())
    if code != ENGLISH.code:
        texts[browser_languages.MODULE] = browser_languages.module([ENGLISH, spoken()], code)
    loader = texts.pop(_LOADER)
    return f"{loader}\nexport default (await loadModules({json.dumps(texts)}, {json.dumps(name + '.js')})).default;\n"


def modules_route(app: App) -> App:
    """`app` with a route to the modules in front. From then on, widgets of this process import from the route."""
    route = route_path()
    os.environ[ROUTE] = route

    async def application(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] not in ("GET", "HEAD") or scope["path"] != f"/{route}":
            await app(scope, receive, send)
            return
        headers = [(b"content-type", b"text/javascript; charset=utf-8")]
        body = await asyncio.to_thread(served_file)
        if any("gzip" in value for value in header(scope, b"accept-encoding")):
            headers.append((b"content-encoding", b"gzip"))
        else:
            body = gzip.decompress(body)
        headers.append((b"content-length", b"%d" % len(body)))
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": body if scope["method"] == "GET" else b""})

    return application
