"""Endpoints of the pictures of a day, as in `form_endpoints`: each request opens the journal once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from journal.pages import picture_route
from journal.pages.form_endpoints import Now, OpenJournal, plain_json, reopened, with_offer
from journal.pages.forms import JsonObject, Responder
from journal.planning import day_edits, day_pictures
from journal.planning.day_edits import EditResult

if TYPE_CHECKING:
    from journal import Journal


def day_pictures_of(book: Journal, day: dt.date) -> JsonObject:
    """The offer of a day's pictures as JSON, each with the address that it is shown from."""
    offer = plain_json(day_pictures.offer(book, day))
    for picture in offer["pictures"]:
        picture["address"] = "" if picture["problem"] else picture_route.address(book.folder, picture["file"])
    return offer


def picture_answers(read: OpenJournal, now: Now) -> Mapping[str, Responder]:
    """The handlers of the requests, by request name. Every answer has the current pictures."""

    def responder(edit: Callable[..., EditResult]) -> Responder:
        def respond(params: JsonObject) -> JsonObject:
            book = read()
            result = plain_json(edit(book, params, now=now()))
            day = day_edits.parse_day(params.get("day"))
            return with_offer(result, lambda: day_pictures_of(reopened(book), day))

        return respond

    edits = {"add": day_pictures.add, "caption": day_pictures.caption, "off": day_pictures.take_off}
    return {name: responder(edit) for name, edit in (edits | {"back": day_pictures.undo}).items()}
