"""The year as a document: chapters of blocks, independent of the output format. A block's title may be empty.

`year_document` builds it from a journal; `html`, `book` and `pictures` write it. Texts are not escaped: each writer
escapes for its own format.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import msgspec

from journal.charts.figure import Figure
from journal.language.catalogue import _
from journal.wording import dates


class Picture(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A figure with its title, text alternative and table. `spread` asks for two facing pages in a book."""

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
    """The answer to a prompt. `prompt` is empty for a note."""

    prompt: str
    text: str


class Reflection(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """The reflection of a period."""

    title: str
    answers: tuple[ReflectionAnswer, ...]


class Facts(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """Pairs of a label and a number in words ("Days logged", "351 of 365")."""

    title: str
    facts: tuple[tuple[str, str], ...]


class Grid(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A table of texts and numbers. `numeric` are the columns to align right."""

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: tuple[int, ...] = ()


class Sentences(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """Findings or other sentences, each with a small line of numbers or days.

    `note` is a quiet line under the title, or empty.
    """

    title: str
    sentences: tuple[tuple[str, str], ...]
    note: str = ""


class Words(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """Paragraphs of fixed text: a caveat, a method, the care box."""

    title: str
    paragraphs: tuple[str, ...]
    care: bool = False


class DayPhoto(msgspec.Struct, frozen=True, kw_only=True):
    """A picture of a day: its name in exports, caption and size in pixels. `folder` and `file` are for the writers,
    which draw it anew; no text of theirs is written. `problem` is a sentence in its place, or empty."""

    date: dt.date
    name: str
    caption: str
    folder: Path
    file: str
    width: int = 0
    height: int = 0
    problem: str = ""

    @property
    def alt(self) -> str:
        """Its alternative text: the caption, or that there is none."""
        return self.caption or _("A picture of {day}, without a caption", day=dates.day(self.date))


class Photos(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """Pictures of days. A `plate` is one that has a page of its own in a book."""

    title: str
    photos: tuple[DayPhoto, ...]
    plate: bool = False


Block = Photos | Picture | Lines | Reflection | Facts | Grid | Sentences | Words


class Chapter(msgspec.Struct, frozen=True, kw_only=True):
    """`key` is stable and names the chapter in links: "year", "2025-03", "habits", "sleep", "hours", "links"."""

    key: str
    title: str
    blocks: tuple[Block, ...]


class Document(msgspec.Struct, frozen=True, kw_only=True):
    """A year, ready to be written in a format. `title` is the journal's, or "Journal" for anyone."""

    title: str
    subtitle: str
    year: int
    chapters: tuple[Chapter, ...]
