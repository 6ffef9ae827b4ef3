"""Templates set by typst: words go in as data and are never read as its markup, a tagged PDF comes out.

The PDF keeps to PDF/UA-1 (ISO 14289-1) as far as typst can check: it refuses to make one that does not. It has no date,
so the same words make the same bytes on machines with the same fonts. Nothing is put on the disk on the way.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from importlib import resources
from typing import Any, Literal, NamedTuple

import msgspec
import typst

from journal.export import missing_glyphs

_ROUNDS = 4  # a letter is refused in the words first, then perhaps in the drawings, whose fonts are others
_HEADINGS = "query(heading).map(it => (it.location().page(), it.level, it.body))"

Paper = Literal["a5", "a4"]


class Typeset(NamedTuple):
    """A PDF, and the letters that no font of this machine has: they stand as their code, "[U+1F9F5]".

    `letters.told(missing)` says so in words; `words` is what the template was given, so that it can be set once more.
    """

    data: bytes
    missing: tuple[str, ...]
    words: str = ""


def pdf(template: str, said: Callable[[frozenset[str]], Any]) -> Typeset:
    """Set the template of that name. `said` gives what it asks for, with the code of each missing letter in its place;
    the template has it as JSON, under its own name.
    """
    source = _source(template)
    missing: frozenset[str] = frozenset()
    for _ in range(_ROUNDS):
        words = msgspec.json.encode(said(missing)).decode()
        try:
            made = typst.compile(
                source, font_paths=_fonts(), sys_inputs={template: words}, pdf_standards="ua-1", timestamp=0
            )
        except typst.TypstError as error:
            refused = missing_glyphs.refused(error.diagnostic)
            if refused <= missing:
                raise
            missing |= refused
        else:
            assert isinstance(made, bytes)
            return Typeset(made, tuple(sorted(missing)), words)
    raise AssertionError("typst refuses letters without end")


def images(template: str, words: str, form: Literal["png", "svg"], dots_per_inch: int = 72) -> list[bytes]:
    """The pages of what was made, each as a picture."""
    made = typst.compile(
        _source(template), font_paths=_fonts(), sys_inputs={template: words}, format=form, ppi=dots_per_inch
    )
    return made if isinstance(made, list) else [made]


def headings(template: str, words: str) -> list[tuple[int, int, str]]:
    """The headings of what was made, in their order: the page, the level, and what it says."""
    told = typst.eval(_source(template), _HEADINGS, font_paths=_fonts(), sys_inputs={template: words})
    return [(page, level, _text(body)) for page, level, body in msgspec.json.decode(told)]


def _text(body: dict[str, Any]) -> str:
    """The text of content, as typst describes it."""
    return body.get("text", "") or "".join(_text(child) for child in body.get("children", ()))


def _source(template: str) -> Any:
    """The template, and the files it may import: those whose names begin with its own and "-".

    A dictionary of files, with main.typ among them: typst takes one, though its types (0.15.2) do not say so.
    """
    files = [file for file in resources.files("journal.export").joinpath("templates").iterdir() if file.is_file()]
    return {
        "main.typ" if file.name == f"{template}.typ" else file.name: file.read_bytes()
        for file in files
        if file.name == f"{template}.typ" or file.name.startswith(f"{template}-")
    }


@functools.cache
def _fonts() -> typst.Fonts:
    """typst's own fonts and the machine's, looked for once: a sixth of a second."""
    return typst.Fonts()
