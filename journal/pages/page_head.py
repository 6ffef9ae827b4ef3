"""What stands in the head of every page, before marimo's scripts: `head.js`, and links that load our modules early."""

from __future__ import annotations

import json
from pathlib import Path

from journal.language.catalogue import N_, _
from journal.language.languages import LANGUAGES
from journal.language.spoken import speaking
from journal.pages.browser_modules import preload_link
from journal.pages.entrance import Entrance
from journal.pages.entrance_pages import RENEWED, WINDOW_KEY
from journal.pages.server_secrets import ServerSecrets

_TEXTS = {
    "restarted": N_("The journal was started again. Reload this page; what you typed is kept."),
    "ended": N_("The journal has ended. Run the command again, then reload this page; what you typed is kept."),
    "broke": N_("The connection to the journal broke for a moment. Reload this page; what you typed is kept."),
}
"""What `head.js` says of the connection. It is said in the language of the page, which is known when it is shown."""


def page_head(entrance: Entrance, secrets: ServerSecrets) -> str:
    """The HTML of the head. It contains the proof key, so only a browser that is let in may get it."""
    names = {"windowKey": WINDOW_KEY, "renewed": RENEWED}
    told = {"start": entrance.start, "proofKey": secrets.proof_key.hex(), "texts": _texts(), **names}
    script = Path(__file__).with_name("head.js").read_text(encoding="utf-8").replace("(OF)", f"({json.dumps(told)})")
    metas = '<meta name="color-scheme" content="light dark"><meta name="google" content="notranslate">'
    return f"<script>{script}</script>{metas}{preload_link()}"


def _texts() -> dict[str, dict[str, str]]:
    """The texts of each language, by its code."""
    by_code = {}
    for code, language in LANGUAGES.items():
        with speaking(language):
            by_code[code] = {name: _(text) for name, text in _TEXTS.items()}
    return by_code
