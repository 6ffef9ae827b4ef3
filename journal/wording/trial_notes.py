"""Trials by lot in words: what weakens a result, how many days were kept, how long a trial must run, and care."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from journal.language.catalogue import _, _n
from journal.wording import numbers
from journal.wording.numbers import quoted


def length(needed: Mapping[str, Any], what: str) -> str:
    """How long a trial must run, from the fields of `trial_length.TrialLength`. `what` is the outcome without its day.

    >>> row = {"days": 132, "pairs": 33, "effect": 0.47, "outcomes": 340, "is_assumed": False, "is_reached": True}
    >>> length(row, "mood")
    '132 days, to find a difference of 0.47 in mood (half a standard deviation) in 8 of 10 trials; simulated from 340
    values of your last year, with their spread, weekdays and memory from day to day'
    >>> length(row | {"outcomes": 12, "is_assumed": True}, "mood")
    '132 days, to find half a standard deviation in 8 of 10 trials; there are only 12 values of mood in your last year,
    so a usual spread and memory from day to day are assumed'
    """
    parts = {"days": _n("{count} day", "{count} days", needed["days"]), "what": what, "values": needed["outcomes"]}
    if not needed["is_reached"]:
        return _("even {days} would find half a standard deviation of {what} in fewer than 8 of 10 trials", **parts)
    if needed["is_assumed"]:
        return _(
            "{days}, to find half a standard deviation in 8 of 10 trials; there are only {values} values of {what} in "
            "your last year, so a usual spread and memory from day to day are assumed",
            **parts,
        )
    return _(
        "{days}, to find a difference of {effect} in {what} (half a standard deviation) in 8 of 10 trials; simulated "
        "from {values} values of your last year, with their spread, weekdays and memory from day to day",
        effect=_size(needed["effect"]),
        **parts,
    )


def kept(row: Mapping[str, Any]) -> str:
    """How many days were done as drawn, from a row of `trials.results`. Empty before the first.

    >>> kept({"known": 32, "otherwise": 4}), kept({"known": 1, "otherwise": 0}), kept({"known": 0, "otherwise": 0})
    ('done as drawn on 28 of 32 days; the other 4 count as they were drawn', 'done as drawn on 1 of 1 day', '')
    """
    if not row["known"]:
        return ""
    done = row["known"] - row["otherwise"]
    text = _n(
        "done as drawn on {done} of {count} day", "done as drawn on {done} of {count} days", row["known"], done=done
    )
    if not row["otherwise"]:
        return text
    return _("{kept}; the other {count} count as they were drawn", kept=text, count=row["otherwise"])


def notes(row: Mapping[str, Any]) -> list[str]:
    """What weakens a result or has to be known with it, a sentence each, from a row of `trials.results`.

    >>> row = {"state": "finished", "changed": False, "looks": 0, "missing_on": 2, "missing_off": 1, "assignments": 256,
    ...        "days": 60, "planned_days": 60}
    >>> notes(row)
    ['Without a value, and left out: 2 days drawn on and 1 day drawn off.']
    >>> notes(row | {"state": "stopped", "looks": 1, "days": 40, "missing_on": 0, "missing_off": 0})[0]
    'You stopped it after 40 of 60 days. You had looked once before: a look could have ended it, so p and the interval
    count it as a test.'
    >>> notes(row | {"state": "running", "looks": 1})[0]
    'You have looked once: each look counts as a test in p and the interval.'
    """
    found = []
    days = numbers.of(row["days"], row["planned_days"], "day")
    looks = numbers.times(row["looks"]) if row["looks"] else ""
    if row["changed"]:
        found.append(
            _("The plan is not the one that was drawn: p and interval are left out, as the days are another's.")
        )
    if row["state"] == "stopped" and looks:
        text = _(
            "You stopped it after {days}. You had looked {times} before: a look could have ended it, so p and the "
            "interval count it as a test.",
            days=days,
            times=looks,
        )
        found.append(text)
    elif row["state"] == "stopped":
        text = _(
            "You stopped it after {days}, without having seen the result; p holds if how the days went had nothing to "
            "do with it.",
            days=days,
        )
        found.append(text)
    elif row["state"] == "interrupted":
        text = _(
            "It was interrupted after {days}, after many low days. That depends on mood, not on what was drawn, so p "
            "holds.",
            days=days,
        )
        found.append(text)
    elif looks and row["state"] == "running":
        text = _("You have looked {times}: each look counts as a test in p and the interval.", times=looks)
        found.append(text)
    elif looks:
        text = _(
            "You had looked {times} before the end. A look could have ended it, so p and the interval count it as a "
            "test.",
            times=looks,
        )
        found.append(text)
    return [*found, *_missing(row)]


def _missing(row: Mapping[str, Any]) -> list[str]:
    on, off = row["missing_on"], row["missing_off"]
    if not (on or off):
        return []
    arms = [_n("{count} day drawn on", "{count} days drawn on", on)] if on else []
    arms += [_n("{count} day drawn off", "{count} days drawn off", off)] if off else []
    return [_("Without a value, and left out: {days}.", days=numbers.listed(arms))]


def care(words: Sequence[str]) -> str:
    """The question that a plan with such words asks before it begins.

    >>> care(["pill"])
    'The plan says “pill”. Such a trial belongs to a doctor: ask yours before. Begin all the same only if it is none of
    these.'
    """
    return _(
        "The plan says {words}. Such a trial belongs to a doctor: ask yours before. Begin all the same only if it is "
        "none of these.",
        words=numbers.listed([quoted(word) for word in words]),
    )


def interruption(questions: Sequence[str]) -> str:
    """What is said when low days interrupt trials, with their questions.

    >>> interruption(["Does a walk help?"])
    'Mood was low on most of the last two weeks. “Does a walk help?” is interrupted, and nothing is drawn any more:
    do what does you good. If it lasts, talk to someone, or to a doctor.'
    """
    return _n(
        "Mood was low on most of the last two weeks. {questions} is interrupted, and nothing is drawn any more: do "
        "what does you good. If it lasts, talk to someone, or to a doctor.",
        "Mood was low on most of the last two weeks. {questions} are interrupted, and nothing is drawn any more: do "
        "what does you good. If it lasts, talk to someone, or to a doctor.",
        len(questions),
        questions=numbers.listed([quoted(question) for question in questions]),
    )


def _size(value: float) -> str:
    return numbers.number(value, 2 if value < 10 else 0)
