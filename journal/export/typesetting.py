"""Templates set by typst: words go in as data and are never read as its markup, a tagged PDF comes out.

The PDF keeps to PDF/UA-1 (ISO 14289-1) as far as typst can check: it refuses to make one that does not. It has no date,
so the same words make the same bytes on machines with the same fonts. Nothing is put on the disk on the way.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from importlib import resources
from typing import Any, NamedTuple

import msgspec
import typst

from journal.export import letters

_ROUNDS = 4  # a letter is refused in the words first, then perhaps in the drawings, whose fonts are others


class Made(NamedTuple):
    """A PDF, and the letters that no font of this machine has: they stand as their code, "[U+1F9F5]".

    `letters.told(missing)` says so in words.
    """

    data: bytes
    missing: tuple[str, ...]


def pdf(template: str, said: Callable[[frozenset[str]], Any]) -> Made:
    """Set the template of that name. `said` gives what it asks for, with the code of each missing letter in its place;
    the template has it as JSON, under its own name.
    """
    source = resources.files("journal.export").joinpath("templates", f"{template}.typ").read_bytes()
    missing: frozenset[str] = frozenset()
    for _ in range(_ROUNDS):
        words = msgspec.json.encode(said(missing)).decode()
        try:
            made = typst.compile(
                source, font_paths=_fonts(), sys_inputs={template: words}, pdf_standards="ua-1", timestamp=0
            )
        except typst.TypstError as error:
            refused = letters.refused(error.diagnostic)
            if refused <= missing:
                raise
            missing |= refused
        else:
            assert isinstance(made, bytes)
            return Made(made, tuple(sorted(missing)))
    raise AssertionError("typst refuses letters without end")


@functools.cache
def _fonts() -> typst.Fonts:
    """typst's own fonts and the machine's, looked for once: a sixth of a second."""
    return typst.Fonts()
