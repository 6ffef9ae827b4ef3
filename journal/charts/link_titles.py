"""Titles of the figures of links, and what emphasis means in them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from journal.wording import numbers

if TYPE_CHECKING:
    from journal.charts.link_rows import Link

_NAMED = 4  # a title with more names is too long to read


class Verbs(NamedTuple):
    """The words of a title: what one row does, what several do, and what is said of the others."""

    one: str
    several: str
    other: str
    others: str


LASTING = Verbs("goes", "go", "is clear", "are clear")
"""For links that are clear over the life of a journal."""
OF_THESE_DAYS = Verbs("went", "went", "did", "did")
"""For associations in the days shown, of which no more is promised."""


def title(rows: list[Link], quantity: str, verbs: Verbs = LASTING) -> str:
    """A title that names the strong rows and tells whether there are others. Empty if no row is strong."""
    clear = sorted((row for row in rows if row.clear), key=lambda row: -abs(row.size))
    groups: dict[tuple[int, bool], list[str]] = {}
    for row in clear[:_NAMED]:
        groups.setdefault((row.lag, row.size > 0), []).append(row.name)
    parts = []
    for (lag, rises), subjects in sorted(groups.items(), key=lambda item: item[0][0]):
        when = "the same day" if lag == 0 else "the day after" if lag == 1 else f"{lag} days after"
        parts.append(
            f"{numbers.listed(subjects)} {verbs.one if len(subjects) == 1 else verbs.several} with "
            f"{'higher' if rises else 'lower'} {quantity} {when}"
        )
    more = len(clear) - _NAMED
    rest = f"{more} more {verbs.others}" if more > 1 else f"one more {verbs.other}" if more == 1 else ""
    nothing = f"nothing else {verbs.other}" if clear and len(clear) < len(rows) and not rest else ""
    return numbers.joined([*parts, rest, nothing], "; ")


def strength(rows: list[Link], pairs: int, strong: str) -> str:
    """Sentences on what emphasis means, and on intervals that exclude zero without being clear."""
    unadjusted = any(
        not row.clear and row.low is not None and row.high is not None and row.low * row.high > 0 for row in rows
    )
    return numbers.joined(
        [
            f"Strong: {strong}.",
            "A quiet interval beside zero does not hold among so many." if unadjusted and pairs > 1 else "",
        ],
        " ",
    )
