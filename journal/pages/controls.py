"""What a reader chooses with: an earlier or a later period, one of a list, one of some habits.

marimo's button and dropdown become a native button and select, which carry their names to assistive technology as
they stand. Labels are read as Markdown by marimo, so they are ours; a user's own words appear in options only,
which are plain text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

import marimo as mo

from journal import periods
from journal.periods import Period
from journal.sections.escape import join
from journal.wording import dates


def arrows(choices: Sequence[Period], move: Callable[[Callable[[Period], Period]], None]) -> tuple[Any, Any]:
    """The two buttons that lead a period back and a period on.

    `move` sets a state of the notebook by a function of its present value, so that the buttons need not be made
    anew, and keep the focus, when the period changes.
    """
    kind = choices[0].kind

    def button(label: str, by: int) -> Any:
        return _Presses(
            label=label,
            on_click=lambda _: move(lambda period: neighbour(period, by, choices)),
        )

    return button(f"← Earlier {kind}", -1), button(f"Later {kind} →", 1)


class _Presses(mo.ui.button):
    """A button whose every press counts.

    The browser sends how often it was pressed in all, and marimo hands on the newest number only: a second press while
    the page is still drawing the first would be lost. So the handler runs once for each press since the last number.
    """

    _pressed = 0

    def _convert_value(self, value: Any) -> Any:
        since, self._pressed = max(1, value - self._pressed) if value else 1, value or 0
        result = None
        for _ in range(since):
            result = super()._convert_value(value)
        return result


def picker(choices: Iterable[Period], chosen: Period, choose: Callable[[Period], None]) -> Any:
    """The list of periods, newest first, that stands at the chosen one."""
    newest_first = sorted({*choices, chosen}, key=lambda period: period.first, reverse=True)
    by_title = {dates.title(period): period for period in newest_first}
    return mo.ui.dropdown(
        list(by_title),
        value=dates.title(chosen),
        label=chosen.kind.capitalize(),
        allow_select_none=False,
        on_change=lambda title: choose(by_title[title]),
    )


def quantity(names: Mapping[str, str], chosen: str, choose: Callable[[str], None]) -> Any:
    """What a year of days is coloured by: key to name. Two of one name are told apart by their keys."""
    by_label: dict[str, str] = {}
    for key, name in names.items():
        by_label[name if name not in by_label else f"{name} ({key})"] = key
    first = next((label for label, key in by_label.items() if key == chosen), next(iter(by_label)))
    return mo.ui.dropdown(
        list(by_label),
        value=first,
        label="Show",
        allow_select_none=False,
        on_change=lambda label: choose(by_label[label]),
    )


def neighbour(period: Period, by: int, choices: Iterable[Period]) -> Period:
    """The period before (-1) or after (1); at either end of the choices, the period itself.

    >>> march, april = (periods.parse(name, week_starts="monday") for name in ("2025-03", "2025-04"))
    >>> neighbour(march, 1, [march, april]).key, neighbour(april, 1, [march, april]).key
    ('2025-04', '2025-04')
    """
    to = periods.before(period) if by < 0 else periods.after(period)
    known = [*choices, period]
    return to if min(known).first <= to.first <= max(known).first else period


def row(*parts: Any) -> Any:
    """Controls side by side, wrapping where it is narrow."""
    return mo.Html(f'<div class="controls">{"".join(part.text for part in parts)}</div>')


def show(*parts: object) -> Any:
    """Parts of a page as a notebook's output; text among them is escaped."""
    return mo.Html(str(join(parts)))
