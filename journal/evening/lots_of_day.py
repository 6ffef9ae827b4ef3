"""What the trials of a journal say of one day: by habit, what is drawn, and how many days went otherwise so far."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import polars as pl

from journal import lots
from journal.evening.form_schema import LotOffer
from journal.language.catalogue import _
from journal.settings import Trial
from journal.wording import trial_notes, trial_words

if TYPE_CHECKING:
    from journal import Journal


def of_day(book: Journal, day: dt.date) -> list[LotOffer]:
    """Return what is drawn for a day, in the order of the trials. A trial that care has interrupted says so.

    `book` is the journal as of today; the days that went otherwise are those before `day`.

    >>> import journal, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = pathlib.Path(folder, "journal.toml").write_text(
    ...         '[[habits]]\\nkey = "walk"\\nname = "Walk"\\nevery = "FREQ=DAILY"\\nfrom = 2025-01-01\\n'
    ...         '[[trials]]\\nkey = "w"\\nquestion = "?"\\nhabit = "walk"\\n'
    ...         'from = 2025-03-10\\ndays = 60\\nseed = 4711')
    ...     book = journal.open(folder, today=dt.date(2025, 3, 13))
    ...     [(lot.habit, lot.arm, lot.said) for lot in of_day(book, dt.date(2025, 3, 14))]
    [('walk', 'on', 'By lot: on')]
    """
    return [offer for trial in book.trials if (offer := _offer(book, trial, day)) is not None]


def by_habit(book: Journal, day: dt.date) -> dict[str, LotOffer]:
    """Return what is drawn for a day by the key of the habit, without trials that draw nothing."""
    return {offer.habit: offer for offer in of_day(book, day) if offer.arm}


def _offer(book: Journal, trial: Trial, day: dt.date) -> LotOffer | None:
    name = book.settings.habit_name(trial.habit)
    drawn = lots.lot_on(trial, day)
    if drawn is not None:
        went, known = _otherwise(book, trial, day)
        so_far = _("counts as drawn; {otherwise}", otherwise=trial_words.otherwise(went + 1, known + 1))
        return LotOffer(
            habit=trial.habit,
            name=name,
            arm="on" if drawn.is_on else "off",
            said=trial_words.lot(drawn),
            otherwise=so_far if drawn.arm != "washout" else "",
        )
    if trial.interrupted is not None and trial.interrupted <= day <= lots.last_planned(trial):
        return LotOffer(
            habit=trial.habit, name=name, arm="", said=trial_notes.interruption([trial.question]), otherwise=""
        )
    return None


def _otherwise(book: Journal, trial: Trial, day: dt.date) -> tuple[int, int]:
    """Return how many of the days before one went otherwise than drawn, and how many are known, without washout."""
    known = book.lots.filter(
        pl.col("trial") == trial.key, pl.col("date") < day, pl.col("arm") != "washout", pl.col("done").is_not_null()
    )
    return known.filter(pl.col("done") != pl.col("is_on")).height, known.height
