"""The year as a book, offered on the year's page: a look at it, and its files, made when they are asked for."""

from __future__ import annotations

import base64
from collections.abc import Mapping
from typing import TYPE_CHECKING

import msgspec

from journal.errors import UsageError
from journal.export import missing_glyphs
from journal.export.audience import Audience
from journal.export.formats import FORMATS, RETROSPECTIVE
from journal.export.typesetting import Paper
from journal.export.write_files import sized
from journal.pages.background_form import Making, Tell
from journal.pages.forms import Plain

if TYPE_CHECKING:
    from journal import Journal
    from journal.export.export_cache import Asked, Edition
    from journal.periods import Period

READERS: Mapping[Audience, tuple[str, str]] = {
    "me": ("for me", "Nothing is left out."),
    "friend": (
        "for a friend",
        "Without gratitude, notes, answers, appointments, places, weather, task titles, and memories you did not mark.",
    ),
    "anyone": (
        "for anyone",
        "Numbers and charts alone: no line of yours, and letters in place of names, but for the habits you choose.",
    ),
}
"""Who may see it: how it is called, and what is left out."""

PAPERS: Mapping[Paper, tuple[str, str]] = {
    "a5": ("A5", "148 × 210 mm, one column: a small book."),
    "a4": ("A4", "210 × 297 mm, two columns: fewer pages, nothing left out."),
}


class YearBook(Making):
    """The form: what is offered of the year that the page shows, and the answers to "show", "leaf" and "file"."""

    _module = "yearbook"

    def __init__(self, book: Journal, year: Period) -> None:
        self._book, self._year, self._number = book, year, 0
        self._edition: Edition | None = None
        super().__init__(self._offer(), {"show": self._show, "leaf": self._leaf, "file": self._file})

    def follow(self, book: Journal, year: Period) -> None:
        """Offer another year, or the journal as its files are now; what was made of it before is let go."""
        if book is self._book and year == self._year:
            return
        if book is not self._book:
            self._edition = None
        self._book, self._year, self._number = book, year, self._number + 1
        self._tell(self._offer())

    def _offer(self) -> Plain:
        settings, year = self._book.settings, self._year.first.year
        return {
            "number": self._number,
            "year": year,
            "habits": [{"value": key, "name": settings.habit_name(key)} for key in settings.habit_keys],
            "readers": [{"value": key, "name": name, "said": said} for key, (name, said) in READERS.items()],
            "papers": [{"value": key, "name": name, "said": said} for key, (name, said) in PAPERS.items()],
            "files": [
                {"kind": kind, "name": one.title, "said": one.about.format(year=year), "book": kind in RETROSPECTIVE}
                for kind, one in FORMATS.items()
            ],
        }

    def _show(self, of: Plain, tell: Tell) -> tuple[Plain, None]:
        edition, asked = self._of(of)
        pages = edition.leaves(asked, tell)
        shown = [{"said": leaf.said, "picture": _data("image/png", leaf.picture)} for leaf in pages]
        return {"pages": shown, "missing": missing_glyphs.warning(edition.bound(asked, tell).missing)}, None

    def _leaf(self, of: Plain, tell: Tell) -> tuple[Plain, None]:
        edition, asked = self._of(of)
        pages, number = edition.large(asked, tell), of.get("page")
        if not isinstance(number, int) or not 1 <= number <= len(pages):
            raise UsageError(f"there is no such page in this book of {len(pages)}")
        return {"picture": _data("image/svg+xml", pages[number - 1])}, None

    def _file(self, of: Plain, tell: Tell) -> tuple[Plain, bytes | None]:
        edition, asked = self._of(of)
        made = edition.file(asked, tell)
        if made is None:
            return {"nothing": FORMATS[asked.kind].empty.format(year=asked.year)}, None
        size, missing = sized(len(made.data)), missing_glyphs.warning(made.missing)
        return {"name": made.name, "media": made.media, "size": size, "missing": missing}, made.data

    def _of(self, of: Plain) -> tuple[Edition, Asked]:
        """What is made of the journal as it is now, and what is asked for. Raises UsageError where that is no offer."""
        from journal.export import export_cache  # noqa: PLC0415  the page opens without all that makes a book

        book, made = self._book, self._edition  # which an edit may change meanwhile
        if made is None or made.journal is not book:
            made = self._edition = export_cache.Edition(book)
        try:
            return made, msgspec.convert(of, export_cache.Asked)
        except msgspec.ValidationError as error:
            raise UsageError(f"this is not offered: {error}") from None


def _data(media: str, data: bytes) -> str:
    """As an address that holds what it leads to."""
    return f"data:{media};base64,{base64.b64encode(data).decode()}"
