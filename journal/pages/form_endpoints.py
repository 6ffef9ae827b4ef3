"""What the pages' forms ask of a journal, and are answered: plain JSON in, plain JSON out.

Each question opens the journal anew, so an answer is of the files as they lie there at that moment, and whatever it
takes is worked out and written from that one opening. What is shown after a save is read once more, as far as the files
are others by then.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec

import journal
from journal.errors import UsageError
from journal.evening import form_build as offers
from journal.evening import month_fill, save_evening, triage_list, triage_save
from journal.pages.forms import Plain, Responder
from journal.periods import Period

if TYPE_CHECKING:
    from journal import Journal

_LATE = dt.timedelta(days=7)

OpenJournal = Callable[[], "Journal"]
Now = Callable[[], dt.datetime]


def evening(book: Journal, day: dt.date) -> Plain:
    """The offer of an evening, as JSON has it, and today, to which a day that is closed late leads back."""
    return _plain(offers.offer(book, day)) | {"today": book.today.isoformat()}


def answers(read: OpenJournal, now: Now) -> Mapping[str, Responder]:
    """The answers of one journal to the evening's form, by the name of each question.

    `read` opens the journal as of today, `now` gives the moment that a page is saved at.
    """

    def day(of: Plain) -> Plain:
        book = read()
        return {"offer": evening(book, _day(of.get("day"), book.today))}

    def fit(of: Plain) -> Plain:
        book = read()
        return {"fit": _plain(offers.fit(book, _day(of.get("day"), book.today), of))}

    def save(of: Plain) -> Plain:
        book = read()
        answer = _plain(save_evening.save(book, of, now=now()))
        if not (answer["saved"] or answer["conflict"]):
            return {"answer": answer}
        return {"answer": answer, "offer": evening(_again(book), _day(of.get("day"), book.today))}

    def month(of: Plain) -> Plain:
        return {"offer": _plain(month_fill.month(read(), str(of.get("month"))))}

    def save_month(of: Plain) -> Plain:
        return {"answer": _plain(month_fill.save_month(read(), of, now=now()))}

    return {"day": day, "fit": fit, "save": save, "month": month, "save_month": save_month}


def to_decide(book: Journal, week: Period) -> Plain:
    """The offer of the list of tasks to decide on, as JSON has it. It is of today: it is shown in the week of today,
    and in the one before, which may be looked back on some days late."""
    shown = week.first <= book.today <= week.last + _LATE
    return _plain(triage_list.offer(book)) | {"shown": shown}


def decisions(read: OpenJournal, now: Now) -> Mapping[str, Responder]:
    """The answer of one journal to decisions, as in `answers`. The list as it is then comes along, whatever came of
    them, but for where something is to be mended in it."""

    def decide(of: Plain) -> Plain:
        book = read()
        answer = _plain(triage_save.decide(book, of, now=now()))
        amiss = any(problem["field"] for problem in answer["problems"])
        return {"answer": answer} | (
            {} if amiss else {"offer": _plain(triage_list.offer(_again(book))) | {"shown": True}}
        )

    return {"decide": decide}


def name(folder: Path) -> str:
    """What the drafts of a journal go by in the browser: the same for the same folder, and silent about its place."""
    return hashlib.sha256(str(folder.resolve()).encode()).hexdigest()[:16]


def _again(book: Journal) -> Journal:
    """The journal as its files are now."""
    return journal.open(book.folder, today=book.today, files=book.files)


def _day(text: object, today: dt.date) -> dt.date:
    """The day that an evening is asked for.

    Raises UsageError for what is no day, and for one that is still to come.
    """
    try:
        day = dt.date.fromisoformat(str(text))
    except ValueError:
        raise UsageError(f'there is no day "{text}"; choose one from the calendar') from None
    if day > today:
        raise UsageError(f"{day} is still to come; close it when it is over")
    return day


def _plain(value: Any) -> Plain:
    found = msgspec.to_builtins(value)
    assert isinstance(found, dict)
    return found
