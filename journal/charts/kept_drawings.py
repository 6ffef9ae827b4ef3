"""Drawings of a journal that are kept in its `.cache`, so that each is drawn once.

    keep_in(folder)                       from here on, in this thread
    drawn = load(parts) or ...            the SVG that was drawn from these parts
    save(parts, drawn)

A drawing is kept under a digest of everything that it is drawn from: its specification with all data and colours, its
texts, and the versions of the code and of the library. So it never stands for content that the files do not have. A
file that is broken, foreign, or holds anything that no drawing has, is not used (`folder.sealed_files`).
"""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from contextvars import ContextVar
from importlib.metadata import version
from pathlib import Path

from journal import __version__
from journal.folder import sealed_files

BELOW = "drawings"
"""The folder in `.cache`."""

_folder: ContextVar[Path | None] = ContextVar("_folder", default=None)

_CODE = ("figure", "text_layer")
"""The modules that turn a specification into a drawing. All others only make the specification."""

_VALUE = r'"(?:(?!url\((?!#))[^"<>&])*+"'  # an address, if any, within the drawing
_ATTRIBUTES = (
    r"(?: (?:aria-hidden|clip-path|cx|cy|d|fill|fill-opacity|font-family|font-size|font-style|font-weight|height|id|"
    rf"opacity|r|role|rx|ry|stroke|stroke-[a-z]+|text-anchor|transform|version|viewBox|width|x|x1|x2|y|y1|y2)={_VALUE}"
    r'| xmlns="http://www\.w3\.org/2000/svg"'
    r'| aria-label="[^"<>]*+"'
    r'| style="display:block;width:100%;max-width:[0-9.]+px;height:auto")*+'
)
_ELEMENT = r"(?:circle|clipPath|defs|g|line|path|rect|svg|text|title|tspan)"
_PLAIN = re.compile(rf"(?:[^<>]++|<{_ELEMENT}{_ATTRIBUTES} ?/?>|</{_ELEMENT}>)++")


def keep_in(folder: Path | None) -> None:
    """Keep what is drawn in this thread from now on in the cache of a journal, None for nowhere."""
    _folder.set(folder)


def load(parts: Sequence[str]) -> str | None:
    """Return the SVG that was drawn from these parts, None if none is kept."""
    folder = _folder.get()
    kept = None if folder is None else sealed_files.load(folder, BELOW, name_of(parts))
    if kept is None:
        return None
    try:
        drawn = kept.decode()
    except UnicodeDecodeError:
        return None
    return drawn if is_plain(drawn) else None


def save(parts: Sequence[str], drawn: str) -> None:
    """Keep an SVG that was drawn from these parts."""
    folder = _folder.get()
    if folder is not None and is_plain(drawn):
        sealed_files.save(folder, BELOW, name_of(parts), drawn.encode())


def is_plain(drawn: str) -> bool:
    """Return whether a text is one SVG that has only what drawings have: no script, no link, no address elsewhere.

    >>> plain = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0,0" /><text>a</text></svg>'
    >>> is_plain(plain), is_plain(plain.replace("path", "script")), is_plain(plain.replace(" d=", " onclick="))
    (True, False, False)
    """
    is_one = drawn.startswith("<svg ") and drawn.endswith("</svg>") and drawn.count("svg>") == drawn.count("<svg") == 1
    return is_one and _PLAIN.fullmatch(drawn) is not None


def name_of(parts: Sequence[str]) -> str:
    """Return the name of the file for what is drawn from these parts."""
    return sealed_files.name_of(_versions(), *(part.encode("utf-8", "surrogatepass") for part in parts))


@functools.cache  # the running code was loaded once, even if its files change later
def _versions() -> bytes:
    states = [(Path(__file__).with_name(f"{name}.py").stat(), name) for name in _CODE]
    code = [(name, state.st_size, state.st_mtime_ns) for state, name in states]
    return repr((__version__, version("vl-convert-python"), code)).encode()
