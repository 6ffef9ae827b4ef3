"""Escapes text for HTML. All text of a journal reaches a page through this module.

Text is shown exactly as typed and has no effect: no tag, Markdown, formula, icon or link. marimo interprets Markdown,
icon names in colons and formulas in some of the text it gets, so escaping the five special characters of HTML is not
enough. `entity` writes every character that is not a letter, a digit or a space as a numeric character reference (HTML
standard, 13.5). Only the browser decodes it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from markupsafe import Markup

Html = Markup
"""Text that is already HTML. Text of any other type goes through `entity` before it reaches a page."""


def entity(text: object) -> Html:
    """Escape a text. `Html` is returned unchanged.

    >>> print(entity("a <b> ::x:: Čevelj 1"))
    a &#60;b&#62; &#58;&#58;x&#58;&#58; Čevelj 1

    A character that HTML does not allow (NUL, a lone surrogate) shows as U+FFFD. Line breaks show only
    in an element with white-space: pre-line.
    """
    if isinstance(text, Html):
        return text
    return Html("".join(_character(character) for character in str(text)))


def _character(character: str) -> str:
    if character.isalnum() or character == " ":
        return character
    return f"&#{ord(showable(character))};"


def showable(text: str) -> str:
    r"""The text with U+FFFD for every character that HTML does not allow (HTML standard, 13.2.3.5).

    >>> showable("a" + chr(0) + chr(0xFFFE) + chr(10))
    'a\ufffd\ufffd\n'
    """
    return "".join("\ufffd" if _is_unshowable(ord(character)) else character for character in text)


def _is_unshowable(code: int) -> bool:
    """Whether a code point is a control character, surrogate or noncharacter. Parsers reject or replace these."""
    control = (code < 0x20 and chr(code) not in "\n\t") or 0x7F <= code <= 0x9F
    return control or 0xD800 <= code <= 0xDFFF or 0xFDD0 <= code <= 0xFDEF or code & 0xFFFE == 0xFFFE


def tag(name: str, *inside: object, **attributes: object) -> Html:
    """An element. Its content and attribute values are escaped unless they are `Html`.

    None and False omit an attribute, True writes it without a value. `class_` is class; other underscores become
    hyphens.

    >>> print(tag("p", "1 < 2", class_="quiet", aria_label="so it is"))
    <p class="quiet" aria-label="so it is">1 &#60; 2</p>
    """
    return Html(f"<{name}{_attributes(attributes)}>{join(inside)}</{name}>")


def join(parts: Iterable[object], between: str = "") -> Html:
    """Join parts, each escaped unless it is `Html`. None is skipped.

    >>> print(join(["a&b", None, tag("b", "c")], " "))
    a&#38;b <b>c</b>
    """
    return entity(between).join(entity(part) for part in parts if part is not None)


def _attributes(attributes: dict[str, Any]) -> str:
    texts = []
    for key, value in attributes.items():
        name = key.rstrip("_").replace("_", "-")
        if value is True:
            texts.append(f" {name}")
        elif value is not None and value is not False:
            texts.append(f' {name}="{entity(value)}"')
    return "".join(texts)
