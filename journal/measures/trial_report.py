"""The report of a trial, item by item of the CENT 2015 extension of CONSORT for N-of-1 trials.

Vohra, S. and others (2015), BMJ 350, h1738; Shamseer, L. and others (2015), BMJ 350, h1793. The items are theirs, in
this project's words. Items of series of trials, and of funding and ethics boards, say that they do not apply.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

from journal import lots
from journal.language.catalogue import N_, _, _n, _p
from journal.measures import trial_sentences
from journal.settings import Settings, Trial
from journal.wording import dates, numbers, trial_notes
from journal.wording import trial_words as texts

ReportPart = Literal["plan", "draw", "days", "result", "limits"]
REPORT_PARTS: dict[ReportPart, str] = {
    "plan": N_("The plan"),
    "draw": N_("The draw"),
    "days": N_("The days"),
    "result": N_("The result"),
    "limits": N_("What it can and cannot say"),
}
"""The parts of the report, in order, with their headings, for `_`."""


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
    habit = numbers.quoted(settings.habit_name(trial.habit))
    changed = _("the plan was changed after the draw") if row["changed"] else _p("of a report", "none")
    days = _n("{count} day", "{count} days", trial.days)
    question = trial.question
    background = _("a question of one's own; what goes together need not bring about the other")
    noted_by = _("noted by the person herself, who knows what was drawn")
    fixed = _(
        "{days}, fixed before the first; a simulation from the year before said how many find half a standard "
        "deviation in 8 of 10 trials",
        days=days,
    )
    return [
        ("1a", _("identified as an N-of-1 trial"), "plan", _("An N-of-1 trial by lot: {question}", question=question)),
        ("1b", _p("of a report", "summary"), "plan", texts.plan(trial, settings)),
        ("2a.1", _p("of a report", "background"), "plan", background),
        ("2a.2", _("why one person"), "plan", _("the question is about this person alone")),
        ("2b", _p("of a report", "objective"), "plan", question),
        ("3a", _("design, number and length of periods"), "plan", _design(trial, habit, days)),
        ("3b", _("changes after the start"), "days", changed),
        ("4a", _("condition and other treatments"), "plan", _("none is treated. {limits}", limits=_(texts.NOT_FOR))),
        ("4b", _p("of a report", "setting"), "plan", _("everyday life")),
        ("4c", _("research or not, ethics"), "plan", _("no research study: one person's own question")),
        ("5", _p("of a report", "interventions"), "plan", _("{habit} on days on, not on days off", habit=habit)),
        ("6a", _p("of a report", "outcome"), "plan", _outcome_noted(trial, settings)),
        ("6b", _("changed outcomes"), "days", changed),
        ("6c", _("properties of the outcome"), "limits", noted_by),
        ("7a", _("how long"), "plan", fixed),
        ("7b", _("looks before the end and stopping"), "days", _looks(row)),
    ]


def _design(trial: Trial, habit: str, days: str) -> str:
    values = {"days": days, "block": trial.block, "habit": habit}
    if not trial.washout:
        return _("{days} in blocks of {block} days, one of each pair with {habit}, no days left out", **values)
    return _(
        "{days} in blocks of {block} days, one of each pair with {habit}, the first {washout} days of each left out",
        washout=trial.washout,
        **values,
    )


def _outcome_noted(trial: Trial, settings: Settings) -> str:
    outcome = texts.looked_at(trial, settings)
    if trial.outcome in ("mood", "energy"):
        return _("{outcome}, noted in the evening", outcome=outcome)
    return _("{outcome}, noted on the page of the day", outcome=outcome)


def _draw(trial: Trial) -> _Rows:
    pairs = range(lots.pair_count(trial.days, trial.block))
    by_pair = "".join("+" if lots.first_is_on(trial.seed, pair) else "-" for pair in pairs)
    bit = _("bit 0 of the first byte of SHA-256 of {text}", text=numbers.quoted(f"{trial.seed}:pair"))
    return [
        ("8a", _("how the order was drawn"), "draw", bit),
        ("8b", _p("of a report", "restrictions"), "draw", _("balanced in pairs of blocks")),
        ("8c", _("the whole sequence"), "draw", _("pairs whose first block is on (+): {pairs}", pairs=by_pair)),
        ("9", _p("of a report", "concealment"), "draw", _concealment(trial)),
        ("10", _("who drew"), "draw", _("the program, from the seed")),
        ("11a", _p("of a report", "blinding"), "limits", _("none: who does it knows")),
        ("11b", _("likeness of interventions"), "limits", _("does not apply")),
    ]


def _concealment(trial: Trial) -> str:
    if not trial.plan:
        return _("none: the plan and its seed were written down before the first day")
    return _(
        "none: the plan and its seed were written down before the first day; digest of the plan {digest}",
        digest=trial.plan,
    )


def _outcome(trial: Trial, row: Mapping[str, Any], settings: Settings) -> _Rows:
    test = _("randomization test over the same draw, two-sided; interval by inverting it; days count as drawn")
    left_out = _(
        "{washout} days of each block left out; trend, weekday and memory from day to day allowed for",
        washout=trial.washout,
    )
    run = _(
        "{days}, {pairs} pairs of blocks",
        days=numbers.of(row["days"], row["planned_days"], "day"),
        pairs=row["pairs"],
    )
    missing = _(
        "{on} days on and {off} off have no outcome and are left out", on=row["missing_on"], off=row["missing_off"]
    )
    span = dates.stretch(trial.start, lots.last_drawn(trial)) if row["days"] else _p("of a report", "none")
    baseline = _("does not apply: each day off is compared with days on beside it")
    analysed = _("{on} on, {off} off", on=row["n_on"], off=row["n_off"])
    in_order = _("the picture of the days in order, and the list of lots")
    is_interrupted = row["state"] == "interrupted"
    harms = _("low mood is watched for: it ended the trial") if is_interrupted else _("low mood is watched for")
    registered = _("in journal.toml, as {key}", key=numbers.quoted(trial.key))
    return [
        ("12a", _p("of a report", "methods"), "result", test),
        ("12b", _("several trials"), "result", _("p adjusted for the number of trials (Holm 1979)")),
        ("12c", _("carryover, periods and correlation"), "result", left_out),
        ("13a", _("periods completed"), "days", run),
        ("13b", _p("of a report", "losses"), "days", missing),
        ("13c", _("kept as drawn"), "days", trial_notes.kept(row) or _("no day yet")),
        ("14a", _p("of a report", "dates"), "days", span),
        ("14b", _("why it ended"), "days", _(_ENDS[row["state"]])),
        ("15", _p("of a report", "baseline"), "limits", baseline),
        ("16", _("days analysed"), "result", analysed),
        ("17a.1", _("each period"), "result", in_order),
        ("17a.2", _("effect and precision"), "result", _result(trial, row, settings)),
        ("17b", _("binary outcomes"), "result", _("does not apply")),
        ("18", _("other analyses"), "result", _p("of a report", "none")),
        ("19", _p("of a report", "harms"), "days", harms),
        ("20", _p("of a report", "limits"), "limits", " ".join([*trial_notes.notes(row), _(texts.CANNOT_SAY)])),
        ("21", _("for whom it holds"), "limits", _("for this person, at this time")),
        ("22", _p("of a report", "interpretation"), "limits", _(texts.CAN_SAY)),
        ("23", _p("of a report", "registration"), "draw", registered),
        ("24", _p("of a report", "protocol"), "draw", _("the plan in journal.toml is the whole of it")),
        ("25", _p("of a report", "funding"), "limits", _("does not apply")),
    ]


def _result(trial: Trial, row: Mapping[str, Any], settings: Settings) -> str:
    if row["effect"] is None:
        return _("too few days have an outcome") if row.get("finished") else _("not shown before the end")
    effect = trial_sentences.effect(row, trial, settings)
    if row["p"] is None or row["p_adjusted"] <= row["p"]:
        return effect
    p = trial_sentences.p_words(row["p_adjusted"])
    return _("{effect} Adjusted for several trials: p {p}.", effect=effect, p=p)


_ENDS = {
    "coming": N_("has not begun"),
    "running": N_("still running"),
    "finished": N_("ran as planned"),
    "stopped": N_("stopped by choice"),
    "interrupted": N_("interrupted after many low days"),
}


def _looks(row: Mapping[str, Any]) -> str:
    end = _(_ENDS[row["state"]])
    if not row["looks"]:
        return _("no look before the end; {end}", end=end)
    return _("looked {times} before the end; {end}", times=numbers.times(row["looks"]), end=end)
