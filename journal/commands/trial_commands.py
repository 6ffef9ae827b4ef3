"""The work of `duskbook trial`: questions for a plan, how long it must run, and what is written after a yes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.commands import clock, terminal_questions
from journal.commands.habit_names import key_and_value
from journal.commands.import_files import is_terminal
from journal.commands.open_journal import mention_problems, open_journal
from journal.commands.usage_errors import FINE, PROBLEMS, say, suggestion
from journal.errors import UsageError
from journal.language.catalogue import N_, _
from journal.language.spoken import spoken
from journal.saving import base_pages
from journal.saving.form_values import FormValues, Trouble
from journal.sections import trial_cards
from journal.setup import save_trial, trial_advice, trial_entered, trial_form
from journal.setup.save_trial import TrialAction
from journal.wording import numbers, trial_words

if TYPE_CHECKING:
    from journal import Journal
    from journal.settings import Trial

_FIELD_OPTIONS = {name: f"--{name}" for name in trial_entered.FIELDS}
_NOTHING: Mapping[TrialAction, str] = {
    "stop": N_("{trial}: {state}; nothing is to be stopped"),
    "look": N_("{trial}: {state}; no look is to be noted"),
}
_SURE = N_('nothing is drawn; "--sure" says that it is none of these')


def make(folder: Path, given: Mapping[str, Any], *, yes: bool, sure: bool) -> int:
    """Ask for what is not given, say how long the trial must run, and draw it after a yes. Returns the exit code."""
    book = _opened(folder)
    say(_(trial_words.NOT_FOR))
    if reason := trial_form.no_new(book):
        raise UsageError(_as_message(reason))
    raw = _plan(book, given)
    if (asks := trial_advice.asks_again(book, raw)) and not sure:
        say(asks[-1])
        if not is_terminal() or not terminal_questions.agreed(_("It is none of these: go on?")):
            raise UsageError(_(_SURE))
    form = FormValues()
    plan = trial_entered.plan(form, raw, book, seed=0)
    if plan is None:
        return _refused(form.troubles)
    for line in trial_advice.words(book, plan):
        say(numbers.plain(line))
    if not _agreed(yes, _("Draw the lots?")):
        return FINE
    return _saved(book, "make", raw)


def _as_message(sentence: str) -> str:
    """A sentence as the message of an error: without its full stop, and in English with a small letter."""
    begin = sentence[:1] if spoken().nouns_capital else sentence[:1].lower()
    return begin + sentence[1:].rstrip(".")


def list_trials(folder: Path) -> int:
    """Print the plan of each trial, and how far it is."""
    book = _opened(folder)
    rows = trial_form.offer(book).trials
    if not rows:
        say(_('There is no trial. Make one with "duskbook trial make".'))
    for row in rows:
        say(f"{row.ref}: {row.question}")
        for line in row.said:
            say(f"  {line}")
    mention_problems(book)
    return FINE


def stop(folder: Path, key: str, *, yes: bool) -> int:
    """Stop a trial after a yes."""
    return _way(folder, key, "stop", yes=yes)


def look(folder: Path, key: str, *, yes: bool) -> int:
    """Note that the result was asked for before the end, after a yes, and print it."""
    code = _way(folder, key, "look", yes=yes)
    return code or result(folder, key)


def result(folder: Path, key: str) -> int:
    """Print the result of a trial that is over, or that was looked at today."""
    book = _opened(folder)
    trial = _known(book, key)
    row = next((row for shown, row in trial_cards.shown(book) if shown.key == key), None)
    if row is None:
        text = _('{trial} is not over: {state}; "duskbook trial look {trial}" notes that you asked, and shows it')
        raise UsageError(text.format(trial=key, state=trial_words.progress(trial, book.today)[0].rstrip(".")))
    say(trial.question)
    for line in [
        *trial_cards.result_lines(book, trial, row),
        trial_cards.what_it_says(),
        f"{trial_words.plan(trial, book.settings)}.",
    ]:
        say(numbers.plain(line))
    return FINE


def _opened(folder: Path) -> Journal:
    return open_journal(folder)


def _known(book: Journal, key: str) -> Trial:
    known = {trial.key: trial for trial in book.trials}
    if key not in known:
        if not known:
            raise UsageError(_('there is no trial "{key}"; make one with "duskbook trial make"', key=key))
        raise UsageError(_('there is no trial "{key}"; {remedy}', key=key, remedy=suggestion(key, known)))
    return known[key]


def _way(folder: Path, key: str, what: TrialAction, *, yes: bool) -> int:
    book = _opened(folder)
    _known(book, key)
    row = next(row for row in trial_form.offer(book).trials if row.ref == key)
    way = next((way for way in row.ways if way.what == what), None)
    if way is None:
        raise UsageError(_(_NOTHING[what], trial=key, state=row.said[1].rstrip(".")))
    say(way.said)
    if not _agreed(yes, f"{way.press}?"):
        return PROBLEMS if what == "look" else FINE
    return _saved(book, what, {"ref": key})


def _agreed(yes: bool, question: str) -> bool:
    if yes:
        return True
    if not is_terminal():
        say(_("Nothing is written: there is no terminal to ask on. Add --yes."))
        return False
    if not terminal_questions.agreed(question):
        say(_("Nothing is written."))
        return False
    return True


def _saved(book: Journal, what: TrialAction, raw: Mapping[str, Any]) -> int:
    sent = {**raw, "base": base_pages.packed((book.files.basis.base,))}
    answer = save_trial.save(book, what, sent, now=clock.now(), by="trial")
    if not answer.saved:
        return _refused(answer.problems or [Trouble("", f"{answer.said}.")])
    say(answer.said)
    return list_trials(book.folder) if what == "make" else FINE


def _refused(problems: list[Trouble]) -> int:
    """Raise UsageError with the first problem, named by its option."""
    for problem in problems:
        option = f"{_FIELD_OPTIONS[problem.field]}: " if problem.field in _FIELD_OPTIONS else ""
        say(f"{option}{problem.message}", err=True)
    return PROBLEMS


def _plan(book: Journal, given: Mapping[str, Any]) -> dict[str, Any]:
    """The plan as options and answers give it, in the form of a page."""
    proposal = trial_form.offer(book).proposal
    asked = _Asked(given)
    habit = asked("habit", _("Habit to do by lot"), proposal.habit, lambda text: key_and_value(text, book.settings)[0])
    known = trial_entered.outcomes(book.settings)
    outcome = asked("outcome", _("What is looked at ({outcomes})", outcomes=", ".join(known)), "mood", str)
    lag = asked("lag", _("0 for the same day, 1 for the day after"), 1, int)
    changes = {"habit": book.settings.habit_name(habit), "outcome": trial_words.outcome(book.settings, outcome)}
    proposed = _("Does “{habit}” change {outcome} the same day?", **changes)
    if lag:
        proposed = _("Does “{habit}” change {outcome} the day after?", **changes)
    return {
        "habit": habit,
        "outcome": outcome,
        "lag": lag,
        "question": asked("question", _("Question"), proposed, str),
        "from": asked("from", _("First day"), proposal.start, dt.date.fromisoformat).isoformat(),
        "days": asked("days", _("Days"), proposal.days, int),
        "block": asked("block", _("Days in a block"), proposal.block, int),
        "washout": asked("washout", _("Days left out at the start of each block"), proposal.washout, int),
    }


class _Asked:
    """Takes a value from the options, or asks for it, or without a terminal takes the proposal."""

    def __init__(self, given: Mapping[str, Any]) -> None:
        self.given = given

    def __call__(self, name: str, question: str, proposed: Any, read: Callable[[str], Any]) -> Any:
        value = self.given.get(name)
        if value is not None:
            return read(value) if isinstance(value, str) else value
        if not is_terminal():
            return proposed

        def answer(text: str) -> Any:
            try:
                return read(text)
            except UsageError:
                raise
            except ValueError:
                refusal = _('"{text}" does not fit here; write e.g. "{proposed}"')
                raise ValueError(refusal.format(text=text, proposed=proposed)) from None

        return terminal_questions.ask(question, str(proposed), answer)
