"""The controls of a page, without a browser."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from journal import periods
from journal.pages import controls
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
