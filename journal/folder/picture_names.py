"""The names of pictures on a page: which name is that of a picture beside it.

A name has no part of a path, so a page cannot lead to a file elsewhere. It has an ending of a format that can be shown.
"""

from __future__ import annotations

import re

from journal.language.lazy_text import L_, LazyText, any_of

ENDINGS = (".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif")
"""The endings of pictures, in small letters. They are compared without regard to case."""

NAME_BYTES = 200
"""The longest name in UTF-8. Drives take 255 bytes, and a temporary file beside a picture has a longer name."""

_REFUSED = frozenset('/\\:*?"<>|')
"""Separators of paths, and what a name cannot contain on some drives."""

_DEVICE = re.compile(
    r"(?:con|prn|aux|nul|com[0-9\xb9\xb2\xb3]|lpt[0-9\xb9\xb2\xb3])(?:\s*\..*)?", re.IGNORECASE | re.DOTALL
)
"""What Windows takes for a device, whatever the ending."""


def fault(name: str) -> tuple[LazyText, LazyText] | None:
    """Return what is expected of a name, and the remedy; None for the name of a picture.

    >>> fault("2025-03-14-bench.jpg")
    >>> print(*fault("../bench.jpg"), sep="; ")
    the name of a file beside the page; put the picture beside the page and write its name alone
    >>> print(fault("aux.jpg")[0], fault("auxiliary.jpg"), fault("2025-03-14-con.jpg"))
    a name that Windows has not given to a device None None
    >>> print(fault("bench.gif")[0])
    a picture that ends in .jpg, .jpeg, .png, .webp, .heic or .heif
    """
    if not name or name[0] == "." or _REFUSED & set(name) or name != name.strip() or not name.isprintable():
        remedy = L_("put the picture beside the page and write its name alone")
        return L_("the name of a file beside the page"), remedy
    if _DEVICE.fullmatch(name):
        return L_("a name that Windows has not given to a device"), L_("give the picture another name")
    if len(name.encode("utf-8", "surrogatepass")) > NAME_BYTES:
        return L_("a name of at most {count} bytes", count=NAME_BYTES), L_("give the picture a shorter name")
    if not name.lower().endswith(ENDINGS):
        expected = L_("a picture that ends in {endings}", endings=any_of(ENDINGS))
        return expected, L_("save it in one of these formats")
    return None
