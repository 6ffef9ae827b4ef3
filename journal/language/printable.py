"""A text as one line of a message. It imports no library: a command that needs none prints with it."""

from __future__ import annotations

import unicodedata


def printable(text: str) -> str:
    """Return a message as one line that cannot control a terminal, nor turn the text behind it around.

    Signs without a shape of their own are escaped, except spaces and the joiners within letters and emoji.

    >>> printable("two\\nlines, a \\x1b[31mcolour")
    'two\\\\nlines, a \\\\x1b[31mcolour'
    """
    return text if text.isprintable() else "".join(map(_printable_sign, text))


def _printable_sign(sign: str) -> str:
    if sign.isprintable() or unicodedata.category(sign) == "Zs" or sign in "\u200c\u200d":
        return sign
    return sign.encode("unicode_escape", "backslashreplace").decode()
