"""A person's text in Markdown, so that every reader of it shows what was typed: CommonMark 0.31.2 (MacFarlane 2024).

Any ASCII punctuation may stand behind a backslash there and is then itself (section 2.4), so escaping more than is
needed is safe; escaping everything could not be read any more. What means something anywhere in a line is always
escaped, in CommonMark and in the usual additions (strikethrough, tables, formulas, marks, mentions). What means
something at the beginning of a line only is escaped there.
"""

from __future__ import annotations

import re
import unicodedata

_ANYWHERE = re.compile(r"[\\`*_\[\]<>&#~|$^{}@=]")
_AT_THE_BEGINNING = re.compile(r"[-+:!]")
_NUMBERED = re.compile(r"([0-9]+)([.)])(?=[ \t]|$)")
# No reader has to make links of these, and some do (the "extended autolinks" of GitHub Flavored Markdown 0.29).
_ADDRESS = re.compile(r":(?=//)|(?<=www)\.", re.IGNORECASE)
_LINE_END = re.compile(r"\r\n|\r|\n")
_JOINERS = "\N{ZERO WIDTH JOINER}\N{ZERO WIDTH NON-JOINER}"  # part of how some scripts and pictographs are written


def line(text: str) -> str:
    r"""A text on one line: line breaks and the white space at its ends become blanks or nothing.

    >>> print(line("1. *Not* a list, <b>nor</b> R&D [x](y)"))
    1\. \*Not\* a list, \<b\>nor\</b\> R\&D \[x\](y)
    """
    return _escaped(" ".join(part.strip() for part in _lines(text)).strip())


def block(text: str, indent: str = "") -> str:
    r"""A text of any number of lines; those after the first are indented, as within an item of a list.

    A line break is one, blank lines part paragraphs, and blanks at the beginning of a line are kept. Blank lines before
    and after the text and white space at the ends of its lines have no reading and are left out. A control character,
    which has none either, becomes its picture (U+2400 on).

    >>> print(block("Twine:\n  - 3 m\n\nhttps://example.org", indent="  "))
    Twine:\
      &#32;&#32;- 3 m
    <BLANKLINE>
      https\://example.org
    """
    lines = [part.rstrip() for part in _lines(text)]
    written, gap = "", 0
    for part in "\n".join(lines).strip().split("\n"):
        if not part:
            gap += 1
            continue
        if written:
            # Blank lines beyond the first would be dropped; as characters of the text they are not.
            written += f"\n\n{indent}{'&#10;' * (gap - 1)}" if gap else f"\\\n{indent}"
        written, gap = written + _indented(part), 0
    return written


def _lines(text: str) -> list[str]:
    return [_visible(part) for part in _LINE_END.split(text)]


def _indented(part: str) -> str:
    """A line whose blanks at its beginning are kept: a reader drops them, but not where they are written as numbers."""
    core = part.lstrip()
    return "".join(f"&#{ord(sign)};" for sign in part[: len(part) - len(core)]) + (
        _escaped(core) if core == part else _anywhere(core)
    )


def _escaped(text: str) -> str:
    """One line that begins with no white space."""
    escaped = _anywhere(text)
    escaped = _NUMBERED.sub(r"\1\\\2", escaped, count=1) if text[:1].isdigit() else escaped
    return f"\\{escaped}" if _AT_THE_BEGINNING.match(escaped) else escaped


def _anywhere(text: str) -> str:
    written = _ADDRESS.sub(r"\\\g<0>", _ANYWHERE.sub(r"\\\g<0>", text))
    if written.isascii():
        return written
    return "".join(
        f"&#{ord(sign)};" if unicodedata.category(sign) in ("Cf", "Zl", "Zp") and sign not in _JOINERS else sign
        for sign in written
    )


def _visible(text: str) -> str:
    """Control characters as their pictures; those of ISO 8859 that have none, as what stands for an unknown sign."""
    if text.isprintable():
        return text
    return "".join(_picture(sign) if unicodedata.category(sign) == "Cc" and sign != "\t" else sign for sign in text)


def _picture(sign: str) -> str:
    code = ord(sign)
    if code < 0x20:
        return chr(0x2400 + code)
    return "\N{SYMBOL FOR DELETE}" if code == 0x7F else "\N{REPLACEMENT CHARACTER}"
