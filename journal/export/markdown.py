"""Escapes text for Markdown, so that every program shows it as typed: CommonMark 0.31.2 (MacFarlane 2024).

CommonMark allows a backslash before any ASCII punctuation (section 2.4), so escaping too much is safe, but hard to
read. Characters with a meaning anywhere in a line are always escaped, those of CommonMark and of common extensions
(strikethrough, tables, formulas, marks, mentions). Characters with a meaning only at the beginning of a line are
escaped only there.
"""

from __future__ import annotations

import re
import unicodedata

_ANYWHERE = re.compile(r"[\\`*_\[\]<>&#~|$^{}@=]")
_AT_LINE_START = re.compile(r"[-+:!]")
_NUMBERED = re.compile(r"([0-9]+)([.)])(?=[ \t]|$)")
# Some programs turn these into links (the "extended autolinks" of GitHub Flavored Markdown 0.29).
_ADDRESS = re.compile(r":(?=//)|(?<=www)\.", re.IGNORECASE)
_LINE_END = re.compile(r"\r\n|\r|\n")
_JOINERS = "\N{ZERO WIDTH JOINER}\N{ZERO WIDTH NON-JOINER}"  # part of how some scripts and pictographs are written


def line(text: str) -> str:
    r"""Escape a text as one line: line breaks become blanks, white space at the ends is removed.

    >>> print(line("1. *Not* a list, <b>nor</b> R&D [x](y)"))
    1\. \*Not\* a list, \<b\>nor\</b\> R\&D \[x\](y)
    """
    return _escaped(" ".join(part.strip() for part in _lines(text)).strip())


def block(text: str, indent: str = "") -> str:
    r"""Escape a text of several lines. Lines after the first are indented, as within a list item.

    Line breaks stay, blank lines separate paragraphs, and blanks at the beginning of a line are kept. Blank lines
    around the text and white space at line ends are removed. Control characters become their pictures (U+2400 on).

    >>> print(block("Twine:\n  - 3 m\n\nhttps://example.org", indent="  "))
    Twine:\
      &#32;&#32;- 3 m
    <BLANKLINE>
      https\://example.org
    """
    lines = [part.rstrip() for part in _lines(text)]
    escaped, gap = "", 0
    for part in "\n".join(lines).strip().split("\n"):
        if not part:
            gap += 1
            continue
        if escaped:
            # Markdown drops blank lines beyond the first, but keeps line feeds written as references.
            escaped += f"\n\n{indent}{'&#10;' * (gap - 1)}" if gap else f"\\\n{indent}"
        escaped, gap = escaped + _indented(part), 0
    return escaped


def _lines(text: str) -> list[str]:
    return [_visible(part) for part in _LINE_END.split(text)]


def _indented(part: str) -> str:
    """Escape a line and keep its leading blanks. Markdown drops blanks, but keeps them as references."""
    core = part.lstrip()
    return "".join(f"&#{ord(sign)};" for sign in part[: len(part) - len(core)]) + (
        _escaped(core) if core == part else _anywhere(core)
    )


def _escaped(text: str) -> str:
    """Escape one line without leading white space."""
    escaped = _anywhere(text)
    escaped = _NUMBERED.sub(r"\1\\\2", escaped, count=1) if text[:1].isdigit() else escaped
    return f"\\{escaped}" if _AT_LINE_START.match(escaped) else escaped


def _anywhere(text: str) -> str:
    escaped = _ADDRESS.sub(r"\\\g<0>", _ANYWHERE.sub(r"\\\g<0>", text))
    if escaped.isascii():
        return escaped
    return "".join(
        f"&#{ord(sign)};" if unicodedata.category(sign) in ("Cf", "Zl", "Zp") and sign not in _JOINERS else sign
        for sign in escaped
    )


def _visible(text: str) -> str:
    """Replace control characters by their pictures, and C1 controls, which have none, by U+FFFD."""
    if text.isprintable():
        return text
    return "".join(_picture(sign) if unicodedata.category(sign) == "Cc" and sign != "\t" else sign for sign in text)


def _picture(sign: str) -> str:
    code = ord(sign)
    if code < 0x20:
        return chr(0x2400 + code)
    return "\N{SYMBOL FOR DELETE}" if code == 0x7F else "\N{REPLACEMENT CHARACTER}"
