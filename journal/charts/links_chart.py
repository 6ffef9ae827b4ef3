"""Which habits go with which moods: a difference with its interval a row, strong where it is clear."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from journal.charts import link_rows
from journal.charts.figure import Figure
from journal.charts.link_rows import Link, Links, signed
from journal.frames import Row
from journal.measures.link_sentences import habit_link
from journal.wording import numbers

_COLUMNS = (
    "habit", "lag_days", "n_done", "n_missed", "mean_done", "mean_missed", "difference", "low", "high",
    "superiority", "p", "q", "clear",
)  # fmt: skip


def draw(
    links: pl.DataFrame,
    names: Mapping[str, str],
    *,
    quantity: str = "mood",
    pairs: int | None = None,
    key: str = "links-chart",
) -> Figure:
    """Differences in mood between days with a habit and without it, the same day and later.

    In: the frame of `measures.links.links`; `names` maps a habit to what it is called; `pairs` is how many comparisons
    q was taken over, where more are shown on the page than these. Clear links come first, the widest on top, then
    habits in the order of `names`; those with too few days are named below. Out: a Figure; its table has habit (its
    name) and the columns of `links` from lag_days to clear.
    """
    rows = [{**row, "name": names.get(row["habit"], row["habit"])} for row in links.iter_rows(named=True)]
    order = {habit: place for place, habit in enumerate(names)}
    told = sorted(
        (row for row in rows if row["difference"] is not None), key=lambda row: order.get(row["habit"], len(order))
    )
    many = len(told) if pairs is None else pairs
    shown = Links(
        rows=[_link(row, quantity, many) for row in told],
        heads=("with", "without"),
        places=1,
        quantity=quantity,
        few=_few(rows, told),
    )
    return link_rows.figure(
        shown,
        key=key,
        title=_title(shown.rows, told, rows, quantity),
        a_row="A row a habit, differences with intervals.",
        measured=f"Mean {quantity} on days with it minus that on days without, in points, "
        f"with its {numbers.NINETY_FIVE} interval.",
        caution="to know more, settle by lot on which days to do it.",
        nothing="Each habit needs days with it and days without it, both with a mood, before anything can be said.",
        pairs=many,
        table=links.with_columns(pl.Series("habit", [row["name"] for row in rows], dtype=pl.String)).select(*_COLUMNS),
    )


def _link(row: Row, quantity: str, pairs: int) -> Link:
    return Link(
        key=row["habit"],
        name=row["name"],
        lag=row["lag_days"],
        size=row["difference"],
        low=row["low"],
        high=row["high"],
        clear=bool(row["clear"]),
        counts=(str(row["n_done"]), str(row["n_missed"])),
        label=_label(row, quantity, pairs),
    )


def _label(row: Row, quantity: str, pairs: int) -> str:
    told = habit_link(row, row["name"], what=quantity, pairs=pairs)
    if row["low"] is None:
        return told
    size, low, high = (signed(row[column], 2) for column in ("difference", "low", "high"))
    return f"{told} Difference {size}, {numbers.NINETY_FIVE} interval {low} to {high}."


def _title(shown: list[Link], told: list[Row], rows: list[Row], quantity: str) -> str:
    if not told:
        return f"Too few days to tell what goes with {quantity}" if rows else f"No habit to set beside {quantity}"
    clear = link_rows.title(shown, quantity)
    most = max(row["n_done"] + row["n_missed"] for row in told)
    return clear or f"No link with {quantity} is clear in these {numbers.plural(most, 'day')}"


def _few(rows: list[Row], told: list[Row]) -> str:
    """Habits of which nothing can be told, with what they have and what they need."""
    seen = {row["habit"] for row in told}
    left = {row["habit"]: row for row in reversed(rows) if row["habit"] not in seen}
    if not left:
        return ""
    each = next(iter(left.values()))["needed"]
    said = [f"{row['name']} ({row['n_done']} with, {row['n_missed']} without)" for row in reversed(left.values())]
    return f"Too few days to tell: {', '.join(said)}; {each} of each are needed."
