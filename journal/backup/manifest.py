"""The manifest of a backup: the SHA-256 digest of each file, as `sha256sum -c` reads it.

    9e2f...  journal/2025/2025-03-14.toml

A name with a backslash or a line end has those escaped, and its line begins with a backslash.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

NAME = "MANIFEST"
TOP = "journal/"
"""What the path of each file begins with in the archive, so that unpacked by hand it makes one folder."""

FILE_LIMIT = 200_000
"""Files of a backup. Fifty years with a page, a history and a picture for each day have 55,000."""
SIZE_LIMIT = 64_000_000
"""Bytes of a manifest, some 300 for each file."""

_LINE = re.compile(r"(\\?)([0-9a-f]{64})  journal/([^\n]+)")
_SIGNS = {"\\": "\\\\", "\n": "\\n", "\r": "\\r"}
_ESCAPE = re.compile(r"\\(.?)")
_OF_ESCAPE = {escape[1:]: sign for sign, escape in _SIGNS.items()}


def text(digests: Mapping[str, str]) -> bytes:
    r"""Return the manifest of the digests of files, by their paths in the journal.

    >>> text({"a.txt": "0" * 64})[60:]
    b'0000  journal/a.txt\n'
    """
    return "".join(_line(path, digest) for path, digest in digests.items()).encode()


def parse(data: bytes) -> dict[str, str]:
    r"""Return the digests of files, by their paths in the journal. Raises ValueError if it is no manifest.

    >>> parse(text({"two\nlines": "0" * 64, "plain": "1" * 64})).keys()
    dict_keys(['two\nlines', 'plain'])
    """
    digests: dict[str, str] = {}
    lines = data.decode().split("\n")
    if lines.pop() or len(lines) > FILE_LIMIT:
        raise ValueError("not a manifest")
    for line in lines:
        found = _LINE.fullmatch(line)
        if found is None:
            raise ValueError("not a manifest")
        path = _ESCAPE.sub(lambda escape: _OF_ESCAPE[escape[1]], found[3]) if found[1] else found[3]
        if path in digests or _line(path, found[2]) != f"{line}\n":
            raise ValueError("not a manifest")
        digests[path] = found[2]
    return digests


def _line(path: str, digest: str) -> str:
    escaped = "".join(_SIGNS.get(sign, sign) for sign in path)
    return f"{'' if escaped == path else chr(92)}{digest}  {TOP}{escaped}\n"
