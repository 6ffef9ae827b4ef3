"""Endpoints of sheets on paper, as in `form_endpoints`: each request opens the journal once.

The modules that read pictures are imported by the first request: most evenings have none.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from journal.pages.form_endpoints import Now, OpenJournal, back, plain_json
from journal.pages.forms import JsonObject, Responder

if TYPE_CHECKING:
    from journal import Journal


def sheets_of(book: Journal) -> JsonObject:
    """The offer of the card: why nothing can be saved, if so."""
    return {"read_only": str(book.read_only or "")}


def sheet_answers(read: OpenJournal, now: Now) -> Mapping[str, Responder]:
    """The handlers of the requests, by request name."""

    def read_one(params: JsonObject) -> JsonObject:
        from journal.paper import paper_form  # noqa: PLC0415

        return plain_json(paper_form.read(read(), params))

    def look(params: JsonObject) -> JsonObject:
        from journal.paper import paper_form  # noqa: PLC0415

        return plain_json(paper_form.look(read(), params, now=now()))

    def save(params: JsonObject) -> JsonObject:
        from journal.paper import paper_form  # noqa: PLC0415

        return {"answer": plain_json(paper_form.save(read(), params, now=now()))}

    return {
        "read": read_one,
        "look": look,
        "save": save,
        "back": back(read, now, "import", lambda book, _of: sheets_of(book)),
    }
