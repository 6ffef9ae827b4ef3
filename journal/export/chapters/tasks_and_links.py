"""Tasks of the year, and what goes with mood."""

from __future__ import annotations

from journal.export.document import Block, Picture, Sentences, Words
from journal.export.year_data import Subject
from journal.frames import Row
from journal.measures import link_sentences
from journal.sections import link_cards, task_cards
from journal.wording import numbers


def tasks(subject: Subject) -> list[Block]:
    """The chapter of tasks."""
    return [Picture(figure=drawn) for drawn in task_cards.figures(subject.tasks, subject.year, subject.today)]


def links(subject: Subject) -> list[Block]:
    """The chapter of links: what goes with mood, what that does not show, and each clear link in words."""
    cut = subject.narrowed
    found = link_cards.linked(
        subject.states, cut.tables, subject.settings, first=subject.first, last=subject.last, today=subject.today
    )
    beside = link_cards.measured_drawn(
        cut.tables, cut.nights, subject.settings, period=subject.year, today=subject.today
    )
    blocks: list[Block] = []
    if found is not None and found.pairs:
        blocks.append(Picture(figure=found.drawn))
        said = tuple((sentence, _numbers(row)) for sentence, row, _ in found.clear)
        if said:
            blocks.append(Sentences(title="Clear links", sentences=said))
    over = [found.over] if found is not None and found.pairs else []
    if blocks or beside is not None:
        blocks.append(Words(title=link_cards.TITLE, paragraphs=(*over, link_sentences.WHAT_IT_SHOWS)))
    return [*blocks, Picture(figure=beside)] if beside is not None else blocks


def _numbers(row: Row) -> str:
    """How far apart the means are, and how rare that is, from a row of `links.links`."""
    between = ""
    if row["low"] is not None:
        span = f"{numbers.number(row['low'], 2)} to {numbers.number(row['high'], 2)}"
        between = f" ({numbers.NINETY_FIVE} interval {span})"
    return f"Difference {numbers.number(row['difference'], 2)}{between}, q {numbers.number(row['q'], 3)}"
