"""Prepares text for typesetting: break points in long words, and replacements for missing glyphs.

Missing glyphs are found by typst: for PDF/UA it rejects a text that no font can show, and names it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable
from typing import Any

import msgspec

from journal.charts.canvas import writable
from journal.language.catalogue import _, _n
from journal.wording import numbers

BREAK = "\u200b"
"""A possible line break (ZERO WIDTH SPACE)."""

LONGEST = 18
"""Most letters of a word without break points. The narrowest column, beside a drawing, has room for so many. A
hyphen between letters is a break point."""

HYPHENATED = 40
"""Most letters of a word of ours without break points: a longer one than `LONGEST` gets hyphens in the book."""

_PIECE = 9
_LONG = re.compile(rf"[^\s\u2e80-\U0010ffff{BREAK}]{{{LONGEST + 1},}}")
_HYPHEN = re.compile(r"(?<=[^\W\d_]-)(?=[^\W\d_])|(?<=%-)(?=[^\W\d_])")
_NOT_DISPLAYED = re.compile(r'the text `"(.+?)"` could not be displayed')
_ESCAPED = re.compile(r"\\u\{([0-9a-f]+)\}")
_JOINERS = "\u200c\u200d\ufe0e\ufe0f"


def breakable(text: str, *, hyphenated: bool = False) -> str:
    """The text with break points in words that are too long for a line, such as addresses.

    With `hyphenated`, words of letters are left to the hyphens of the spoken language, unless they are very long.

    >>> breakable("a walk to Donaudampfschifffahrtsgesellschaft").split(BREAK)
    ['a walk to Donaudamp', 'fschifffa', 'hrtsgesel', 'lschaft']
    >>> breakable("Donaudampfschifffahrtsgesellschaft", hyphenated=True)
    'Donaudampfschifffahrtsgesellschaft'
    """

    def with_breaks(word: re.Match[str]) -> str:
        is_left = hyphenated and word[0].isalpha() and len(word[0]) <= HYPHENATED
        return word[0] if is_left else _cut(word[0])

    return "".join(_LONG.sub(with_breaks, part) for part in _HYPHEN.split(text))


def _cut(word: str) -> str:
    pieces = [""]
    for letter in word:
        joined = unicodedata.combining(letter) or letter in _JOINERS
        if len(pieces[-1]) >= _PIECE and not joined:
            pieces.append("")
        pieces[-1] += letter
    return BREAK.join(pieces)


def from_diagnostic(diagnostic: str) -> frozenset[str]:
    r"""The missing glyphs that a diagnostic of typst names; empty for any other error.

    >>> message = 'the text `"\\u{7}"` could not be displayed with a font, the text `"中"` could not be displayed'
    >>> sorted(from_diagnostic(message))
    ['\x07', '中']
    """
    texts = (_ESCAPED.sub(lambda code: chr(int(code[1], 16)), text) for text in _NOT_DISPLAYED.findall(diagnostic))
    return frozenset(letter for text in texts for letter in text if len(text) == 1 or not letter.isascii())


def stand_in(text: str, missing: frozenset[str]) -> str:
    """The text with each missing letter replaced by its code point. Missing joiners are removed.

    >>> stand_in("Thread \\U0001F9F5, 中文", frozenset("\\U0001F9F5中"))
    'Thread [U+1F9F5], [U+4E2D]文'
    """
    if missing.isdisjoint(text):
        return text
    return "".join(
        letter if letter not in missing else "" if letter in _JOINERS else f"[{code(letter)}]" for letter in text
    )


def plain(text: str, missing: frozenset[str]) -> str:
    """The text for metadata: the title of a file, a text alternative."""
    return stand_in(writable(text), missing)


def settable(text: str, missing: frozenset[str]) -> str:
    """The text for typesetting, with break points in long words."""
    return breakable(stand_in(text, missing))


def code(letter: str) -> str:
    """The code point of a letter.

    >>> code("ž")
    'U+017E'
    """
    return f"U+{ord(letter):04X}"


def _name(letter: str) -> str:
    """The Unicode name in brackets; empty if there is none or it only repeats the code point."""
    name = unicodedata.name(letter, "")
    return f" ({name.lower()})" if name and not name.endswith(f"-{ord(letter):04X}") else ""


def warning(missing: Iterable[str]) -> str:
    """A message that names the missing glyphs by code point, with a remedy; empty if none is missing.

    >>> warning("\\U0001F9F5")
    '1 letter has no font on this machine and stands as its code: U+1F9F5 (spool of thread). A font that has it, such
    as one of the Noto family, would show it.'
    """
    letters = sorted(set(missing) - set(_JOINERS))
    if not letters:
        return ""
    named = ", ".join(f"{code(letter)}{_name(letter)}" for letter in letters[:_NAMED])
    if len(letters) > _NAMED:
        named = _("{codes} and {count} more", codes=named, count=numbers.number(len(letters) - _NAMED))
    return _n(
        "{count} letter has no font on this machine and stands as its code: {codes}. A font that has it, such as one "
        "of the Noto family, would show it.",
        "{count} letters have no font on this machine and stand as their codes: {codes}. A font that has them, such as "
        "one of the Noto family, would show them.",
        len(letters),
        codes=named,
    )


_NAMED = 8  # a page in another script may have hundreds


def everywhere(change: Callable[[str], str], part: Any) -> Any:
    """Apply a function to each text of a nested structure.

    >>> everywhere(str.upper, {"a": ["b", 1, ("c",)]})
    {'a': ['B', 1, ('C',)]}
    """
    if isinstance(part, str):
        return change(part)
    if isinstance(part, dict):
        return {key: everywhere(change, value) for key, value in part.items()}
    if isinstance(part, (list, tuple)):
        return type(part)(everywhere(change, value) for value in part)
    if isinstance(part, msgspec.Struct):
        return type(part)(**{name: everywhere(change, getattr(part, name)) for name in part.__struct_fields__})
    return part
