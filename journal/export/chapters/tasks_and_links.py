"""The chapters of tasks and of links with mood."""

from __future__ import annotations

from journal.export.document import Block, Picture, Sentences, Words
from journal.export.year_data import YearData
from journal.frames import Row
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
        clear = tuple((sentence, _numbers(row)) for sentence, row, _ in result.clear)
        if clear:
            blocks.append(Sentences(title="Clear links", sentences=clear))
    over = [result.over] if result is not None and result.pairs else []
    left_out = link_cards.withheld(subject.book, subject.first, subject.last) if subject.book.trials else []
    if left_out:
        over.append(withheld_links.sentence(left_out, subject.settings))
    if blocks or correlates is not None or left_out:
        blocks.append(Words(title=link_cards.TITLE, paragraphs=(*over, link_sentences.WHAT_IT_SHOWS)))
    return [*blocks, Picture(figure=correlates)] if correlates is not None else blocks


def _numbers(row: Row) -> str:
    """The difference of means with its interval and q, from a row of `links.links`."""
    interval = ""
    if row["low"] is not None:
        span = f"{numbers.number(row['low'], 2)} to {numbers.number(row['high'], 2)}"
        interval = f" ({numbers.NINETY_FIVE} interval {span})"
    return f"Difference {numbers.number(row['difference'], 2)}{interval}, q {numbers.number(row['q'], 3)}"
