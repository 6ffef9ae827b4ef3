"""The one way of text into a page.

What a person wrote is shown exactly as typed and does nothing: no tag, no Markdown, no formula, no icon, no link.
The pages' frame reads Markdown, colon-wrapped icon names and formulas in some of the text it is given, so the five
characters that HTML escapes are not enough. `entity` writes every character that is not a letter, a digit or a
space as a numeric character reference (HTML standard, 13.5): a browser shows the character, and nothing before
the browser sees it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from markupsafe import Markup

Html = Markup
"""Text that is HTML already. Whatever is not of this type goes through `entity` before it reaches a page."""


def entity(text: object) -> Html:
    """Text as HTML that shows exactly it. `Html` passes as it is.

    >>> print(entity("a <b> ::x:: Čevelj 1"))
    a &#60;b&#62; &#58;&#58;x&#58;&#58; Čevelj 1

    A character that no HTML page may hold (a NUL, a lone surrogate) shows as U+FFFD; a line break is a space to
    HTML, so who wants it seen shows the text with white-space: pre-line.
    """
    if isinstance(text, Html):
        return text
    return Html("".join(_character(character) for character in str(text)))


def _character(character: str) -> str:
    if character.isalnum() or character == " ":
        return character
    return f"&#{ord(showable(character))};"


def showable(text: str) -> str:
    r"""The text with U+FFFD for every character that no HTML page may hold (HTML standard, 13.2.3.5).

    >>> showable("a" + chr(0) + chr(0xFFFE) + chr(10))
    'a\ufffd\ufffd\n'
    """
    return "".join("\ufffd" if _is_unshowable(ord(character)) else character for character in text)


def _is_unshowable(code: int) -> bool:
    """Control characters, surrogates and noncharacters: an error in HTML, or turned into another character."""
    control = (code < 0x20 and chr(code) not in "\n\t") or 0x7F <= code <= 0x9F
    return control or 0xD800 <= code <= 0xDFFF or 0xFDD0 <= code <= 0xFDEF or code & 0xFFFE == 0xFFFE


def tag(name: str, *inside: object, **attributes: object) -> Html:
    """An element; what is inside and the values of its attributes are escaped unless they are `Html`.

    An attribute that is None or False is left out, one that is True stands alone; `class_` is class, and an
    underscore elsewhere is a hyphen.

    >>> print(tag("p", "1 < 2", class_="quiet", aria_label="so it is"))
    <p class="quiet" aria-label="so it is">1 &#60; 2</p>
    """
    return Html(f"<{name}{_attributes(attributes)}>{join(inside)}</{name}>")


def join(parts: Iterable[object], between: str = "") -> Html:
    """Parts one after the other, each escaped unless it is `Html`. None is left out.

    >>> print(join(["a&b", None, tag("b", "c")], " "))
    a&#38;b <b>c</b>
    """
    return entity(between).join(entity(part) for part in parts if part is not None)


def _attributes(attributes: dict[str, Any]) -> str:
    written = []
    for key, value in attributes.items():
        name = key.rstrip("_").replace("_", "-")
        if value is True:
            written.append(f" {name}")
        elif value is not None and value is not False:
            written.append(f' {name}="{entity(value)}"')
    return "".join(written)
