"""What a period's tasks were carried most, each with the days it was carried from and what became of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

import polars as pl

from journal.measures import carrying
from journal.pages import wording
from journal.pages.cards import card, details
from journal.pages.escape import Html, tag
from journal.pages.findings import by_month
from journal.periods import Period

MOST = 5


def most(tasks: pl.DataFrame, period: Period, today: dt.date) -> Html:
    """A card of the tasks that were carried most, `MOST` of them; nothing where none was carried twice in all.

    In: `Tables.tasks`.
    """
    found = carrying.carried_most(tasks, period.first, period.last, today=today)
    often = found.filter(pl.col("in_all") >= carrying.OFTEN).head(MOST)
    if often.is_empty():
        return Html("")
    return card("Carried most", tag("ul", *map(_item, often.iter_rows(named=True)), class_="lines stacked"))


def _item(row: Mapping[str, Any]) -> Html:
    days = details(f"The days, {len(row['dates'])}", by_month(row["dates"]))
    return tag("li", tag("span", row["title"], class_="said"), tag("span", how_often(row), class_="aside"), days)


def how_often(row: Mapping[str, Any]) -> str:
    """How often a task was carried and what became of it, from a row of `carrying.carried_most`.

    >>> row = {"carried": 2, "in_all": 3, "status": "done", "since": dt.date(2025, 3, 6), "last": dt.date(2025, 3, 11)}
    >>> how_often(row | {"days": 5})
    'carried twice, 3 times in all · done on Tuesday 11 March, after 5 days'
    >>> how_often(row | {"in_all": 2, "status": "open", "days": 8})
    'carried twice · still open after 8 days'
    >>> how_often(row | {"carried": 1, "in_all": 2, "status": "open", "days": 8})
    'carried once, twice in all · still open after 8 days'
    """
    times = wording.carried(row["in_all"]).removeprefix("carried ")
    in_all = f"{times} in all" if row["in_all"] > row["carried"] else None
    after = f"after {wording.plural(row['days'], 'day')}"
    end = "still open" if row["status"] == "open" else f"{row['status']} on {wording.day(row['last'])},"
    return wording.joined(wording.joined(wording.carried(row["carried"]), in_all, between=", "), f"{end} {after}")
