"""Each form of the pages: the function that reads what it sends, and one valid thing that it sends."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import msgspec

from journal import periods
from journal.evening import fit_offer, form_build, month_fill, save_evening, triage_list, triage_save
from journal.planning import day_edits, day_offer, task_days, week_ahead
from journal.reviews import review_form, save_review
from journal.saving import take_back
from journal.saving.form_values import Trouble
from journal.setup import (
    change_preview,
    decision_form,
    mend_settings,
    place_facts,
    row_schedules,
    save_decision,
    save_settings,
    save_time_off,
    settings_form,
    time_off_form,
)

if TYPE_CHECKING:
    from journal import Journal

NOW = dt.datetime(2025, 3, 16, 21, 4, tzinfo=dt.UTC)
Form = tuple[Callable[["Journal", Any], Any], dict[str, Any]]

TASK = {"title": "Oil the press", "ref": "t7k2", "what": "move", "to": "2025-03-20", "took": 30, "estimate": 45}
MEETING = {"title": "Fair", "start": "09:00", "end": "10:30", "ref": "x"}
EDITS: tuple[dict[str, Any], ...] = (
    {"what": "mark", "habit": "walk", "mark": True},
    {"what": "line", "list": "notes", "text": "Ask."},
    {"what": "appointment", **MEETING},
    {"what": "fields", "values": {"mood": 4, "memory": "Sewn."}},
    {"what": "place", "place": "home"},
    {"what": "hours", "layer": "actual", "strip": {"sleep": ["00:00-06:00"]}},
    {"what": "task", "ref": "t7k2", "status": "done", "took": 20},
    {"what": "add task", "title": "Fold", "estimate": 20, "rank": 1},
    {"what": "add undated", "title": "Fold"},
    {"what": "take in", "ref": "u2p5"},
    {"what": "move", "ref": "t7k2", "to": "2025-03-19"},
    {"what": "put away", "ref": "t7k2"},
    {"what": "take out", "ref": "t7k2"},
)


def all_forms(book: Journal) -> list[Form]:
    """Return every form that sends something to a journal."""
    today, starts = book.today, book.settings.week_starts
    week, march = (periods.parse(key, week_starts=starts) for key in ("2025-W11", "2025-03"))
    evening = form_build.offer(book, today)
    planned = {
        "mood": 4,
        "appointments": [MEETING],
        "planned": {"sleep": ["22:30-24:00"]},
        "tasks": [TASK | {"rank": 1}],
    }
    closed = {
        "base": evening.base, "day": evening.day, "mood": 4, "energy": 3, "habits": {"walk": True, "read": 24},
        "challenges": {"letters": True}, "gratitude": ["Bread."], "memory": "Sewn.", "share": True, "notes": ["Ask."],
        "appointments": [MEETING], "actual": {"sleep": ["00:00-06:00"]}, "actual_as_planned": False, "tasks": [TASK],
        "tomorrow": planned, "resolve": [{"field": "mood", "file": "x", "theirs": 3, "which": "mine"}],
    }  # fmt: skip
    review = review_form.offer(book, week)
    answers = [{"ref": "What may go?", "prompt": "What may go?", "answer": "The count."}]
    decisions = decision_form.offer(book, march)
    change = {
        "base": decisions.base, "period": "2025-03", "habit": "walk", "what": "change", "from": "2025-04-01",
        "schedule": {"pattern": "quota", "times": 3, "per": "week"}, "target": 3, "unit": "km", "aim": "at least",
    }  # fmt: skip
    months = msgspec.to_builtins(month_fill.month(book, "2025-03"))
    settings = msgspec.to_builtins(settings_form.offer(book))
    ahead, day = week_ahead.offer(book), day_offer.offer(book, today, NOW)
    off = {
        "base": time_off_form.offer(book).base, "what": "add", "from": "2025-03-20", "until": "2025-03-22",
        "habits": ["walk"], "reason": "flu", "ref": "0",
    }  # fmt: skip
    return [
        (lambda book, raw: save_evening.save(book, raw, now=NOW), closed),
        (lambda book, raw: fit_offer.fit(book, book.today, raw), closed),
        (
            lambda book, raw: save_review.save(book, raw, now=NOW),
            {"base": review.base, "period": review.period, "answers": answers, "prompts": ["A"], "notes": ["x"]},
        ),
        (lambda book, raw: save_decision.decide(book, raw, now=NOW), change),
        (change_preview.words, change),
        (
            lambda book, raw: month_fill.save_month(book, raw, now=NOW),
            {"base": months["base"], "marks": {"walk": {"2025-03-14": True}, "read": {"2025-03-13": 3}}},
        ),
        (
            lambda book, raw: triage_save.decide(book, raw, now=NOW),
            {"base": triage_list.offer(book).base, "decisions": [{"ref": "2025-03-14/t7k2", **TASK, "what": "day"}]},
        ),
        (
            lambda book, raw: task_days.put(book, raw, now=NOW).answer,
            {"base": ahead.base, "day": ahead.day, "ref": "undated/u2p5", "to": "2025-03-17"},
        ),
        (lambda book, raw: take_back.take_back(book, raw, now=NOW, by="day"), {"undo": "x"}),
        (lambda book, raw: save_settings.save(book, raw, now=NOW), settings),
        (lambda book, raw: save_settings.change(book, raw, now=NOW), settings),
        (
            lambda book, raw: mend_settings.mend(book, raw, now=NOW),
            {"base": settings["base"], "first": 1, "last": 1, "text": 'title = "x"'},
        ),
        (lambda book, raw: save_time_off.save(book, raw, now=NOW), off),
        (
            lambda book, raw: place_facts.sun(raw, book.today, 24),
            {"latitude": 46.05, "longitude": 14.5, "timezone": "Europe/Ljubljana"},
        ),
        (
            lambda book, raw: row_schedules.preview(raw, book.today),
            {"schedule": {"pattern": "weekly", "weekdays": ["MO"], "interval": 2}, "from": "2025-03-01"},
        ),
        *(
            (
                lambda book, raw: day_edits.save(book, raw, now=NOW).answer,
                {"base": day.base, "day": day.day, "edit": edit},
            )
            for edit in EDITS
        ),
    ]


def problems_of(answer: Any) -> Iterator[Trouble]:
    """Yield the problems that an answer tells."""
    yield from getattr(answer, "problems", ())
