"""The plan of a trial as a page or a command sends it: read, or each value rejected with its field and a remedy."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import msgspec

from journal import lots
from journal.folder import check_trials
from journal.folder.new_journal_text import key_for
from journal.language.catalogue import _
from journal.saving.form_values import FormValues, fault_message
from journal.settings import Settings, Trial
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal

FIELDS = ("question", "habit", "outcome", "lag", "from", "days", "block", "washout")
"""The fields of a plan, by the keys of journal.toml. The key, the seed and the digest are not entered."""

_DAY = dt.timedelta(days=1)


def plan(form: FormValues, raw: Mapping[str, Any], book: Journal, *, seed: int) -> Trial | None:
    """The plan as it was sent, with a seed; None with its problems in `form`.

    In: "question", "habit" (a key), "outcome" (mood, energy, sleep or the key of a counted habit), "lag", "from", which
    is after today, "days", "block", "washout". What journal.toml would be told of as a problem is one here.

    >>> import journal, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = pathlib.Path(folder, "journal.toml").write_text(
    ...         '[[habits]]\\nkey = "walk"\\nname = "Walk"\\nevery = "FREQ=DAILY"\\nfrom = 2025-01-01')
    ...     book, form = journal.open(folder, today=dt.date(2025, 3, 13)), FormValues()
    ...     sent = {"question": "Does it help?", "habit": "walk", "outcome": "mood", "from": "2025-03-13", "days": 60}
    ...     plan(form, sent, book, seed=4711)
    >>> form.troubles[0].message
    'Expected a day from 14 March 2025 on, got 13 March 2025: nothing is drawn for days that have begun.'
    """
    settings = book.settings
    question = (form.text(raw, "question") or "").replace("\n", " ")
    if not question and not form.troubles:
        form.report("question", _("The question is missing; write what you want to know."))
    start = _first_day(form, raw, book.today)
    habit = _word(form, raw, "habit", settings.habit_keys)
    looked_at = _word(form, raw, "outcome", outcomes(settings))
    lag, days, block, washout = (_count(form, raw, name) for name in ("lag", "days", "block", "washout"))
    if lag not in (0, 1):
        form.expected("lag", _("0 for the same day or 1 for the day after"), lag, _("choose one of them"))
    if form.troubles or start is None:
        return None
    trial = Trial(
        key=key_for(habit, {one.key for one in settings.trials}, "trial"),
        question=question,
        habit=habit,
        outcome=looked_at,
        lag=1 if lag else 0,
        start=start,
        days=days,
        block=block,
        washout=washout,
        seed=seed,
    )
    _refuse_pairs(form, trial, settings)
    if not form.troubles:
        _check(form, trial, settings)
    return None if form.troubles else trial


def outcomes(settings: Settings) -> tuple[str, ...]:
    """What can be looked at: mood, energy, sleep, and the counted habits by their keys."""
    counted = (key for key in settings.habit_keys if any(one.target is not None for one in settings.definitions(key)))
    return tuple(dict.fromkeys([*check_trials.OUTCOMES, *counted]))


def _first_day(form: FormValues, raw: Mapping[str, Any], today: dt.date) -> dt.date | None:
    problems_before = len(form.troubles)
    day = form.date(raw.get("from"), "from")
    if day is None and len(form.troubles) == problems_before:
        form.report("from", _("The first day is missing; choose one."))
    if day is not None and day <= today:
        begun = _(
            "Expected a day from {first} on, got {day}: nothing is drawn for days that have begun.",
            first=_date(today + _DAY),
            day=_date(day),
        )
        form.report("from", begun)
    return day


def _word(form: FormValues, raw: Mapping[str, Any], name: str, known: tuple[str, ...]) -> str:
    value = raw.get(name)
    if isinstance(value, str) and value in known:
        return value
    form.expected(name, _("one of this journal"), value, _("choose one of the list"))
    return ""


def _count(form: FormValues, raw: Mapping[str, Any], name: str) -> int:
    """A whole number; that of the type where the field was left empty."""
    default: int = {"lag": 0, "days": 60, "block": 2, "washout": 0}[name]
    number = form.whole(raw.get(name), name)
    return default if number is None else number


def _refuse_pairs(form: FormValues, trial: Trial, settings: Settings) -> None:
    """Report what the form says in words of its own: the habit itself, a night that is over, two draws of a habit."""
    name, last = settings.habit_name(trial.habit), lots.last_planned(trial)
    if trial.outcome == trial.habit:
        form.report("outcome", _("This is the habit itself; choose what it may change."))
        return
    if trial.outcome == "sleep" and not trial.lag:
        form.report("lag", _("The night of the same day is over before the habit; choose the day after."))
    if settings.habit_on(trial.habit, trial.start) is None or settings.habit_on(trial.habit, last) is None:
        ends = _(
            "{habit} is not in force on all days until {date}; choose fewer days, or change its end on the settings "
            "page.",
            habit=name,
            date=_date(last),
        )
        form.report("habit", ends)
    for other in settings.trials:
        until = lots.last_drawn(other)
        if other.habit == trial.habit and other.start <= last and trial.start <= until:
            drawn = _(
                "{habit} is drawn by lot until {date} already; begin after it, or stop that.",
                habit=name,
                date=_date(until),
            )
            form.report("from", drawn)


def _check(form: FormValues, trial: Trial, settings: Settings) -> None:
    """Report the faults that the trial would have in journal.toml, the gravest alone."""
    with_it = msgspec.structs.replace(settings, trials=(*settings.trials, trial))
    last = len(settings.trials)
    for fault in check_trials.trials(with_it):
        if fault.where[:2] == ("trials", last):
            name = str(fault.where[-1])
            form.report(name if name in FIELDS else "", fault_message(fault))


def _date(day: dt.date) -> str:
    return dates.day(day, weekday=False, year=True)
