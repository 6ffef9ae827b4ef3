"""The form of the year as a book on the year's page: previews and files, made on request."""

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
from journal.language.catalogue import N_, _
from journal.pages.background_form import BackgroundForm, Tell
from journal.pages.forms import JsonObject

if TYPE_CHECKING:
    from journal import Journal
    from journal.export.export_cache import Asked, Edition
    from journal.periods import Period

READERS: Mapping[Audience, tuple[str, str]] = {
    "me": (N_("for me"), N_("Nothing is left out.")),
    "friend": (
        N_("for a friend"),
        N_(
            "Without gratitude, notes, answers, appointments, places, weather, task titles, and memories you did not "
            "mark."
        ),
    ),
    "anyone": (
        N_("for anyone"),
        N_("Numbers and charts alone: no line of yours, and letters in place of names, but for the habits you choose."),
    ),
}
"""The audiences: their names, and the content that each book leaves out."""

PAPERS: Mapping[Paper, tuple[str, str]] = {
    "a5": ("A5", N_("148 × 210 mm, one column: a small book.")),
    "a4": ("A4", N_("210 × 297 mm, two columns: fewer pages, nothing left out.")),
}


def sentence() -> str:
    """The heading of the book's chapter."""
    return _("The year as a book: to look through, to print, to share")


class YearBook(BackgroundForm):
    """The form for the year that the page shows. It answers the requests "show", "leaf" and "file"."""

    _module = "yearbook"

    def __init__(self, book: Journal, year: Period) -> None:
        self._book, self._year, self._number = book, year, 0
        self._edition: Edition | None = None
        super().__init__(self._offer(), {"show": self._show, "leaf": self._leaf, "file": self._file})

    def follow(self, book: Journal, year: Period) -> None:
        """Offer another year, or a journal read anew. Results of the previous journal are discarded."""
        if book is self._book and year == self._year:
            return
        if book is not self._book:
            self._edition = None
        self._book, self._year, self._number = book, year, self._number + 1
        self._send_offer(self._offer())

    def _offer(self) -> JsonObject:
        settings, year = self._book.settings, self._year.first.year
        return {
            "number": self._number,
            "year": year,
            "habits": [{"value": key, "name": settings.habit_name(key)} for key in settings.habit_keys],
            "readers": [{"value": key, "name": _(name), "said": _(text)} for key, (name, text) in READERS.items()],
            "papers": [{"value": key, "name": name, "said": _(text)} for key, (name, text) in PAPERS.items()],
            "files": [
                {"kind": kind, "name": _(file.title), "said": _(file.about, year=year), "book": kind in RETROSPECTIVE}
                for kind, file in FORMATS.items()
            ],
        }

    def _show(self, params: JsonObject, tell: Tell) -> tuple[JsonObject, None]:
        edition, asked = self._request(params)
        pages = edition.leaves(asked, tell)
        previews = [{"said": leaf.said, "picture": _data("image/png", leaf.picture)} for leaf in pages]
        return {"pages": previews, "missing": missing_glyphs.warning(edition.bound(asked, tell).missing)}, None

    def _leaf(self, params: JsonObject, tell: Tell) -> tuple[JsonObject, None]:
        edition, asked = self._request(params)
        pages, number = edition.large(asked, tell), params.get("page")
        if not isinstance(number, int) or not 1 <= number <= len(pages):
            raise UsageError(_("there is no such page in this book of {count}", count=len(pages)))
        return {"picture": _data("image/svg+xml", pages[number - 1])}, None

    def _file(self, params: JsonObject, tell: Tell) -> tuple[JsonObject, bytes | None]:
        edition, asked = self._request(params)
        file = edition.file(asked, tell)
        if file is None:
            return {"nothing": _(FORMATS[asked.kind].empty, year=asked.year)}, None
        size, missing = sized(len(file.data)), missing_glyphs.warning(file.missing)
        return {"name": file.name, "media": file.media, "size": size, "missing": missing}, file.data

    def _request(self, params: JsonObject) -> tuple[Edition, Asked]:
        """The edition of the current journal, and the typed request. Raises UsageError for an invalid request."""
        from journal.export import export_cache  # noqa: PLC0415  a slow import that a page without a book does not need

        book, edition = self._book, self._edition  # an edit may replace them in another thread
        if edition is None or edition.journal is not book:
            edition = self._edition = export_cache.Edition(book)
        try:
            return edition, msgspec.convert(params, export_cache.Asked)
        except msgspec.ValidationError as error:
            raise UsageError(_("this is not offered: {fault}", fault=error)) from None


def _data(media: str, data: bytes) -> str:
    """A data URL."""
    return f"data:{media};base64,{base64.b64encode(data).decode()}"
