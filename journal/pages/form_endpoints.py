"""Endpoints of the pages' forms: JSON objects in, JSON objects out.

Each request opens the journal once, computes from it and saves to it, so an answer reflects the files at that moment.
The offer after a save comes from a second opening, which reads only the files that have changed. An evening is told
that it is saved before that: it asks for the offer then.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec

import journal
from journal import periods
from journal.errors import JournalError, UsageError
from journal.evening import fit_offer, form_build, month_fill, save_evening, triage_list, triage_save
from journal.folder.history_records import PageWriter
from journal.folder.reading import gc_paused
from journal.language.catalogue import _, _n
from journal.pages.forms import JsonObject, Responder
from journal.periods import Period
from journal.planning import day_edits, task_days, week_ahead
from journal.reviews import review_form, save_review
from journal.saving import base_pages, take_back
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal
    from journal.planning.week_ahead import WeekAhead
    from journal.saving.save_pages import SaveResult

_LATE = dt.timedelta(days=7)

OpenJournal = Callable[[], "Journal"]
Now = Callable[[], dt.datetime]


def evening(book: Journal, day: dt.date) -> JsonObject:
    """The offer of an evening as JSON, with `today`, so that a day closed late can link back to it."""
    return plain_json(form_build.offer(book, day)) | {"today": book.today.isoformat()}


def evening_at(book: Journal, day: dt.date, coming: dt.date | None) -> JsonObject:
    """The offer that the evening page opens with. `coming` is the coming day that was asked for instead, if any."""
    return evening(book, day) | ({"coming": coming_day(book, coming)} if coming else {})


def coming_day(book: Journal, day: dt.date) -> JsonObject:
    """A coming day, which an evening cannot close and the page of that day plans. It can be `closed` already if the
    clock of the computer was ahead, or is behind now."""
    logged = base_pages.entry(book.files.pages.look(day.isoformat()), book.files.basis.known)[0].logged
    return {"day": day.isoformat(), "title": dates.day(day, year=True)} | ({"closed": True} if logged else {})


def back(read: OpenJournal, now: Now, by: PageWriter, offer: Callable[[Journal, JsonObject], JsonObject]) -> Responder:
    """The handler of a form's way back from its last save: {"undo" of the answer to it, "resolve"}. It answers with the
    current `offer`, which is made from the journal and the parameters of the request."""

    def respond(params: JsonObject) -> JsonObject:
        book = read()
        answer = take_back.take_back(book, params.get("undo"), now=now(), by=by, raw=params)
        return with_offer({"answer": plain_json(answer)}, lambda: offer(reopened(book), params))

    return respond


def answers(
    read: OpenJournal, now: Now, shown: Callable[[dt.date], None] = lambda _day: None
) -> Mapping[str, Responder]:
    """The handlers of the evening form's requests, by request name.

    `read` opens the journal as of today, `now` returns the time of saving. `shown` is told the day that the form
    changes to.
    """

    def day(params: JsonObject) -> JsonObject:
        book = read()
        asked = day_edits.parse_day(params.get("day"))
        if asked > book.today:
            return {"coming": coming_day(book, asked)}
        offer = evening(book, asked)
        shown(asked)
        return {"offer": offer}

    def fit(params: JsonObject) -> JsonObject:
        book = read()
        return {"fit": plain_json(fit_offer.fit(book, _day(params.get("day"), book.today), params))}

    def save(params: JsonObject) -> JsonObject:
        book = read()
        with gc_paused():  # with fifty years in memory, one look at all of it takes ten times as long as a save
            answer = plain_json(save_evening.save(book, params, now=now()))
        if not (answer["partly"] or answer["conflict"]):
            return {"answer": answer}
        return with_offer({"answer": answer}, lambda: after(reopened(book), params))

    def after(book: Journal, params: JsonObject) -> JsonObject:
        day = day_edits.parse_day(params.get("day"))
        # An evening that was open while the clock was set back is of a day after today.
        as_of = book if day <= book.today else reopened(book, day)
        return evening(as_of, day)

    def month(params: JsonObject) -> JsonObject:
        return {"offer": plain_json(month_fill.month(read(), str(params.get("month"))))}

    def save_month(params: JsonObject) -> JsonObject:
        return {"answer": plain_json(month_fill.save_month(read(), params, now=now()))}

    return {
        "day": day,
        "fit": fit,
        "save": save,
        "saved": lambda params: {"offer": after(read(), params)},
        "back": back(read, now, "evening", lambda book, of: evening(book, _day(of.get("day"), book.today))),
        "month": month,
        "save_month": save_month,
        "back_month": back(
            read, now, "evening", lambda book, of: plain_json(month_fill.month(book, str(of.get("month"))))
        ),
    }


def to_decide(book: Journal, week: Period) -> JsonObject:
    """The offer of the list of tasks to decide on, as JSON. It lists the tasks as of today. `shown` is true in the week
    of today and, for seven days, in the week before, because a review may be some days late."""
    return plain_json(triage_list.offer(book)) | {"shown": _is_shown(book, week)}


def _is_shown(book: Journal, week: Period) -> bool:
    return week.first <= book.today <= week.last + _LATE


def jump_to_decide(offered: JsonObject) -> list[tuple[str, str]]:
    """The link to the list of tasks to decide on, for the top of the page; none where nothing is to decide."""
    undated = sum(task["kind"] == "undated" for task in offered["tasks"])
    count = len(offered["tasks"]) - undated + offered["more"] or undated  # those without a day are folded
    link = _n("{count} task to decide on", "{count} tasks to decide on", count)
    return [("decide", link)] if offered["shown"] and count else []


def decisions(read: OpenJournal, now: Now) -> Mapping[str, Responder]:
    """The handlers of the triage list's requests, as in `answers`. The answer includes the current list, except if some
    decision has a problem to correct."""

    def decide(params: JsonObject) -> JsonObject:
        book = read()
        answer = plain_json(triage_save.decide(book, params, now=now()))
        has_problem = any(problem["field"] for problem in answer["problems"])
        if has_problem:
            return {"answer": answer}
        return with_offer({"answer": answer}, lambda: to_decide_now(reopened(book)))

    return {"decide": decide, "back": back(read, now, "week", lambda book, _of: to_decide_now(book))}


def to_decide_now(book: Journal) -> JsonObject:
    """The offer of the list of tasks to decide on, as JSON, for a page that shows it."""
    return plain_json(triage_list.offer(book)) | {"shown": True}


def ahead(book: Journal, week: Period) -> JsonObject:
    """The offer of the week ahead, as JSON. It is as of today, and `shown` beside the list of tasks to decide on."""
    return plain_json(week_ahead.offer(book)) | {"shown": _is_shown(book, week)}


def moves(read: OpenJournal, now: Now) -> Mapping[str, Responder]:
    """The handlers of the week ahead's requests, as in `answers`. Every answer includes the current days, and `said`,
    what was done or why nothing was."""

    def put(params: JsonObject) -> JsonObject:
        book = read()
        result = task_days.put(book, params, now=now())
        return _moved(
            book, result.answer, lambda offer: week_ahead.told(offer, result.title, str(params.get("to")))
        ) | {"undo": result.undo}

    def back(params: JsonObject) -> JsonObject:
        book = read()
        answer = take_back.take_back(book, params.get("undo"), now=now(), by="week")
        return _moved(book, answer, lambda _offer: answer.said)

    return {"put": put, "back": back}


def _moved(book: Journal, answer: SaveResult, done: Callable[[WeekAhead], str]) -> JsonObject:
    reasons = [answer.said, *(problem.message for problem in answer.problems)]
    said = " ".join(filter(None, reasons))
    try:
        offer = week_ahead.offer(reopened(book))
    except JournalError:  # saved or not, the answer says which
        return {"saved": answer.saved, "said": said[:1].upper() + said[1:]}
    said = done(offer) if answer.saved else said
    return {"saved": answer.saved, "said": said[:1].upper() + said[1:], "offer": plain_json(offer) | {"shown": True}}


def review(book: Journal, period: Period) -> JsonObject:
    """The offer of a review, as JSON."""
    return plain_json(review_form.offer(book, period))


def reviews(read: OpenJournal, now: Now) -> Mapping[str, Responder]:
    """The handlers of the review form's requests, as in `answers`. After a save or a conflict, the answer includes the
    current review."""

    def save(params: JsonObject) -> JsonObject:
        book = read()
        answer = plain_json(save_review.save(book, params, now=now()))
        if not (answer["saved"] or answer["conflict"]):
            return {"answer": answer}
        return with_offer({"answer": answer}, lambda: current(reopened(book), params))

    def current(book: Journal, params: JsonObject) -> JsonObject:
        return review(book, periods.parse(str(params.get("period")), week_starts=book.settings.week_starts))

    def undo(params: JsonObject) -> JsonObject:
        return back(read, now, periods.parse_name(str(params.get("period"))).kind, current)(params)

    return {"save": save, "back": undo}


def name(folder: Path) -> str:
    """The key of a journal's drafts in the browser: a digest of its folder, which does not reveal the path."""
    return hashlib.sha256(str(folder.resolve()).encode()).hexdigest()[:16]


def reopened(book: Journal, today: dt.date | None = None) -> Journal:
    """The journal, opened again from the current files, as of a day, by default the same as before."""
    return journal.open(book.folder, today=today or book.today, files=book.files)


def with_offer(answer: JsonObject, offer: Callable[[], JsonObject]) -> JsonObject:
    """The answer to a save, with the offer as it is now. If the journal cannot be read again, there is none: what is on
    disk is told all the same."""
    try:
        return answer | {"offer": offer()}
    except JournalError:
        return answer


def _day(text: object, today: dt.date) -> dt.date:
    """Parse the day of an evening.

    Raises UsageError for an invalid date and for a day after today.
    """
    day = day_edits.parse_day(text)
    if day > today:
        raise UsageError(
            _("{day} is still to come; close it when it is over, and plan it on its own page", day=day.isoformat())
        )
    return day


def plain_json(value: Any) -> JsonObject:
    """A value as JSON has it."""
    converted = msgspec.to_builtins(value)
    assert isinstance(converted, dict)
    return converted
