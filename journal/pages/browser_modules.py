"""The browser's code: native ES modules in `journal/pages/browser/`, served unchanged.

    modules_route(app)            serve the modules in front of `app`, at a path that contains their digest
    widget_source("evening")      the source of a widget: an import of its module, or a loader

The server of `journal.pages.server` has the route. Elsewhere (Jupyter, a notebook opened without the server) the
source has the loader (`browser/loader.js`) and the texts of all modules.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from journal.pages.asgi import App, Receive, Scope, Send

BROWSER = Path(__file__).parent / "browser"
ROUTE = "DUSKBOOK_BROWSER_ROUTE"
"""Environment variable with the path of the route, in a process that has the route."""

_LOADER = "loader.js"
_STYLES = "forms.css"


@cache
def module_texts() -> Mapping[str, str]:
    """Map file names to module texts. Read once, so that the digest stays valid while the process runs."""
    return {path.name: path.read_text(encoding="utf-8") for path in sorted(BROWSER.glob("*.js"))}


@cache
def style_texts() -> Mapping[str, str]:
    """The style sheet of the forms by its file name, for forms that are there before the notebook."""
    return {_STYLES: (BROWSER / _STYLES).read_text(encoding="utf-8")}


def route_path() -> str:
    """The path of the modules below the server's root, e.g. "browser/0123456789abcdef".

    It contains a digest of all modules, so browsers may cache answers forever: changed modules have another path.
    """
    digest = hashlib.sha256(json.dumps([module_texts(), style_texts()]).encode()).hexdigest()
    return f"browser/{digest[:16]}"


def preload_links() -> str:
    """Preload links for the head of a page, so that all modules load in parallel while marimo's frontend starts."""
    route = route_path()
    return "".join(f'<link rel="modulepreload" href="../{route}/{name}">' for name in module_texts() if name != _LOADER)


def widget_source(name: str) -> str:
    """The source of a widget's module. Its default export is that of the module `name`."""
    route = os.environ.get(ROUTE)
    if route:
        # A widget's source is a file of its page, "/evening/@file/60-....js". The import is relative to it, so that a
        # prefix before the page's name also applies to the route.
        at = f"../../{route}"
        return (
            f'import {{ takenOver }} from "{at}/takeover.js";\nimport form from "{at}/{name}.js";\n'
            f'export default takenOver("{name}", form);\n'
        )
    texts = dict(module_texts())
    loader = texts.pop(_LOADER)
    return f"{loader}\nexport default (await loadModules({json.dumps(texts)}, {json.dumps(name + '.js')})).default;\n"


def modules_route(app: App) -> App:
    """`app` with a route to the modules in front. From then on, widgets of this process import from the route."""
    route = route_path()
    os.environ[ROUTE] = route
    kinds = {".js": b"text/javascript; charset=utf-8", ".css": b"text/css; charset=utf-8"}
    answers = {f"/{route}/{name}": text.encode() for name, text in {**module_texts(), **style_texts()}.items()}

    async def application(scope: Scope, receive: Receive, send: Send) -> None:
        body = answers.get(scope["path"]) if scope["type"] == "http" and scope["method"] in ("GET", "HEAD") else None
        if body is None:
            await app(scope, receive, send)
            return
        kind = kinds[scope["path"][scope["path"].rindex(".") :]]
        headers = [(b"content-type", kind), (b"content-length", b"%d" % len(body))]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": body if scope["method"] == "GET" else b""})

    return application
