"""Every problem of a journal, a line each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.commands.usage_errors import one_line

if TYPE_CHECKING:
    from journal import Journal


def counted(number: int, thing: str) -> str:
    """
    >>> counted(1, "page"), counted(0, "problem"), counted(365, "page")
    ('1 page', '0 problems', '365 pages')
    """
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def report(journal: Journal) -> list[str]:
    """A line for each problem, none where there is none."""
    return [one_line(str(problem)) for problem in journal.problems]


def verdict(journal: Journal) -> str:
    """How many problems there are; where there is none, in how many days' pages they were looked for."""
    found, pages = len(journal.problems), journal.tables.days.filter("written").height
    return f"{counted(found, 'problem')}." if found else f"No problems in {counted(pages, 'page')}."
