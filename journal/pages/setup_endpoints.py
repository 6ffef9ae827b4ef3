"""Endpoints of the widgets that edit journal.toml: JSON objects in, JSON objects out, as in `form_endpoints`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from journal import periods
from journal.pages.form_endpoints import Now, OpenJournal, back, plain_json, reopened, with_offer
from journal.pages.forms import JsonObject, Responder
from journal.periods import Period
from journal.sections import habit_grids
from journal.setup import change_preview, decision_form, save_decision, save_time_off, time_off_form

if TYPE_CHECKING:
    from journal import Journal


def habit_decisions(book: Journal, month: Period) -> JsonObject:
    """The offer of a month's decisions about its habits, as JSON, with the grid whose rows they stand in."""
    return plain_json(decision_form.offer(book, month)) | {"grid": plain_json(habit_grids.month(book, month))}


def habit_decision_answers(read: OpenJournal, now: Now) -> Mapping[str, Responder]:
    """The handlers of the decisions' requests. The answer to a decision includes the decisions as they are now, except
    if a field has a problem to correct."""

    def decide(params: JsonObject) -> JsonObject:
        book = read()
        answer = plain_json(save_decision.decide(book, params, now=now()))
        if any(problem["field"] for problem in answer["problems"]):
            return {"answer": answer}
        month = periods.parse(str(params.get("period")), "month", week_starts=book.settings.week_starts)
        return with_offer({"answer": answer}, lambda: habit_decisions(reopened(book), month))

    def preview(params: JsonObject) -> JsonObject:
        return {"said": change_preview.words(read(), params)}

    return {"decide": decide, "preview": preview}


def time_off(book: Journal) -> JsonObject:
    """The offer of the list of time off, as JSON."""
    return plain_json(time_off_form.offer(book))


def time_off_answers(read: OpenJournal, now: Now) -> Mapping[str, Responder]:
    """The handlers of the time off's requests. The answer to a save includes the list as it is now, except if a field
    has a problem to correct."""

    def save(params: JsonObject) -> JsonObject:
        book = read()
        answer = plain_json(save_time_off.save(book, params, now=now()))
        if any(problem["field"] for problem in answer["problems"]):
            return {"answer": answer}
        return with_offer({"answer": answer}, lambda: time_off(reopened(book)))

    return {"save": save, "back": back(read, now, "evening", lambda book, _of: time_off(book))}
