"""What stands in the head of every page, before marimo's scripts: `head.js`, and links that load our modules early."""

from __future__ import annotations

import json
from pathlib import Path

from journal.pages.browser_modules import preload_link
from journal.pages.entrance import Entrance
from journal.pages.entrance_pages import RENEWED, WINDOW_KEY
from journal.pages.server_secrets import ServerSecrets


def page_head(entrance: Entrance, secrets: ServerSecrets) -> str:
    """The HTML of the head. It contains the proof key, so only a browser that is let in may get it."""
    names = {"windowKey": WINDOW_KEY, "renewed": RENEWED}
    told = {"start": entrance.start, "proofKey": secrets.proof_key.hex(), **names}
    script = Path(__file__).with_name("head.js").read_text(encoding="utf-8").replace("(OF)", f"({json.dumps(told)})")
    metas = '<meta name="color-scheme" content="light dark"><meta name="google" content="notranslate">'
    return f"<script>{script}</script>{metas}{preload_link()}"
