"""The box of care with a button that closes it for a month, as the journal's cache keeps it.

Where the cache cannot be written, as in a folder that may only be read, the box stays closed until its page is, and
that is said. A page that is open already follows when it reads the journal again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, NamedTuple

import marimo as mo
import polars as pl

from journal.folder import dismissed_boxes
from journal.measures import low_stretches as measured
from journal.sections import care_box
from journal.sections.escape import Html, tag
from journal.wording import dates


class Closed(NamedTuple):
    """What was closed on this page: the day by subject, and whether that could be kept."""

    on: Mapping[str, dt.date]
    kept: bool = True


NOTHING = Closed({})


def box(
    found: pl.DataFrame, folder: Path, closed: Closed, close: Callable[[Closed], None], today: dt.date
) -> tuple[Any, Html]:
    """The button and the box with it; no button where there is no box.

    In: the frame of `care.signs`; `closed`, a state of the notebook that begins as `NOTHING` and may run the cell anew
    that sets it, and `close`, which does. The button is marimo's, so the notebook has to hold it under a name.
    """
    left = measured.unclosed(found, {**dismissed_boxes.read(folder), **closed.on}, today=today)
    if left.is_empty():
        return None, _closed(closed) if closed.on and not found.is_empty() else Html("")
    on = dict.fromkeys(left.get_column("subject"), today)
    button = mo.ui.button(
        label="Close for a month",
        on_click=lambda _: close(Closed({**closed.on, **on}, dismissed_boxes.add(folder, on))),
    )
    return button, care_box.box(left, tag("div", Html(button.text), class_="close"))


def _closed(closed: Closed) -> Html:
    """What stands in the place of a box that was just closed."""
    until = dates.day(measured.opens_again(max(closed.on.values())), weekday=False, year=True)
    said = f"Closed until {until}. It is there again then only if the days still say so."
    if not closed.kept:
        said = "Closed until this page is left or loaded again: the journal's folder cannot be written."
    return tag("p", said, class_="status quiet", role="status")
