"""The controls of a page, without a browser."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from journal import periods
from journal.language.languages import GERMAN
from journal.language.spoken import speaking
from journal.pages import controls, elements, sight_context
from journal.pages.sight_cells import SightCells
from journal.pages.sight_context import Sight
from journal.periods import Period


def test_a_press_during_rendering_counts() -> None:
    weeks = periods.between(dt.date(2025, 1, 1), dt.date(2025, 3, 31), "week", week_starts="monday")
    at = [weeks[0]]

    def move(step: Callable[[Period], Period]) -> None:
        at[0] = step(at[0])

    _, later = controls.arrows(weeks, move)
    for count in (1, 3, 1):  # the counts that the browser sends; they restart when the button is rendered anew
        later._update(count)
    assert at == [weeks[4]]


def test_a_first_sight_has_the_controls_that_marimo_has() -> None:
    weeks = periods.between(dt.date(2025, 1, 1), dt.date(2025, 3, 31), "week", week_starts="monday")

    def native() -> list[str]:
        """The controls as the first sight shows them."""
        made = [
            *controls.arrows(weeks, lambda _move: None), controls.picker(weeks, weeks[3], lambda _week: None),
            controls.quantity({"mood": "Mood", "x": "5 < 6 & 'so'", "y": '"Mood"'}, "x", lambda _key: None),
            controls.search_field(), elements.button("On & off, 1 < 2", lambda _count: None),
        ]  # fmt: skip
        shown = [
            elements.as_html(controls.place("period", controls.row(*made[:2]), made[2])),
            *map(elements.as_html, made),
        ]
        cells = SightCells(Sight({}))
        return [cells.cell(text) for text in shown]

    with speaking(GERMAN):
        marimos = native()
        with sight_context.drawing({}):
            assert native() == marimos
    assert "Frühere Woche" in marimos[0]
    assert '<option value="5 &#60; 6 &#38; &#39;so&#39;" selected>' in marimos[4]


def test_a_control_of_a_first_sight_has_its_value() -> None:
    weeks = periods.between(dt.date(2025, 1, 1), dt.date(2025, 3, 31), "week", week_starts="monday")
    with sight_context.drawing({}):
        early = [controls.picker(weeks, weeks[3], lambda _week: None).value, controls.search_field().value]
    assert early == [controls.picker(weeks, weeks[3], lambda _week: None).value, controls.search_field().value]
