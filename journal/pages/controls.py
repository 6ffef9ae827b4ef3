"""What a reader chooses with: an earlier or a later period, one of a list, one of some habits.

marimo's button and dropdown become a native button and select, which carry their names to assistive technology as
they stand. Labels are read as Markdown by marimo, so they are ours; a user's own words appear in options only,
which are plain text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from journal import periods
from journal.pages import wording
from journal.periods import Period
from journal.settings import Weekday


def arrows(kind: str, step: Callable[[int], None]) -> tuple[Any, Any]:
    """The two buttons that lead a period back and a period on; `step` is called with -1 or 1."""
    import marimo as mo

    def button(label: str, by: int) -> Any:
        return mo.ui.button(label=label, on_click=lambda _: step(by))

    return button(f"← Earlier {kind}", -1), button(f"Later {kind} →", 1)


def picker(choices: Iterable[Period], chosen: Period, choose: Callable[[Period], None]) -> Any:
    """The list of periods, newest first, that stands at the chosen one."""
    import marimo as mo

    newest_first = sorted({*choices, chosen}, key=lambda period: period.first, reverse=True)
    by_title = {wording.title(period): period for period in newest_first}
    return mo.ui.dropdown(
        list(by_title),
        value=wording.title(chosen),
        label=chosen.kind.capitalize(),
        allow_select_none=False,
        on_change=lambda title: choose(by_title[title]),
    )


def quantity(names: Mapping[str, str], chosen: str | None = None) -> Any:
    """What a year of days is coloured by: key to name. Two habits of one name are told apart by their keys."""
    import marimo as mo

    labels: dict[str, str] = {}
    for key, name in names.items():
        labels[name if name not in labels else f"{name} ({key})"] = key
    first = next((label for label, key in labels.items() if key == chosen), next(iter(labels)))
    return mo.ui.dropdown(labels, value=first, label="Show", allow_select_none=False)


def neighbour(period: Period, by: int, choices: Iterable[Period], week_starts: Weekday = "monday") -> Period:
    """The period before (-1) or after (1); at either end of the choices, the period itself.

    >>> march, april = periods.parse("2025-03"), periods.parse("2025-04")
    >>> neighbour(march, 1, [march, april]).key, neighbour(april, 1, [march, april]).key
    ('2025-04', '2025-04')
    """
    to = periods.before(period, week_starts) if by < 0 else periods.after(period, week_starts)
    known = [*choices, period]
    return to if min(known).first <= to.first <= max(known).first else period
