"""Titles of the figures of links, and what emphasis means in them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.charts import quantities
from journal.language.catalogue import _, _n, _p
from journal.wording import numbers

if TYPE_CHECKING:
    from journal.charts.link_rows import Link

_NAMED = 4  # a title with more names is too long to read


def title(rows: list[Link], quantity: str, *, lasting: bool = True) -> str:
    """A title that names the strong rows and tells whether there are others. Empty if no row is strong.

    `lasting` is for links that are clear over the life of a journal, as against associations in the days shown, of
    which no more is promised.
    """
    clear = sorted((row for row in rows if row.clear), key=lambda row: -abs(row.size))
    groups: dict[tuple[int, bool], list[str]] = {}
    for row in clear[:_NAMED]:
        groups.setdefault((row.lag, row.size > 0), []).append(row.name)
    parts = []
    for (lag, rises), subjects in sorted(groups.items(), key=lambda item: item[0][0]):
        parts.append(_goes(subjects, quantities.word(quantity), _when(lag), rises=rises, lasting=lasting))
    if (more := len(clear) - _NAMED) > 0:
        parts.append(_others(more, lasting=lasting))
    elif clear and len(clear) < len(rows):
        parts.append(_("nothing else is clear") if lasting else _("nothing else did"))
    return "; ".join(parts)


def _when(lag: int) -> str:
    if lag == 0:
        return _p("when mood is higher", "the same day")
    if lag == 1:
        return _p("when mood is higher", "the day after")
    return _("{count} days after", count=lag)


def _goes(subjects: list[str], quantity: str, when: str, *, rises: bool, lasting: bool) -> str:
    values = {"subjects": numbers.listed(subjects), "quantity": quantity, "when": when}
    if not lasting and rises:
        return _n(
            "{subjects} went with higher {quantity} {when}",
            "{subjects} went with higher {quantity} {when}",
            len(subjects),
            **values,
        )
    if not lasting:
        return _n(
            "{subjects} went with lower {quantity} {when}",
            "{subjects} went with lower {quantity} {when}",
            len(subjects),
            **values,
        )
    if rises:
        return _n(
            "{subjects} goes with higher {quantity} {when}",
            "{subjects} go with higher {quantity} {when}",
            len(subjects),
            **values,
        )
    return _n(
        "{subjects} goes with lower {quantity} {when}",
        "{subjects} go with lower {quantity} {when}",
        len(subjects),
        **values,
    )


def _others(count: int, *, lasting: bool) -> str:
    if lasting:
        return _n("one more is clear", "{count} more are clear", count)
    return _n("one more did", "{count} more did", count)


def strength(rows: list[Link], pairs: int, strong: str) -> str:
    """Sentences on what emphasis means, `strong`, and on intervals that exclude zero without being clear."""
    unadjusted = any(
        not row.clear and row.low is not None and row.high is not None and row.low * row.high > 0 for row in rows
    )
    return numbers.joined(
        [
            strong,
            _("A quiet interval beside zero does not hold among so many.") if unadjusted and pairs > 1 else "",
        ],
        " ",
    )
