"""Escaped text reads as typed: markdown-it-py (CommonMark 0.31.2) reads plain text, and the same text."""

from __future__ import annotations

import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from journal.export import markdown

COMMONMARK = MarkdownIt("commonmark")
EXTENDED = MarkdownIt("js-default")  # with tables and strikethrough

# Characters with a meaning, more often than by chance, and everything else that TOML allows.
SIGNS = st.sampled_from(list("\\`*_[]()<>&#~|$^{}@=-+:!.\"'/;0123456789 \t\nabžw\r\x00\x1b\x7f\x85\u00a0\u2028\u200b"))
TEXT = st.text(alphabet=st.one_of(SIGNS, st.characters(exclude_categories=["Cs"])), max_size=30)
PIECES = (
    "1.", "2)", "-", "+", "*", ">", "#", "##", "===", "---", "***", "```", "~~~", "|", ":", "\\", "\\\\", "\n", "\n\n",
    "<b>", "</p>", "<!--", "&amp;", "&#35;", "[a](b)", "[a]:", "![i](j)", "**b**", "_c_", "~~d~~", "$x$",
    "https://example.org", "www.example.org", "<https://example.org>", "a@example.org", "\t", "bread",
)  # fmt: skip
WORDS = st.builds(str.join, st.sampled_from(["", " "]), st.lists(st.sampled_from(PIECES), max_size=8))


def typed(text: str) -> str:
    """The expected text: without white space around it and at line ends, with pictures for control characters."""
    lines = [re.sub("[\x00-\x08\x0b-\x1f]", lambda m: chr(0x2400 + ord(m[0])), x) for x in re.split("\r\n|\r|\n", text)]
    lines = [re.sub("[\x80-\x9f]", "\ufffd", line.replace("\x7f", "\u2421")) for line in lines]
    return "\n".join(line.rstrip() for line in lines).strip()


def read(source: str, parser: MarkdownIt = COMMONMARK) -> str:
    """The text of Markdown. Fails if it has anything but paragraphs of plain text."""
    paragraphs = []
    for token in parser.parse(source):
        assert token.type in ("paragraph_open", "paragraph_close", "inline"), token.type
        if token.type == "inline":
            children = token.children or []
            assert {child.type for child in children} <= {"text", "hardbreak"}, [child.type for child in children]
            paragraphs.append("".join("\n" if child.type == "hardbreak" else child.content for child in children))
    return "\n\n".join(paragraphs)


@given(st.one_of(TEXT, WORDS))
@example("1. one\n2) two\n- three\n\n\n    code\n===\n---")
@example("code\n===")
@example("a\u00a0\n\u00a0b")
@example("[a]: b\n\n[a]")
def test_a_text_reads_as_it_was_typed(text: str) -> None:
    assert read(markdown.block(text)) == typed(text)
    assert read(markdown.block(text), EXTENDED) == typed(text)


@given(st.one_of(TEXT, WORDS))
def test_a_list_item_reads_as_it_was_typed(text: str) -> None:
    tokens = COMMONMARK.parse(f"- {markdown.block(text, '  ')} (x)\n- next")
    kinds = [token.type for token in tokens if token.type not in ("paragraph_open", "paragraph_close", "inline")]
    item = ["list_item_open", "list_item_close"]
    assert kinds == ["bullet_list_open", *item, *item, "bullet_list_close"]
    inline = [token.children or [] for token in tokens if token.type == "inline"]
    parts = ["".join("\n" if c.type == "hardbreak" else c.content for c in children) for children in inline]
    assert "\n\n".join(parts[:-1]) == f"{typed(text)} (x)".lstrip(" ")
    assert parts[-1] == "next"


@given(st.one_of(TEXT, WORDS))
def test_a_heading_reads_as_it_was_typed(text: str) -> None:
    opened, inline, closed = COMMONMARK.parse(f"### {markdown.line(text)}\n")
    assert (opened.type, opened.tag, closed.type) == ("heading_open", "h3", "heading_close")
    assert {child.type for child in inline.children or []} <= {"text"}
    parts = [part.strip() for part in typed(text).split("\n")]
    assert "".join(child.content for child in inline.children or []) == " ".join(parts).strip()


@pytest.mark.parametrize(
    "text",
    [
        "Bread from next door, still warm.",
        "Ata's letter: the shortest (and best)?",
        "3 m of thread - natural - at 9.30, 50 % off!",
        "“Quoted”, „tudi“ — naïve 日本語 👩‍🎨",
    ],
)
def test_plain_text_stays_unchanged(text: str) -> None:
    assert markdown.block(text) == markdown.line(text) == text
