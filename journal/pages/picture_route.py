"""The pictures of a page: drawn small, and answered at an address that only a page of this process knows.

A picture is loaded by an element, which has the session's cookie and no window key. The cookie alone opens nothing
private (`journal.pages.guard`). So the address itself is a secret: a digest with a key of this process. A page gets it
over its websocket, with the text around the picture. It changes with the file, and nothing is cached by the browser.

Without the server, as in Jupyter, a picture is part of the page as a data URL.
"""

from __future__ import annotations

import asyncio
import base64
import os
import re
from hashlib import blake2b
from pathlib import Path

from journal.errors import PictureError
from journal.pages.asgi import Send, answer_bytes
from journal.pages.browser_modules import ROUTE
from journal.pictures import drawn_picture

PATH = re.compile(r"/picture/([0-9a-f]{32})\.jpg", re.ASCII)
"""The path of a picture below the secret part."""

_POLICY = "default-src 'none'; sandbox"
_KEY = os.urandom(32)
_known: dict[str, tuple[Path, str, int]] = {}
"""By the digest in its address: the journal, the file in it, and the pixels of the longer side."""


def address(folder: Path, file: str, longest: int = drawn_picture.PAGE) -> str:
    """The address of a picture of a journal for an element of a page. Empty for a file that cannot be shown."""
    if ROUTE not in os.environ:
        try:
            data = drawn_picture.drawn(folder, file, longest).data
        except PictureError:
            return ""
        return f"data:image/jpeg;base64,{base64.b64encode(data).decode()}"
    try:
        status = (folder / file).lstat()
    except OSError:
        return ""
    state = repr((str(folder), file, longest, status.st_size, status.st_mtime_ns))
    digest = blake2b(state.encode("utf-8", "surrogatepass"), key=_KEY, digest_size=16).hexdigest()
    _known[digest] = (folder, file, longest)
    return f"../picture/{digest}.jpg"


async def send_picture(send: Send, path: str, *, with_body: bool) -> bool:
    """Answer a request of a picture. Returns False, and answers nothing, where there is none at this address."""
    match = PATH.fullmatch(path)
    found = _known.get(match[1]) if match else None
    if found is None:
        return False
    try:
        drawn = await asyncio.to_thread(drawn_picture.drawn, *found)
    except PictureError:
        return False
    await answer_bytes(send, drawn.data if with_body else b"", len(drawn.data), kind="image/jpeg", policy=_POLICY)
    return True
