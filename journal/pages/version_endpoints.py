"""Endpoints of the copies of pages, as those of the other forms (`form_endpoints`). They need the files only, not the
opened journal."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from journal.folder.opened_files import OpenedFiles
from journal.pages.form_endpoints import Now, plain_json, with_offer
from journal.pages.forms import JsonObject, Responder
from journal.saving import merge_copy
from journal.saving.save_pages import SaveResult


def copies(folder: Path) -> JsonObject:
    """The offer of the copies that lie in the folder, as JSON."""
    return {"copies": [plain_json(copy) for copy in merge_copy.offers(OpenedFiles(folder))]}


def copy_answers(folder: Path, now: Now) -> Mapping[str, Responder]:
    """The handlers of the copies' requests. Every answer to a change has the copies as they are then."""

    def look(params: JsonObject) -> JsonObject:
        return {"view": plain_json(merge_copy.view(OpenedFiles(folder), params, now=now()))}

    def changing(make: Callable[..., SaveResult]) -> Responder:
        def respond(params: JsonObject) -> JsonObject:
            answer = plain_json(make(OpenedFiles(folder), params, now=now()))
            return with_offer({"answer": answer}, lambda: copies(folder))

        return respond

    return {
        "look": look,
        "merge": changing(merge_copy.merge),
        "put_away": changing(merge_copy.put_away),
        "back": changing(merge_copy.back),
    }
