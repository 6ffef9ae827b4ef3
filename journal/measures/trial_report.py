"""The report of a trial, item by item of the CENT 2015 extension of CONSORT for N-of-1 trials.

Vohra, S. and others (2015), BMJ 350, h1738; Shamseer, L. and others (2015), BMJ 350, h1793. The items are theirs, in
this project's words. Items of series of trials, and of funding and ethics boards, say that they do not apply.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

from journal import lots
from journal.language.catalogue import _
from journal.measures import trial_sentences
from journal.settings import Settings, Trial
from journal.wording import dates, numbers, trial_notes
from journal.wording import trial_words as texts

ReportPart = Literal["plan", "draw", "days", "result", "limits"]
REPORT_PARTS: dict[ReportPart, str] = {
    "plan": "The plan",
    "draw": "The draw",
    "days": "The days",
    "result": "The result",
    "limits": "What it can and cannot say",
}
"""The parts of the report, in order, with their headings."""


class ReportItem(NamedTuple):
    """An item of the checklist: its number, what it asks for, the part of the report that answers, and the answer."""

    item: str
    asks: str
    part: ReportPart
    answer: str


def report(trial: Trial, row: Mapping[str, Any], settings: Settings) -> list[ReportItem]:
    """The items of a trial, in the order of CENT.

    In: the trial, its row of `trials.results`, and the settings for names. Where the result is hidden, its items say
    so. Raises nothing.

    >>> from journal.lots import _EXAMPLE as plan
    >>> row = {"state": "running", "effect": None, "p": None, "days": 6, "planned_days": 6, "n_on": 1, "n_off": 1,
    ...        "pairs": 2, "known": 2, "otherwise": 0, "looks": 0, "missing_on": 0, "missing_off": 0, "changed": False}
    >>> items = report(plan, row, Settings(title="Small", places=()))
    >>> [item.answer for item in items if item.item == "17a.2"]
    ['not shown before the end']
    """
    return [
        ReportItem(number, asks, part, answer)
        for number, asks, part, answer in (*_plan(trial, row, settings), *_draw(trial), *_outcome(trial, row, settings))
    ]


_Rows = list[tuple[str, str, ReportPart, str]]


def _plan(trial: Trial, row: Mapping[str, Any], settings: Settings) -> _Rows:
    habit = settings.habit_name(trial.habit)
    blocks = f"blocks of {trial.block} days"
    left_out = f", the first {trial.washout} days of each left out" if trial.washout else ", no days left out"
    changed = "the plan was changed after the draw" if row["changed"] else "none"
    when = "in the evening" if trial.outcome in ("mood", "energy") else "on the page of the day"
    return [
        ("1a", "identified as an N-of-1 trial", "plan", f"An N-of-1 trial by lot: {trial.question}"),
        ("1b", "summary", "plan", texts.plan(trial, settings)),
        ("2a.1", "background", "plan", "a question of one's own; what goes together need not bring about the other"),
        ("2a.2", "why one person", "plan", "the question is about this person alone"),
        ("2b", "objective", "plan", trial.question),
        ("3a", "design, number and length of periods", "plan",
         f"{numbers.plural(trial.days, 'day')} in {blocks}, one of each pair with “{habit}”{left_out}"),
        ("3b", "changes after the start", "days", changed),
        ("4a", "condition and other treatments", "plan", f"none is treated. {_(texts.NOT_FOR)}"),
        ("4b", "setting", "plan", "everyday life"),
        ("4c", "research or not, ethics", "plan", "no research study: one person's own question"),
        ("5", "interventions", "plan", f"“{habit}” on days on, not on days off"),
        ("6a", "outcome", "plan", f"{texts.looked_at(trial, settings)}, noted {when}"),
        ("6b", "changed outcomes", "days", changed),
        ("6c", "properties of the outcome", "limits", "noted by the person herself, who knows what was drawn"),
        ("7a", "how long", "plan",
         f"{numbers.plural(trial.days, 'day')}, fixed before the first; {_NEEDED}"),
        ("7b", "looks before the end and stopping", "days", _looks(row)),
    ]  # fmt: skip


def _draw(trial: Trial) -> _Rows:
    by_pair = "".join("+" if lots.first_is_on(trial.seed, pair) else "-" for pair in range(_pairs(trial)))
    sealed = f"; digest of the plan {trial.plan}" if trial.plan else ""
    return [
        ("8a", "how the order was drawn", "draw", f"bit 0 of the first byte of SHA-256 of “{trial.seed}:pair”"),
        ("8b", "restrictions", "draw", "balanced in pairs of blocks"),
        ("8c", "the whole sequence", "draw", f"pairs whose first block is on (+): {by_pair}"),
        ("9", "concealment", "draw", f"none: the plan and its seed were written down before the first day{sealed}"),
        ("10", "who drew", "draw", "the program, from the seed"),
        ("11a", "blinding", "limits", "none: who does it knows"),
        ("11b", "likeness of interventions", "limits", "does not apply"),
    ]  # fmt: skip


def _outcome(trial: Trial, row: Mapping[str, Any], settings: Settings) -> _Rows:
    result = _result(trial, row, settings)
    missing = f"{row['missing_on']} days on and {row['missing_off']} off have no outcome and are left out"
    span = dates.stretch(trial.start, lots.last_drawn(trial)) if row["days"] else "none"
    run = f"{numbers.of(row['days'], row['planned_days'], 'day')}, {row['pairs']} pairs of blocks"
    return [
        ("12a", "methods", "result",
         "randomization test over the same draw, two-sided; interval by inverting it; days count as drawn"),
        ("12b", "several trials", "result", "p adjusted for the number of trials (Holm 1979)"),
        ("12c", "carryover, periods and correlation", "result",
         f"{trial.washout} days of each block left out; trend, weekday and memory from day to day allowed for"),
        ("13a", "periods completed", "days", run),
        ("13b", "losses", "days", missing),
        ("13c", "kept as drawn", "days", trial_notes.kept(row) or "no day yet"),
        ("14a", "dates", "days", span),
        ("14b", "why it ended", "days", _ENDS[row["state"]]),
        ("15", "baseline", "limits", "does not apply: each day off is compared with days on beside it"),
        ("16", "days analysed", "result", f"{row['n_on']} on, {row['n_off']} off"),
        ("17a.1", "each period", "result", "the picture of the days in order, and the list of lots"),
        ("17a.2", "effect and precision", "result", result),
        ("17b", "binary outcomes", "result", "does not apply"),
        ("18", "other analyses", "result", "none"),
        ("19", "harms", "days",
         "low mood is watched for" + (": it ended the trial" if row["state"] == "interrupted" else "")),
        ("20", "limits", "limits", " ".join([*trial_notes.notes(row), _(texts.CANNOT_SAY)])),
        ("21", "for whom it holds", "limits", "for this person, at this time"),
        ("22", "interpretation", "limits", _(texts.CAN_SAY)),
        ("23", "registration", "draw", f"in journal.toml, as “{trial.key}”"),
        ("24", "protocol", "draw", "the plan in journal.toml is the whole of it"),
        ("25", "funding", "limits", "does not apply"),
    ]  # fmt: skip


def _result(trial: Trial, row: Mapping[str, Any], settings: Settings) -> str:
    if row["effect"] is None:
        return _HIDDEN if not row.get("finished") else "too few days have an outcome"
    effect = trial_sentences.effect(row, trial, settings)
    if row["p"] is None or row["p_adjusted"] <= row["p"]:
        return effect
    return f"{effect} Adjusted for several trials: p {trial_sentences.p_words(row['p_adjusted'])}."


_NEEDED = "a simulation from the year before said how many find half a standard deviation in 8 of 10 trials"
_HIDDEN = "not shown before the end"
_ENDS = {
    "coming": "has not begun",
    "running": "still running",
    "finished": "ran as planned",
    "stopped": "stopped by choice",
    "interrupted": "interrupted after many low days",
}


def _looks(row: Mapping[str, Any]) -> str:
    looked = f"looked {numbers.times(row['looks'])} before the end" if row["looks"] else "no look before the end"
    return f"{looked}; {_ENDS[row['state']]}"


def _pairs(trial: Trial) -> int:
    return lots.pair_count(trial.days, trial.block)
