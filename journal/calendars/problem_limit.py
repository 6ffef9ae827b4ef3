"""The problems of calendars, not too many of one file: one fault of a program is in each of its events."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from journal.errors import Problem
from journal.language import digits
from journal.language.catalogue import _

PROBLEMS_A_FILE = 20


def limited(problems: Sequence[Problem]) -> Iterator[Problem]:
    """Yield the first problems of each file, and the number of further ones.

    >>> problem = Problem(path="work.ics", expected="an event", got="none", remedy="delete it")
    >>> print(list(limited([problem] * 23))[-1])
    work.ics: expected a calendar without faults, got 3 more like these; export it again
    """
    by_file: dict[str, list[Problem]] = defaultdict(list)
    for problem in problems:
        by_file[problem.path].append(problem)
    for path, file_problems in by_file.items():
        yield from sorted(file_problems)[:PROBLEMS_A_FILE]
        if len(file_problems) > PROBLEMS_A_FILE:
            more = _("{count} more like these", count=digits.number(len(file_problems) - PROBLEMS_A_FILE))
            yield Problem(path=path, expected=_("a calendar without faults"), got=more, remedy=_("export it again"))
