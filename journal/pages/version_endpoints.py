"""Endpoints of the copies and the earlier states of pages, as those of the other forms (`form_endpoints`).

They need the files only, not the opened journal.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from journal import opened
from journal.errors import FolderError
from journal.folder.opened_files import OpenedFiles
from journal.pages.form_endpoints import Now, plain_json, with_offer
from journal.pages.forms import JsonObject, Responder
from journal.saving import base_pages, earlier_states, merge_copy, take_back
from journal.saving.save_pages import SaveResult


def copies(files: OpenedFiles) -> JsonObject:
    """The offer of the copies that lie in the folder, as JSON. There is none while the journal is gone."""
    try:
        return {"copies": [plain_json(copy) for copy in merge_copy.offers(files)]}
    except FolderError:
        return {"copies": []}


def copy_answers(folder: Path, now: Now) -> Mapping[str, Responder]:
    """The handlers of the copies' requests. Every answer to a change has the copies as they are then."""

    def look(params: JsonObject) -> JsonObject:
        return {"view": plain_json(merge_copy.view(OpenedFiles(folder), params, now=now()))}

    def changing(make: Callable[..., SaveResult]) -> Responder:
        def respond(params: JsonObject) -> JsonObject:
            answer = plain_json(make(OpenedFiles(folder), params, now=now()))
            return with_offer({"answer": answer}, lambda: copies(OpenedFiles(folder)))

        return respond

    return {
        "look": look,
        "merge": changing(merge_copy.merge),
        "put_away": changing(merge_copy.put_away),
        "back": changing(merge_copy.back),
    }


def earlier(files: OpenedFiles, keys: Sequence[str]) -> JsonObject:
    """The offer of the earlier states of some pages, as JSON. None is read before it is asked for. There is no page
    while the journal is gone."""
    try:
        return {"pages": [plain_json(earlier_states.offer(files, key)) for key in keys]}
    except FolderError:
        return {"pages": []}


def evening_keys(day: dt.date, today: dt.date) -> tuple[str, ...]:
    """The keys of the pages that an evening writes."""
    return base_pages.evening_keys(day, base_pages.next_day(day, today))


def earlier_answers(folder: Path, now: Now) -> Mapping[str, Responder]:
    """The handlers of the earlier states' requests."""

    def states(params: JsonObject) -> JsonObject:
        return {"list": plain_json(earlier_states.listed(OpenedFiles(folder), params))}

    def look(params: JsonObject) -> JsonObject:
        return {"view": plain_json(earlier_states.view(OpenedFiles(folder), params))}

    def bring(params: JsonObject) -> JsonObject:
        return {"answer": plain_json(earlier_states.bring_back(OpenedFiles(folder), params, now=now()))}

    def back(params: JsonObject) -> JsonObject:
        moment = now()
        book = opened.read(OpenedFiles(folder), today=moment.date(), cache=True)
        answer = take_back.take_back(book, params.get("undo"), now=moment, by="history", raw=params)
        return {"answer": plain_json(answer)}

    return {"states": states, "look": look, "bring": bring, "back": back}
