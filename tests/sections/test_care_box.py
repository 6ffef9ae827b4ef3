"""Closing the care box, without a browser."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import polars as pl

from journal.folder import dismissed_boxes
from journal.measures import low_stretches
from journal.measures.sleep import NIGHTS
from journal.pages import care_button
from journal.pages.care_button import Closed
from tests.sections.test_escape import Reader

TODAY = dt.date(2026, 1, 1)
DATES = pl.date_range(TODAY - dt.timedelta(days=27), TODAY, eager=True)
LOW = pl.DataFrame({"date": DATES, "mood": [1.0] * 28})
SHORT = pl.concat([pl.DataFrame(schema=NIGHTS), pl.DataFrame({"date": DATES, "minutes": [300] * 28})], how="diagonal")
BOTH = low_stretches.signs(LOW, SHORT.with_columns(nap_minutes=pl.lit(0)), today=TODAY)


def shown(signs: pl.DataFrame, folder: Path, closed: Closed = care_button.NOTHING) -> str:
    return Reader(care_button.box(signs, folder, closed, lambda _: None, TODAY)[1]).text


def press(signs: pl.DataFrame, folder: Path) -> Closed:
    """Press the close button. Returns the new state of the page."""
    states: list[Closed] = []
    button, _ = care_button.box(signs, folder, care_button.NOTHING, states.append, TODAY)
    button._update(1)
    (state,) = states
    return state


def test_a_closed_box_says_until_when_and_is_gone_from_other_pages(tmp_path: Path) -> None:
    assert "Mood was low on 14 of the last 14 days" in shown(BOTH, tmp_path)
    state = press(BOTH, tmp_path)
    assert shown(BOTH, tmp_path, state).startswith("Closed until 1 February 2026.")
    assert shown(BOTH, tmp_path) == ""
    assert shown(BOTH.clear(), tmp_path, state) == "", "the page of an old month has nothing to close"
    assert dismissed_boxes.read(tmp_path) == {"mood": TODAY, "sleep": TODAY}


def test_another_reason_shows_after_the_first_is_closed(tmp_path: Path) -> None:
    state = press(BOTH.filter(subject="mood"), tmp_path)
    for text in (shown(BOTH, tmp_path, state), shown(BOTH, tmp_path)):
        assert "Sleep was under 7 hours" in text
        assert "Mood was low" not in text


def test_in_a_read_only_folder_it_is_closed_on_its_page_only(tmp_path: Path) -> None:
    (tmp_path / ".cache").write_text("a file in its place, as good as a folder without rights")
    state = press(BOTH, tmp_path)
    assert shown(BOTH, tmp_path, state) == (
        "Closed until this page is left or loaded again: the journal's folder cannot be written."
    )
    assert "Mood was low" in shown(BOTH, tmp_path), "a newly opened page shows it again"
