"""The care box with a button that closes it for a month. The journal's cache records the closing.

If the cache cannot be written, e.g. in a read-only folder, the box stays closed until its page is closed, and a message
says so. Other open pages follow when they read the journal again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import polars as pl

from journal.folder import dismissed_boxes
from journal.language.catalogue import _
from journal.measures import low_stretches as measured
from journal.pages import elements
from journal.sections import care_box
from journal.sections.escape import Html, tag
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal
    from journal.periods import Period


class Closed(NamedTuple):
    """The subjects closed on this page with their days, and whether the cache could be written."""

    on: Mapping[str, dt.date]
    kept: bool = True


NOTHING = Closed({})


def of_period(book: Journal, period: Period, closed: Closed, close: Callable[[Closed], None]) -> tuple[Any, Html]:
    """The button and the box of a period's page, as `box`."""
    nights = book.slept.between(book.today - measured.LOOKS_BACK, book.today).nights
    signs = care_box.signs(book.tables.days, nights, book.settings, period, book.today)
    return box(signs, book.folder, closed, close, book.today)


def box(
    signs: pl.DataFrame, folder: Path, closed: Closed, close: Callable[[Closed], None], today: dt.date
) -> tuple[Any, Html]:
    """The button, and the box that contains it. Without a box the button is None.

    In: the frame of `low_stretches.signs`; `closed`, a state of the notebook that starts as `NOTHING`, and `close`, its
    setter. The state must allow its own cell to run again. The notebook must bind the button, a marimo element, to a
    name.
    """
    unclosed = measured.unclosed(signs, {**dismissed_boxes.read(folder), **closed.on}, today=today)
    if unclosed.is_empty():
        return None, _closed(closed) if closed.on and not signs.is_empty() else Html("")
    days = dict.fromkeys(unclosed.get_column("subject"), today)
    button = elements.button(
        _("Close for a month"),
        lambda _count: close(Closed({**closed.on, **days}, dismissed_boxes.add(folder, days))),
    )
    return button, care_box.box(unclosed, tag("div", Html(button.text), class_="close"))


def _closed(closed: Closed) -> Html:
    """The message in place of a box that was just closed."""
    until = dates.day(measured.opens_again(max(closed.on.values())), weekday=False, year=True)
    message = _("Closed until {date}. It comes back then only if the days still show it.", date=until)
    if not closed.kept:
        message = _("Closed until this page is left or loaded again: the journal's folder cannot be written.")
    return tag("p", message, class_="status quiet", role="status")
