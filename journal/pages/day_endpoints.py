"""Endpoints of the day's page, as in `form_endpoints`: each request opens the journal once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from journal.pages.form_endpoints import Now, OpenJournal, plain_json, reopened, with_offer
from journal.pages.forms import JsonObject, Responder
from journal.planning import day_edits, day_offer

if TYPE_CHECKING:
    from journal import Journal


def day_page(book: Journal, day: dt.date, now: dt.datetime) -> JsonObject:
    """The offer of a day's page as JSON."""
    return plain_json(day_offer.offer(book, day, now))


def day_answers(read: OpenJournal, now: Now, shown: Callable[[dt.date], None]) -> Mapping[str, Responder]:
    """The handlers of the page's requests, by request name. `shown` is told the day that the page changes to.

    Every answer to an edit or its undoing has the current page, so that the page shows what the files say.
    """

    def day(params: JsonObject) -> JsonObject:
        asked = day_edits.parse_day(params.get("day"))
        offer = day_page(read(), asked, now())
        shown(asked)
        return {"offer": offer}

    def edit(params: JsonObject) -> JsonObject:
        book = read()
        result = plain_json(day_edits.save(book, params, now=now()))
        return with_offer(result, lambda: current(book, params))

    def undo(params: JsonObject) -> JsonObject:
        book = read()
        result = plain_json(day_edits.undo(book, params, now=now()))
        return with_offer(result, lambda: current(book, params))

    def current(book: Journal, params: JsonObject) -> JsonObject:
        return day_page(reopened(book), day_edits.parse_day(params.get("day")), now())

    return {"day": day, "edit": edit, "undo": undo}
