"""The browser's own code: native ES modules in `journal/pages/browser/`, loaded as they are.

    modules_route(app)            hand them out in front of `app`, at an address that holds a digest of them all
    widget_source("evening")      what a widget is served as: a line that leads to the module, or a loader

The server of `journal.pages.server` has the route. Elsewhere (Jupyter, a notebook that is opened by itself) there is
none, and the loader brings the texts of the modules along (`browser/loader.js`).
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from journal.pages.guard import App, Receive, Scope, Send

BROWSER = Path(__file__).parent / "browser"
ROUTE = "DUSKBOOK_BROWSER_ROUTE"
"""The environment variable that names the route in a process that has it."""

_LOADER = "loader.js"


@cache
def module_texts() -> Mapping[str, str]:
    """The modules by file name. They are read once, so that their digest stays theirs while a process runs."""
    return {path.name: path.read_text(encoding="utf-8") for path in sorted(BROWSER.glob("*.js"))}


def route_path() -> str:
    """Where the modules are below the root of the server, e.g. "browser/0123456789abcdef".

    The digest is of all modules, so that an answer may be kept for good: another text has another address.
    """
    digest = hashlib.sha256(json.dumps(module_texts()).encode()).hexdigest()
    return f"browser/{digest[:16]}"


def preload_links() -> str:
    """Links for the head of a page: the modules come while the frame starts, and none waits for another."""
    route = route_path()
    return "".join(f'<link rel="modulepreload" href="../{route}/{name}">' for name in module_texts() if name != _LOADER)


def widget_source(name: str) -> str:
    """The module that a widget is served as; its default export is that of the module `name`."""
    route = os.environ.get(ROUTE)
    if route:
        # A widget's source is a file of its page, "/evening/@file/60-....js". The address is relative to it, so that
        # whatever comes before the page's name comes before the route as well.
        return f'export {{ default }} from "../../{route}/{name}.js";\n'
    texts = dict(module_texts())
    loader = texts.pop(_LOADER)
    return f"{loader}\nexport default (await loadModules({json.dumps(texts)}, {json.dumps(name + '.js')})).default;\n"


def modules_route(app: App) -> App:
    """`app` with the modules in front of it. From then on the widgets of this process lead to them."""
    route = route_path()
    os.environ[ROUTE] = route
    answers = {f"/{route}/{name}": text.encode() for name, text in module_texts().items()}

    async def application(scope: Scope, receive: Receive, send: Send) -> None:
        body = answers.get(scope["path"]) if scope["type"] == "http" and scope["method"] in ("GET", "HEAD") else None
        if body is None:
            await app(scope, receive, send)
            return
        headers = [(b"content-type", b"text/javascript; charset=utf-8"), (b"content-length", b"%d" % len(body))]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": body if scope["method"] == "GET" else b""})

    return application
