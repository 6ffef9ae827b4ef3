"""What the week's, the month's and the year's page begin with alike: the journal read, a period chosen, its heading.

The notebook keeps the states (which period, how many edits), since a cell runs again only for a state that it names
itself; what is the same whichever state it is stands here.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import polars as pl

import journal
from journal.measures import coverage
from journal.pages import controls, file_watch, page_params
from journal.periods import Period, PeriodKind
from journal.sections import cards, day_cards
from journal.sections.escape import Html, join
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal


class PeriodPage:
    """A page over weeks, months or years. `notebooks` is the folder of the notebook, `query` the address's parameters
    as marimo gives them, `now` reads the clock."""

    def __init__(self, kind: PeriodKind, notebooks: Path | None, query: Any, now: Callable[[], dt.datetime]) -> None:
        self.kind, self.query, self.now = kind, query, now
        self.folder = page_params.folder(notebooks)
        self._before_reading = file_watch.seen(self.folder)
        self.at_first = self.read()

    def read(self) -> Journal:
        """The journal as its files are now."""
        return journal.open(self.folder, today=page_params.today(self.now()))

    def moment(self) -> dt.datetime:
        """The moment at which something is saved."""
        return page_params.moment(self.folder, self.now())

    def first_shown(self) -> Period:
        """The period that the page opens at."""
        return page_params.first_shown(self.kind, self.query.to_dict(), self.at_first)

    def watch(self, set_edits: Callable[[Callable[[int], int]], None]) -> None:
        """Count the edits of the journal's files, of any editor, in a state of the notebook."""
        file_watch.start(self.folder, self._before_reading, lambda: set_edits(lambda count: count + 1))

    def again(self) -> Journal:
        """The journal as it is now; what has not changed comes from the cache."""
        return page_params.again(self.read, self.at_first)

    def arrows(self, move: Callable[[Callable[[Period], Period]], None]) -> tuple[Any, Any]:
        """The buttons to an earlier and a later period."""
        return controls.arrows(page_params.choices(self.kind, self.at_first), move)

    def picker(self, book: Journal, chosen: Period, choose: Callable[[Period], None]) -> Any:
        """The list of periods, which stands at the chosen one."""
        return controls.picker(page_params.choices(self.kind, book), chosen, choose)

    def lived(self, book: Journal, period: Period) -> pl.DataFrame:
        """`Tables.days`, cut to the days of a period that are over and since the first page."""
        return book.lived.filter(pl.col("date").is_between(period.first, period.last))

    def head(self, book: Journal, period: Period, lived: pl.DataFrame) -> Html:
        """The page down to its heading. The address follows the period, so that a reload shows the same."""
        on = page_params.anchor(period, self.query.to_dict(), book.today)
        self.query[self.kind] = period.key
        return join(
            [
                cards.header(self.kind, book.settings.title, today=book.today, on=on),
                cards.problems(book.problems),
                cards.heading(
                    dates.title(period), day_cards.kept(coverage.coverage(lived, week_starts=book.settings.week_starts))
                ),
            ]
        )
