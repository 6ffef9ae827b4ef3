"""The year as a document: chapters of blocks, with nothing of how it will be set. A block's title may be empty.

`contents` makes one from a journal; `html` and `book` set it. Text is the writer's or ours as it is, unescaped:
whoever sets it escapes for his own notation.
"""

from __future__ import annotations

import datetime as dt

import msgspec

from journal.charts.figure import Figure


class Picture(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A figure with its title, text alternative and table. `spread` asks for two facing pages where there are any."""

    figure: Figure
    spread: bool = False


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """A gratitude line, a memory or a note, and its day."""

    date: dt.date
    text: str


class Lines(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """Lines in the order of their days. `kind` is "gratitude", "memory", "note" or "done"."""

    title: str
    kind: str
    lines: tuple[Line, ...]


class ReflectionAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What was written under a prompt; `prompt` is empty where it was only noted."""

    prompt: str
    text: str


class Reflection(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A period's own reflection."""

    title: str
    answers: tuple[ReflectionAnswer, ...]


class Facts(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """Short pairs: what is told, and the number with its words ("Days logged", "351 of 365")."""

    title: str
    facts: tuple[tuple[str, str], ...]


class Grid(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A table of words and numbers. `numeric` are the columns to set flush right."""

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: tuple[int, ...] = ()


class Sentences(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """Findings, or any statements that stand one below the other, each with an own small line of numbers or days.
    `note` is a quiet line under the title, empty where there is none."""

    title: str
    sentences: tuple[tuple[str, str], ...]
    note: str = ""


class Words(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """Paragraphs of our own: a caveat, how something is counted, the box of care."""

    title: str
    paragraphs: tuple[str, ...]
    care: bool = False


Block = Picture | Lines | Reflection | Facts | Grid | Sentences | Words


class Chapter(msgspec.Struct, frozen=True, kw_only=True):
    """`key` is stable and names the chapter in links: "year", "2025-03", "habits", "sleep", "hours", "links"."""

    key: str
    title: str
    blocks: tuple[Block, ...]


class Document(msgspec.Struct, frozen=True, kw_only=True):
    """A year, ready to be set. `title` is the journal's own, or a plain one where the reader may not know it."""

    title: str
    subtitle: str
    year: int
    chapters: tuple[Chapter, ...]
