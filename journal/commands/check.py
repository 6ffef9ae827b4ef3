"""The problems of a journal as lines of text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.commands.usage_errors import one_line

if TYPE_CHECKING:
    from journal import Journal


def counted(number: int, noun: str) -> str:
    """A number with its noun.

    >>> counted(1, "page"), counted(0, "problem"), counted(365, "page")
    ('1 page', '0 problems', '365 pages')
    """
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def report(journal: Journal) -> list[str]:
    """One line per problem."""
    return [one_line(str(problem)) for problem in journal.problems]


def verdict(journal: Journal) -> str:
    """The number of problems; if there are none, the number of checked day pages."""
    problems, pages = len(journal.problems), journal.tables.days.filter("written").height
    return f"{counted(problems, 'problem')}." if problems else f"No problems in {counted(pages, 'page')}."
