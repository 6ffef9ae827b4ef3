"""Typesets templates with typst: data in, a tagged PDF out. Text is passed as data and never read as markup.

The PDF conforms to PDF/UA-1 (ISO 14289-1) as far as typst checks it; typst fails otherwise. It has no date, so the same
input gives the same bytes on machines with the same fonts. Nothing is written to disk.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from importlib import resources
from typing import Any, Literal, NamedTuple

import msgspec
import typst

from journal.export import missing_glyphs
from journal.language.spoken import spoken

_ROUNDS = 4  # missing glyphs are reported for the text first, then perhaps for the drawings, which use other fonts
_HEADINGS = "query(heading).map(it => (it.location().page(), it.level, it.body))"

Paper = Literal["a5", "a4"]


class Typeset(NamedTuple):
    """A PDF and its missing glyphs, which it shows as code points: "[U+1F9F5]".

    `missing_glyphs.warning(missing)` is the message about them. `words` is the input of the template as JSON, so that
    it can be typeset again.
    """

    data: bytes
    missing: tuple[str, ...]
    words: str = ""


def pdf(template: str, build: Callable[[frozenset[str]], Any]) -> Typeset:
    """Typeset a template by name.

    `build` makes its input, with code points instead of the given missing glyphs. The template gets it as JSON in
    `sys.inputs`, under its own name.
    """
    source = _source(template)
    missing: frozenset[str] = frozenset()
    for _ in range(_ROUNDS):
        words = msgspec.json.encode(build(missing)).decode()
        try:
            data = typst.compile(
                source, font_paths=_fonts(), sys_inputs={template: words}, pdf_standards="ua-1", timestamp=0
            )
        except typst.TypstError as error:
            reported = missing_glyphs.from_diagnostic(error.diagnostic)
            if reported <= missing:
                raise
            missing |= reported
        else:
            assert isinstance(data, bytes)
            return Typeset(data, tuple(sorted(missing)), words)
    raise AssertionError(f"typst still reports missing glyphs after {_ROUNDS} rounds")


def images(template: str, words: str, form: Literal["png", "svg"], dots_per_inch: int = 72) -> list[bytes]:
    """The typeset pages, each as a picture."""
    pages = typst.compile(
        _source(template), font_paths=_fonts(), sys_inputs={template: words}, format=form, ppi=dots_per_inch
    )
    return pages if isinstance(pages, list) else [pages]


def headings(template: str, words: str) -> list[tuple[int, int, str]]:
    """The headings in order: page, level and text."""
    answer = typst.eval(_source(template), _HEADINGS, font_paths=_fonts(), sys_inputs={template: words})
    return [(page, level, _text(body)) for page, level, body in msgspec.json.decode(answer)]


def _text(body: dict[str, Any]) -> str:
    """The text of a content element of typst."""
    return body.get("text", "") or "".join(_text(child) for child in body.get("children", ()))


def language() -> str:
    """The spoken language as typst names it, for the language of a file and of its hyphens.

    >>> language()
    'en'
    """
    return spoken().code.partition("-")[0]


def _source(template: str) -> Any:
    """The template and the files it imports: those whose names begin with its name and "-".

    The result is a dictionary of files with main.typ. typst accepts it, although its types (0.15.2) do not say so.
    """
    files = [file for file in resources.files("journal.export").joinpath("templates").iterdir() if file.is_file()]
    return {
        "main.typ" if file.name == f"{template}.typ" else file.name: file.read_bytes()
        for file in files
        if file.name == f"{template}.typ" or file.name.startswith(f"{template}-")
    }


@functools.cache
def _fonts() -> typst.Fonts:
    """The fonts of typst and of this machine. Cached: the search takes a sixth of a second."""
    return typst.Fonts()
