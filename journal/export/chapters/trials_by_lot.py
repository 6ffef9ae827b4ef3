"""The chapter of trials by lot: the days of each, its result in words, and its report by the items of CENT 2015."""

from __future__ import annotations

from journal import lots
from journal.export.document import Block, Grid, Picture, Words
from journal.export.year_data import YearData
from journal.language.catalogue import N_, _, _p
from journal.measures import trial_report
from journal.sections import trial_cards
from journal.wording import trial_words

CHECKLIST = N_("Reported by the items of CENT 2015 (Vohra and others, BMJ 350, h1738)")


def blocks(subject: YearData) -> list[Block]:
    """The chapter of the trials that were drawn on a day of the year; empty without one. A result is shown as on the
    page of the month: after the end, or on a day on which it was asked for."""
    book, blocks = subject.book, list[Block]()
    rows = {row["trial"]: row for row in book.trial_results.iter_rows(named=True)} if book.trials else {}
    shown = {trial.key for trial, _row in trial_cards.shown(book)} if book.trials else set()
    paragraphs = (_(trial_words.CAN_SAY), _(trial_words.CANNOT_SAY))
    says = Words(title=_("What a trial says"), paragraphs=paragraphs)
    for trial in sorted(book.trials, key=lambda trial: trial.start):
        row = rows[trial.key]
        if not row["days"] or trial.start > subject.until or lots.last_drawn(trial) < subject.first:
            continue
        if trial.key in shown:
            blocks.append(Picture(figure=trial_cards.picture(book, trial, row)))
            told = (f"{trial_words.plan(trial, book.settings)}.", *trial_cards.result_lines(book, trial, row))
        else:
            told = (f"{trial_words.plan(trial, book.settings)}.", _(trial_cards.HIDDEN))
        blocks.append(Words(title=trial.question, paragraphs=told))
        if trial.key in shown and says not in blocks:
            blocks.append(says)  # before the first list, which fills pages
        items = trial_report.report(trial, row, book.settings)
        asked = tuple((item.item, item.asks, item.answer) for item in items)
        head = (_("Item"), _("Asks for"), _p("in a report", "Here"))
        blocks.append(Grid(title=_(CHECKLIST), header=head, rows=asked))
    return blocks
