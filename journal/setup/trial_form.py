"""The trials of a journal as a list to act on, and what a new one starts from: the [[trials]] of journal.toml."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Literal

import msgspec
import polars as pl

from journal import lots
from journal.errors import JournalError
from journal.language.catalogue import N_, _
from journal.measures import low_stretches
from journal.saving import base_pages
from journal.settings import Trial
from journal.setup.settings_tables import SettingsTables
from journal.setup.trial_entered import outcomes
from journal.wording import dates, numbers, trial_notes, trial_words
from journal.wording.trial_words import TrialPhase

if TYPE_CHECKING:
    from journal import Journal

Way = Literal["off", "stop", "look"]
_DAY = dt.timedelta(days=1)

BLOCKS_SAID = N_(
    "The lot is drawn for blocks of days: of each two blocks one is on and one off. What lasts longer than a day wants "
    "longer blocks, or days left out at the start of each."
)
LOOK_SAID = N_(
    "Looking early, and stopping when it looks good, calls chance an effect too often. So each look counts as a test: "
    "an early one costs the end little, a late one more. The day is noted with the trial, and told with its result."
)
NO_HABIT = N_("No habit is in force, so there is nothing to do by lot. Habits are made on the settings page.")
LOW_DAYS = N_("Mood was low on most days of late. A trial can wait until that is over.")
OFF_SAID = N_("It has not begun. It is taken out of journal.toml, as if it had not been made.")


class TrialChoice(msgspec.Struct, frozen=True, kw_only=True):
    """A habit, or what is looked at, to choose."""

    key: str
    name: str


class TrialWay(msgspec.Struct, frozen=True, kw_only=True):
    """What can be done with a trial: what is said before it is done, and the button that does it."""

    what: Way
    said: str
    press: str


class TrialRow(msgspec.Struct, frozen=True, kw_only=True):
    """A trial of the list. The form sends `ref`, its key, back. `said` are lines: the plan, and how far it is."""

    ref: str
    question: str
    said: list[str]
    ways: list[TrialWay]


class PlanProposal(msgspec.Struct, frozen=True, kw_only=True, rename={"start": "from"}):
    """The plan that a new trial starts from."""

    question: str
    habit: str
    outcome: str
    lag: int
    start: dt.date
    days: int
    block: int
    washout: int


class TrialsOffer(msgspec.Struct, frozen=True, kw_only=True):
    """All trials, those that run or are to come first.

    `closed` is why none can be changed, `no_new` why none can be made; both are normally empty.
    """

    base: str
    closed: str
    no_new: str
    about: str
    not_for: str
    blocks_said: str
    earliest: dt.date
    habits: list[TrialChoice]
    outcomes: list[TrialChoice]
    proposal: PlanProposal
    trials: list[TrialRow]


def offer(book: Journal) -> TrialsOffer:
    """Return the trials of a journal.

    >>> import journal, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = pathlib.Path(folder, "journal.toml").write_text(
    ...         '[[habits]]\\nkey = "walk"\\nname = "Walk"\\nevery = "FREQ=DAILY"\\nfrom = 2025-01-01\\n'
    ...         '[[trials]]\\nkey = "w"\\nquestion = "Does it help?"\\nhabit = "walk"\\n'
    ...         'from = 2025-03-10\\ndays = 60\\nseed = 4711')
    ...     shown = offer(journal.open(folder, today=dt.date(2025, 3, 13)))
    >>> shown.trials[0].said[1], [way.what for way in shown.trials[0].ways]
    ('Day 4 of 60, until 8 May 2025. By lot: off; tomorrow: on.', ['stop', 'look'])
    """
    base, closed = book.files.basis.base, ""
    try:
        SettingsTables(base.values)  # refuses what is no table
    except JournalError as error:
        closed = f"{error}."
    tomorrow = book.today + _DAY
    names = {key: book.settings.habit_name(key) for key in book.settings.habit_keys}
    habits = [TrialChoice(key=key, name=name) for key, name in names.items() if _in_force(book, key, tomorrow)]
    newest = sorted(book.trials, key=lambda trial: trial.start, reverse=True)
    in_order = sorted(newest, key=lambda trial: trial_words.phase(trial, book.today) == "over")
    return TrialsOffer(
        base=base_pages.packed((base,)),
        closed=closed,
        no_new=no_new(book),
        about=_(trial_words.ABOUT),
        not_for=_(trial_words.NOT_FOR),
        blocks_said=_(BLOCKS_SAID),
        earliest=tomorrow,
        habits=habits,
        outcomes=[TrialChoice(key=key, name=_capital(_looked_at(book, key))) for key in outcomes(book.settings)],
        proposal=PlanProposal(
            question="",
            habit=habits[0].key if habits else "",
            outcome="mood",
            lag=1,
            start=tomorrow,
            days=60,
            block=2,
            washout=0,
        ),
        trials=[_row(book, trial) for trial in in_order],
    )


def no_new(book: Journal) -> str:
    """Why no trial can be made: no habit is in force, or moods are low for long. Normally empty."""
    scale, days, today = book.settings.mood, book.tables.days, book.today
    if low_stretches.first_low_stretch(days, first=today, last=today, low=scale.low, high=scale.high):
        return _(LOW_DAYS)
    tomorrow = today + _DAY
    return "" if any(_in_force(book, key, tomorrow) for key in book.settings.habit_keys) else _(NO_HABIT)


def _in_force(book: Journal, key: str, day: dt.date) -> bool:
    return any(span.last >= day for span in book.settings.habit_spans[key])


def _looked_at(book: Journal, key: str) -> str:
    return _(trial_words.OF_THE_DAY[key]) if key in trial_words.OF_THE_DAY else book.settings.habit_name(key)


def _row(book: Journal, trial: Trial) -> TrialRow:
    phase = trial_words.phase(trial, book.today)
    stop = TrialWay(
        what="stop",
        said=_(
            "Today stays as drawn; from {date} on nothing is drawn. That it was stopped on day {number} of {days} is "
            "told with its result.",
            date=_date(book.today + _DAY),
            number=(book.today - trial.start).days + 1,
            days=trial.days,
        ),
        press=_("Stop it"),
    )
    look = TrialWay(what="look", said=_(LOOK_SAID), press=_("Show me the result"))
    off = TrialWay(what="off", said=_(OFF_SAID), press=_("Call it off"))
    ways = {"ahead": [off], "running": [stop, look], "waiting": [look], "over": []}[phase]
    if book.today == lots.last_drawn(trial):
        ways = [way for way in ways if way.what != "stop"]  # it ends today
    return TrialRow(
        ref=trial.key,
        question=trial.question,
        said=[
            f"{_capital(trial_words.plan(trial, book.settings))}.",
            *trial_words.progress(trial, book.today),
            *_kept(book, trial, phase),
            *_early(trial),
        ],
        ways=ways,
    )


def _kept(book: Journal, trial: Trial, phase: TrialPhase) -> list[str]:
    """How many days were done as drawn so far. Once it is over, the result says so."""
    if phase not in ("running", "waiting"):
        return []
    known = book.lots.filter(pl.col("trial") == trial.key, pl.col("arm") != "washout", pl.col("done").is_not_null())
    kept = trial_notes.kept(
        {"known": known.height, "otherwise": known.filter(pl.col("done") != pl.col("is_on")).height}
    )
    return [f"{_capital(kept)}."] if kept else []


def _early(trial: Trial) -> list[str]:
    """What a reader of the result has to know: that it was looked at early, or is not as drawn."""
    looked = numbers.listed(map(_date, trial.looked)) if trial.looked else ""
    return [
        *([_("Looked at before the end, on {days}.", days=looked)] if looked else []),
        *([_("Its plan was changed after it was drawn.")] if lots.is_changed(trial) else []),
    ]


def _date(day: dt.date) -> str:
    return dates.day(day, weekday=False, year=True)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
