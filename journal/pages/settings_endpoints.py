"""Endpoints of the settings form, as those of the other forms (`form_endpoints`)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from journal import periods
from journal.pages.form_endpoints import Now, OpenJournal, back, plain_json, reopened, with_offer
from journal.pages.forms import JsonObject, Responder
from journal.setup import calendar_view, mend_settings, place_facts, row_schedules, save_settings, settings_form

if TYPE_CHECKING:
    from journal import Journal


def settings(book: Journal) -> JsonObject:
    """The offer of the settings, as JSON."""
    return plain_json(settings_form.offer(book))


def answers(read: OpenJournal, now: Now) -> Mapping[str, Responder]:
    """The handlers of the settings form's requests, by request name.

    `read` opens the journal as of today, `now` returns the time of saving. After a save or a conflict, the answer
    includes the current settings.
    """

    def save(params: JsonObject) -> JsonObject:
        book = read()
        answer = plain_json(save_settings.save(book, params, now=now()))
        if not (answer["saved"] or answer["conflict"]):
            return {"answer": answer}
        return with_offer({"answer": answer}, lambda: settings(reopened(book)))

    def mend(params: JsonObject) -> JsonObject:
        book = read()
        answer = plain_json(mend_settings.mend(book, params, now=now()))
        return (
            with_offer({"answer": answer}, lambda: settings(reopened(book))) if answer["saved"] else {"answer": answer}
        )

    def change(params: JsonObject) -> JsonObject:
        book = read()
        change = plain_json(save_settings.change(book, params, now=now()))
        return {"change": change} | ({"offer": settings(book)} if change["is_stale"] else {})

    def sun(params: JsonObject) -> JsonObject:
        book = read()
        return {"said": place_facts.sun(params, book.today, book.settings.clock)}

    def zones(_params: JsonObject) -> JsonObject:
        return {"zones": place_facts.zones()}

    def town(params: JsonObject) -> JsonObject:
        return {"town": place_facts.town(str(params.get("timezone")))}

    def due(params: JsonObject) -> JsonObject:
        return {"said": row_schedules.preview(params, read().today)}

    def calendars(params: JsonObject) -> JsonObject:
        book = read()
        week = periods.containing(book.today, "week", week_starts=book.settings.week_starts)
        paths = [path for path in map(str.strip, str(params.get("paths")).split("\n")) if path]
        zone = next(iter(book.settings.zones.values()), "Etc/UTC")
        views = calendar_view.of(book.folder, paths, (week.first, week.last), zone, book.settings.clock)
        return {"calendars": [plain_json(view) for view in views]}

    return {
        "save": save,
        "back": back(read, now, "settings", lambda book, _of: settings(book)),
        "mend": mend,
        "change": change,
        "sun": sun,
        "zones": zones,
        "town": town,
        "due": due,
        "calendars": calendars,
    }
