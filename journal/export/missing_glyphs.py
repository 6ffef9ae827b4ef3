"""Letters that can be set: long words that may break, and a stand-in where no font of this machine has a letter.

typst tells which letters those are: asked for PDF/UA, it refuses a text that would not show and names it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable
from typing import Any

import msgspec

from journal.charts.canvas import writable

BREAK = "\u200b"
"""A place where a line may end (ZERO WIDTH SPACE)."""

LONGEST = 18
"""Letters of a word that is left whole: what the narrowest column, beside a drawing, has room for."""

_PIECE = 9
_LONG = re.compile(rf"[^\s\u2e80-\U0010ffff{BREAK}]{{{LONGEST + 1},}}")
_REFUSED = re.compile(r'the text `"(.+?)"` could not be displayed')
_ESCAPED = re.compile(r"\\u\{([0-9a-f]+)\}")
_JOINERS = "\u200c\u200d\ufe0e\ufe0f"


def breakable(text: str) -> str:
    """The text with places to break in words that are longer than a line may be, such as addresses.

    >>> breakable("a walk to Donaudampfschifffahrtsgesellschaft").split(BREAK)
    ['a walk to Donaudamp', 'fschifffa', 'hrtsgesel', 'lschaft']
    """
    return _LONG.sub(lambda word: _cut(word[0]), text)


def _cut(word: str) -> str:
    pieces = [""]
    for letter in word:
        joined = unicodedata.combining(letter) or letter in _JOINERS
        if len(pieces[-1]) >= _PIECE and not joined:
            pieces.append("")
        pieces[-1] += letter
    return BREAK.join(pieces)


def refused(diagnostic: str) -> frozenset[str]:
    r"""The letters that typst says it has no font for, from the diagnostic of its error; none where it says otherwise.

    >>> said = 'the text `"\\u{7}"` could not be displayed with a font, the text `"中"` could not be displayed'
    >>> sorted(refused(said))
    ['\x07', '中']
    """
    texts = (_ESCAPED.sub(lambda code: chr(int(code[1], 16)), text) for text in _REFUSED.findall(diagnostic))
    return frozenset(letter for text in texts for letter in text if len(text) == 1 or not letter.isascii())


def stand_in(text: str, missing: frozenset[str]) -> str:
    """The text with the code point of each missing letter in its place. What only joins such letters goes with them.

    >>> stand_in("Thread \\U0001F9F5, 中文", frozenset("\\U0001F9F5中"))
    'Thread [U+1F9F5], [U+4E2D]文'
    """
    if missing.isdisjoint(text):
        return text
    return "".join(
        letter if letter not in missing else "" if letter in _JOINERS else f"[{code(letter)}]" for letter in text
    )


def plain(text: str, missing: frozenset[str]) -> str:
    """The text as it will be read where it is not set: a title of the file, a text alternative."""
    return stand_in(writable(text), missing)


def settable(text: str, missing: frozenset[str]) -> str:
    """The text as it will be set, with places to break in long words."""
    return breakable(stand_in(text, missing))


def code(letter: str) -> str:
    """
    >>> code("ž")
    'U+017E'
    """
    return f"U+{ord(letter):04X}"


def _name(letter: str) -> str:
    """Its Unicode name, but where that only tells the code again or there is none."""
    name = unicodedata.name(letter, "")
    return f" ({name.lower()})" if name and not name.endswith(f"-{ord(letter):04X}") else ""


def warning(missing: Iterable[str]) -> str:
    """Which letters have no font, and what to do; empty where none is missing. The letters themselves would not show.

    >>> warning("\\U0001F9F5")
    '1 letter has no font on this machine and stands as its code: U+1F9F5 (spool of thread). A font that has it, such
    as one of the Noto family, would show it.'
    """
    some = sorted(set(missing) - set(_JOINERS))
    if not some:
        return ""
    one = len(some) == 1
    it = "it" if one else "them"
    named = [f"{code(letter)}{_name(letter)}" for letter in some[:_NAMED]]
    more = f" and {len(some) - _NAMED} more" if len(some) > _NAMED else ""
    return (
        f"{len(some)} {'letter has' if one else 'letters have'} no font on this machine and "
        f"{'stands as its code' if one else 'stand as their codes'}: {', '.join(named)}{more}. "
        f"A font that has {it}, such as one of the Noto family, would show {it}."
    )


_NAMED = 8  # a page in a script of its own may have hundreds


def everywhere(change: Callable[[str], str], part: Any) -> Any:
    """The same structure with a change made to each of its texts, as far down as it goes.

    >>> everywhere(str.upper, {"a": ["b", 1, ("c",)]})
    {'a': ['B', 1, ('C',)]}
    """
    if isinstance(part, str):
        return change(part)
    if isinstance(part, dict):
        return {key: everywhere(change, value) for key, value in part.items()}
    if isinstance(part, (list, tuple)):
        return type(part)(everywhere(change, one) for one in part)
    if isinstance(part, msgspec.Struct):
        return type(part)(**{name: everywhere(change, getattr(part, name)) for name in part.__struct_fields__})
    return part
