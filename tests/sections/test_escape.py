"""Any text comes out as typed, in an element and in an attribute, and has no other effect."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.sections.escape import Html, entity, join, tag

# The characters that HTML allows: no control characters except line break and tab, no surrogates.
showable = st.text(st.characters(exclude_categories=["Cs", "Cc"], include_characters="\n\t"))


class Reader(HTMLParser):
    """Parses HTML into its text, elements and attributes."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.text = ""
        self.elements: list[tuple[str, list[tuple[str, str | None]]]] = []
        self.feed(str(html))
        self.close()

    def handle_data(self, data: str) -> None:
        self.text += data

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, attrs))


@given(showable)
def test_text_comes_out_as_it_went_in(text: str) -> None:
    read = Reader(f"<p>{entity(text)}</p>")
    assert read.text == text
    assert read.elements == [("p", [])]


@given(showable)
def test_an_attribute_comes_out_as_it_went_in(text: str) -> None:
    assert Reader(tag("p", title=text)).elements == [("p", [("title", text)])]


@given(st.text())
def test_no_characters_of_markdown_icons_formulas_or_templates_are_left(text: str) -> None:
    left = re.sub(r"&#\d+;", "", entity(text))
    assert all(character.isalnum() or character == " " for character in left)


@pytest.mark.parametrize("text", ["\x00", "\x0b", "\x7f", "\x85", "\ud800"])
def test_characters_that_html_does_not_allow_are_replaced(text: str) -> None:
    assert Reader(entity(text)).text == "\ufffd"


def test_html_is_unchanged_and_text_beside_it_is_escaped() -> None:
    assert entity(Html("<b>a</b>")) == "<b>a</b>"
    assert join(["<i>", Html("<b>a</b>"), None], " ") == "&#60;i&#62; <b>a</b>"
    assert Html("<b>") + "<i>" == "<b>&lt;i&gt;"  # text added to it is escaped too


def test_attributes_that_are_none_or_false_are_omitted() -> None:
    assert tag("details", open=False, hidden=True, class_=None, tabindex=0) == '<details hidden tabindex="0"></details>'
