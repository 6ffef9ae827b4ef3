"""The trials of a journal as HTML: how far they are, and the results that may be shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

import polars as pl

from journal.charts import trial_days
from journal.charts.figure import Figure
from journal.charts.trial_days import ArmMeans
from journal.frames import Row
from journal.language.catalogue import N_, _
from journal.measures import trial_sentences
from journal.sections.cards import card, figure
from journal.sections.escape import Html, join, tag
from journal.settings import Scale, Settings, Trial
from journal.wording import numbers, trial_notes, trial_words

if TYPE_CHECKING:
    from journal import Journal

STILL_RUNS = N_("The trial still runs: this is a look before its end, and what it shows may yet turn.")
HIDDEN = N_("Its result is not shown before its end.")
NO_TRIAL = N_("Settle by lot what a habit does")
"""The texts are for `_`."""


def sentence(book: Journal) -> str:
    """The heading of the chapter: how far the trial is that runs or that was the last to begin."""
    in_order = sorted(book.trials, key=lambda trial: trial.start)
    now = [trial for trial in in_order if trial_words.phase(trial, book.today) != "over"] or in_order[-1:]
    if not now:
        return _(NO_TRIAL)
    stand = trial_words.stand(now[0], book.today).rstrip(".")
    told = _("By lot: {question} {stand}.", question=now[0].question, stand=stand)
    more = _("{count} more.", count=len(now) - 1) if len(now) > 1 else None
    return numbers.joined([told, more], " ")


def what_it_says() -> str:
    """What the result of a trial can say, and what it cannot."""
    return f"{_(trial_words.CAN_SAY)} {_(trial_words.CANNOT_SAY)}"


def results(book: Journal) -> Html:
    """The results of all trials that are over, or that were asked for today, the newest first."""
    parts = [_result(book, trial, row) for trial, row in shown(book)]
    return join([*parts, tag("p", what_it_says(), class_="quiet")] if parts else [])


def _result(book: Journal, trial: Trial, row: Row) -> Html:
    effect, *lines = result_lines(book, trial, row)
    parts = [tag("p", effect, class_="effect"), figure(picture(book, trial, row), headed=False)]
    return card(trial.question, *parts, *(tag("p", line) for line in lines), kind="trial-result")


def shown(book: Journal) -> list[tuple[Trial, Row]]:
    """The trials with a result to show, newest first, each with its row of `trials.results`."""
    rows = {row["trial"]: row for row in book.trial_results.iter_rows(named=True)}
    with_result = [(trial, rows[trial.key]) for trial in book.trials if trial.key in rows]
    may_be_shown = [
        (trial, row) for trial, row in with_result if row["days"] and (row["finished"] or book.today in trial.looked)
    ]
    return sorted(may_be_shown, key=lambda pair: pair[0].start, reverse=True)


def picture(book: Journal, trial: Trial, row: Row, *, key: str = "") -> Figure:
    """The days of a trial by arm, in order."""
    days = book.lots.filter(pl.col("trial") == trial.key, pl.col("date") <= book.today)
    return trial_days.draw(
        days,
        ArmMeans(row["mean_on"], row["mean_off"]),
        title=trial_sentences.headline(row, trial, book.settings),
        habit=book.settings.habit_name(trial.habit),
        outcome=trial_words.outcome(book.settings, trial.outcome),
        scale=_scale(book.settings, trial),
        key=key or f"trial-{trial.key}",
    )


def _scale(settings: Settings, trial: Trial) -> Scale | None:
    return {"mood": settings.mood, "energy": settings.energy}.get(trial.outcome)


def result_lines(book: Journal, trial: Trial, row: Row) -> list[str]:
    """The result in words: the effect, what it shows, what is counted and what weakens it."""
    together = book.trial_results.get_column("p").count()
    effect = trial_sentences.effect(row, trial, book.settings)
    lines = [effect or f"{trial_sentences.headline(row, trial, book.settings)}."]
    if effect:
        lines.append(f"{trial_sentences.shown(row, together)} {_(trial_sentences.ALLOWED)}".strip())
    running = [] if row["finished"] else [_(STILL_RUNS)]
    lines.append(" ".join([trial_sentences.counted(row), *trial_notes.notes(row), *running]))
    return lines
