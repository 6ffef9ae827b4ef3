"""Whatever is typed comes out as typed, as text and as the value of an attribute, and as nothing else."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.sections.escape import Html, entity, join, tag

# What HTML can hold at all: no control characters but line break and tab, and no surrogates.
showable = st.text(st.characters(exclude_categories=["Cs", "Cc"], include_characters="\n\t"))


class Reader(HTMLParser):
    """The text, the elements and the attributes that a reader of HTML finds."""

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
def test_nothing_is_left_that_markdown_icons_formulas_or_templates_are_made_of(text: str) -> None:
    left = re.sub(r"&#\d+;", "", entity(text))
    assert all(character.isalnum() or character == " " for character in left)


@pytest.mark.parametrize("text", ["\x00", "\x0b", "\x7f", "\x85", "\ud800"])
def test_what_html_cannot_hold_shows_as_a_replacement(text: str) -> None:
    assert Reader(entity(text)).text == "\ufffd"


def test_html_is_left_alone_and_text_beside_it_is_not() -> None:
    assert entity(Html("<b>a</b>")) == "<b>a</b>"
    assert join(["<i>", Html("<b>a</b>"), None], " ") == "&#60;i&#62; <b>a</b>"
    assert Html("<b>") + "<i>" == "<b>&lt;i&gt;"  # what is added to it is escaped too


def test_attributes_that_are_off_are_left_out() -> None:
    assert tag("details", open=False, hidden=True, class_=None, tabindex=0) == '<details hidden tabindex="0"></details>'
