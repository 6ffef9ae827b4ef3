"""What a month's decision about a habit writes to journal.toml, and how it is taken back.

    change   a second definition of the habit, after the one that held before it
    rest     a [[rests]] for the habit alone
    drop     `until` in the definition that holds on the last day

Keep writes nothing. The page of the month has the days of an effect (`DecisionDates`), so each can be found again.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from journal.entry import Decision, DecisionDates, Review
from journal.errors import UsageError
from journal.folder.settings_order import ORDERS_WITHIN
from journal.language.catalogue import _
from journal.setup.settings_tables import SettingsTables
from journal.wording import dates


def recorded(review: Review, habit: str) -> tuple[Decision | None, DecisionDates]:
    """The decision on a month's page whose effect may stand, with its days.

    Days without a decision are those of a save that was interrupted; they tell which one it was.

    >>> days = DecisionDates(start=dt.date(2025, 4, 1))
    >>> recorded(Review(decision_dates={"walk": days}), "walk")[0], recorded(Review(), "walk")[0]
    ('change', None)
    """
    days = review.decision_dates.get(habit, DecisionDates())
    if decision := review.decisions.get(habit):
        return decision, days
    if days.start is not None:
        return "change" if days.until is None else "rest", days
    return None if days.until is None else "drop", days


def stands(tables: SettingsTables, habit: str, decision: Decision, days: DecisionDates) -> bool:
    """Whether journal.toml has what the decision wrote.

    >>> walk = {"key": "walk", "from": dt.date(2025, 1, 1), "until": dt.date(2025, 3, 31)}
    >>> tables = SettingsTables({"habits": [walk]})
    >>> [stands(tables, "walk", "drop", DecisionDates(until=dt.date(2025, 3, day))) for day in (31, 30)]
    [True, False]
    """
    return decision == "keep" or _written(tables, habit, decision, days) is not None


def _written(tables: SettingsTables, habit: str, decision: Decision, days: DecisionDates) -> dict[str, Any] | None:
    """The table that has a decision's effect, or None."""
    definitions = tables.definitions(habit)
    match decision:
        case "change" if days.start:
            return next((table for table in definitions[1:] if table["from"] == days.start), None)
        case "rest" if days.start and days.until:
            wanted = (days.start, days.until, [habit])
            own = (table for table in tables.rests if tuple(map(table.get, ("from", "until", "habits"))) == wanted)
            return next(own, None)
        case "drop" if days.until:
            return next((table for table in definitions[-1:] if table.get("until") == days.until), None)
    return None


def take_back(tables: SettingsTables, habit: str, decision: Decision, days: DecisionDates) -> None:
    """Remove a decision's effect. An effect that does not stand changes nothing."""
    table = _written(tables, habit, decision, days)
    if table is None:
        return
    if decision != "drop":
        tables.remove(table)
    elif days.until_before is not None:
        table["until"] = days.until_before
    else:
        del table["until"]


def end(tables: SettingsTables, habit: str, last: dt.date) -> DecisionDates:
    """End a habit on a day. A habit that ends by then keeps its own end.

    >>> tables = SettingsTables({"habits": [{"key": "walk", "from": dt.date(2025, 1, 1)}]})
    >>> days = end(tables, "walk", dt.date(2025, 3, 31))
    >>> str(tables.habits[0]["until"]), days.until_before
    ('2025-03-31', None)

    Raises UsageError if a definition begins later: the habit would begin again.
    """
    definitions = tables.definitions(habit)
    own = tables.definition_on(habit, last)
    if own is None:
        date = dates.day(last, weekday=False, year=True)
        raise UsageError(_("it is not in force on {date}; choose another day", date=date))
    if own is not definitions[-1]:
        begins = dates.day(definitions[-1]["from"], weekday=False, year=True)
        raise UsageError(
            _("another definition of it begins on {date} in journal.toml; take that out first", date=begins)
        )
    before = own.get("until")
    if before is not None and before <= last:
        return DecisionDates(until=before, until_before=before)
    own["until"] = last
    return DecisionDates(until=last, until_before=before)


def rest(tables: SettingsTables, habit: str, first: dt.date, last: dt.date) -> DecisionDates:
    """Add time off from a habit. The same time off is added once.

    Raises UsageError if the habit has ended by then.
    """
    own = tables.definition_on(habit, last)
    if own is None or own.get("until", dt.date.max) < first:
        raise UsageError(_("it has ended by then; choose an earlier day, or change it"))
    days = DecisionDates(start=first, until=last)
    if _written(tables, habit, "rest", days) is None:
        tables.rests.append({"from": first, "until": last, "habits": [habit]})
    return days


def change(tables: SettingsTables, habit: str, first: dt.date, values: dict[str, Any]) -> DecisionDates:
    """Add a definition from a day on, with the keys of the one before it and new `values`. None removes a key.

    An end of the one before is carried over if it lies after the first day.

    >>> tables = SettingsTables({"habits": [{"key": "walk", "name": "Walk", "every": "FREQ=DAILY",
    ...     "from": dt.date(2025, 1, 1), "until": dt.date(2025, 12, 31)}]})
    >>> _ = change(tables, "walk", dt.date(2025, 4, 1), {"every": None, "times": 3, "per": "week"})
    >>> {key: str(value) for key, value in tables.habits[1].items() if key in ("times", "per", "from", "until")}
    {'from': '2025-04-01', 'until': '2025-12-31', 'times': '3', 'per': 'week'}

    Raises UsageError if a definition begins on that very day, or none before it.
    """
    before = tables.definition_on(habit, first)
    if before is None:
        raise UsageError(_("it is not in force before that day; choose a later day"))
    if before["from"] == first:
        begins = dates.day(first, weekday=False, year=True)
        raise UsageError(
            _("a definition of it begins on {date} in journal.toml already; choose another day", date=begins)
        )
    tables.add_definition(_changed(before, first, values))
    return DecisionDates(start=first)


def _changed(before: dict[str, Any], first: dt.date, values: dict[str, Any]) -> dict[str, Any]:
    table = {name: before[name] for name in ORDERS_WITHIN["habits"] if name in before} | {"from": first}
    if table.get("until", dt.date.max) < first:
        del table["until"]
    return {name: value for name, value in (table | values).items() if value is not None}
