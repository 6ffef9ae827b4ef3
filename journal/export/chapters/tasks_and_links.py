"""The chapters of tasks and of links with mood."""

from __future__ import annotations

from journal.export.document import Block, Picture, Sentences, Words
from journal.export.year_data import YearData
from journal.frames import Row
from journal.language.catalogue import _
from journal.measures import link_sentences, withheld_links
from journal.sections import link_cards, task_cards
from journal.wording import numbers


def tasks(subject: YearData) -> list[Block]:
    """The chapter of tasks."""
    return [Picture(figure=drawn) for drawn in task_cards.figures(subject.tasks, subject.year, subject.today)]


def links(subject: YearData) -> list[Block]:
    """The chapter of links with mood: the charts, each clear link in words, and how to read them."""
    cut = subject.narrowed
    result = link_cards.linked(subject.book, first=subject.first, last=subject.last)
    correlates = link_cards.measured_drawn(
        cut.tables, cut.nights, subject.settings, period=subject.year, today=subject.today
    )
    blocks: list[Block] = []
    if result is not None and result.pairs:
        blocks.append(Picture(figure=result.drawn))
        clear = tuple((sentence, _numbers(row)) for sentence, row, _dates in result.clear)
        if clear:
            blocks.append(Sentences(title=_("Clear links"), sentences=clear))
    over = [result.over] if result is not None and result.pairs else []
    left_out = link_cards.withheld(subject.book, subject.first, subject.last) if subject.book.trials else []
    if left_out:
        over.append(withheld_links.sentence(left_out, subject.settings))
    if blocks or correlates is not None or left_out:
        blocks.append(Words(title=_(link_cards.TITLE), paragraphs=(*over, _(link_sentences.WHAT_IT_SHOWS))))
    return [*blocks, Picture(figure=correlates)] if correlates is not None else blocks


def _numbers(row: Row) -> str:
    """The difference of means with its interval and q, from a row of `links.links`."""
    parts = {"difference": numbers.number(row["difference"], 2), "q": numbers.number(row["q"], 3)}
    if row["low"] is None:
        return _("Difference {difference}, q {q}", **parts)
    ends = {"low": numbers.number(row["low"], 2), "high": numbers.number(row["high"], 2)}
    level = numbers.NINETY_FIVE
    return _("Difference {difference} ({level} interval {low} to {high}), q {q}", level=level, **ends, **parts)
