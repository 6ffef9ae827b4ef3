"""Rank correlations of mood with measured quantities, one row each with its interval; clear ones are emphasised."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from journal.call_arguments import checked
from journal.charts import link_rows, link_titles, quantities
from journal.charts.figure import Figure
from journal.charts.link_rows import Link, Links, signed
from journal.frames import Row
from journal.language.catalogue import _, _n
from journal.measures.link_sentences import driver_link
from journal.wording import numbers

_COLUMNS = ("driver", "lag_days", "n", "correlation", "low", "high", "p", "q", "clear")


@checked
def draw(
    drivers: pl.DataFrame,
    names: Mapping[str, str],
    *,
    quantity: str = "mood",
    pairs: int | None = None,
    key: str = "drivers-chart",
) -> Figure:
    """Rank correlations of mood with energy, sleep, weather and hours, the same day and later.

    In: the frame of `measures.correlates.drivers`, optionally with the row of `measures.season.day_length` appended,
    which is computed from other days; `names` maps a driver to its name; `pairs` is the number of comparisons that q
    covers, if the page shows more than these. Clear ones come first, then the drivers in their order; those with too
    few days are named below. Out: a Figure; its table has driver (its name), lag_days, n, correlation, low, high, p,
    q, clear.
    """
    rows = [{**row, "name": names.get(row["driver"], _capital(row["driver"]))} for row in drivers.iter_rows(named=True)]
    measured_rows = [row for row in rows if row["correlation"] is not None]
    comparisons = len(measured_rows) if pairs is None else pairs
    shown = Links(
        rows=[_link(row, quantity, comparisons) for row in measured_rows], heads=(_("days"),), narrow_head=_("days"),
        places=2, quantity=quantity,
        few=_few(rows, measured_rows, quantity),
    )  # fmt: skip
    return link_rows.figure(
        shown,
        key=key,
        title=_title(shown.rows, measured_rows, rows, quantity),
        a_row=_("A row a measured thing, rank correlations with intervals."),
        measured=_(
            "Rank correlation with {quantity}, −1 to +1, with its {level} interval.",
            quantity=quantities.word(quantity),
            level=numbers.NINETY_FIVE,
        ),
        caution=_("What goes together need not bring about the other; both may follow the season or the kind of day."),
        nothing=_("Each needs days that have both it and a mood, and neither always the same."),
        pairs=comparisons,
        strong=_n(
            "Strong: q of {q} or less among all {count} comparison of these days.",
            "Strong: q of {q} or less among all {count} comparisons of these days.",
            comparisons,
            q=numbers.number(0.05, 2),
        ),
        table=drivers.with_columns(pl.Series("driver", [row["name"] for row in rows], dtype=pl.String)).select(
            *_COLUMNS
        ),
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _link(row: Row, quantity: str, pairs: int) -> Link:
    sentence = driver_link(row, row["name"], what=quantity, pairs=pairs)
    has_interval = row["low"] is not None
    spread = (
        _(
            "{level} interval {low} to {high}.",
            level=numbers.NINETY_FIVE,
            low=signed(row["low"], 2),
            high=signed(row["high"], 2),
        )
        if has_interval
        else ""
    )
    return Link(
        key=row["driver"],
        name=row["name"],
        lag=row["lag_days"],
        size=row["correlation"],
        low=row["low"],
        high=row["high"],
        clear=bool(row["clear"]),
        counts=(str(row["n"]),),
        label=numbers.joined([sentence, spread], " "),
    )


def _title(shown: list[Link], measured: list[Row], rows: list[Row], quantity: str) -> str:
    if not measured:
        few = any(row["n"] < row["needed"] for row in rows if row["n"] and row.get("years") is None)
        word = quantities.word(quantity)
        if not rows:
            return _("Nothing was measured besides {quantity}", quantity=word)
        if few:
            return _("Too few days to tell what {quantity} moves with", quantity=word)
        return _("Too little variation to tell what {quantity} moves with", quantity=word)
    clear = link_titles.title(shown, quantity, lasting=False)
    most = max((row["n"] for row in measured if row.get("years") is None), default=0) or measured[0]["n"]
    return clear or _n(
        "Nothing measured went with {quantity} in these {count} day",
        "Nothing measured went with {quantity} in these {count} days",
        most,
        quantity=quantities.word(quantity),
    )


def _few(rows: list[Row], measured: list[Row], quantity: str) -> str:
    """The drivers without a result, each with the reason."""
    seen = {row["driver"] for row in measured}
    left = {row["driver"]: row for row in reversed(rows) if row["driver"] not in seen}
    return " ".join(driver_link(row | {"lag_days": 0}, row["name"], what=quantity) for row in reversed(left.values()))
