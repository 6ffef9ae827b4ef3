"""Differences in mood with and without each habit, one row each with its interval; clear ones are emphasised."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from journal.call_arguments import checked
from journal.charts import link_rows, link_titles, quantities
from journal.charts.figure import Figure
from journal.charts.link_rows import Link, Links, signed
from journal.frames import Row
from journal.language.catalogue import _, _n, _p
from journal.measures.link_sentences import habit_link
from journal.wording import numbers

_COLUMNS = (
    "habit", "lag_days", "n_done", "n_missed", "mean_done", "mean_missed", "difference", "low", "high",
    "superiority", "p", "q", "clear",
)  # fmt: skip


@checked
def draw(
    links: pl.DataFrame,
    names: Mapping[str, str],
    *,
    quantity: str = "mood",
    pairs: int | None = None,
    key: str = "links-chart",
) -> Figure:
    """Differences in mood between days with a habit and without it, the same day and later.

    In: the frame of `measures.links.links`; `names` maps a habit's key to its name; `pairs` is the number of
    comparisons that q covers, if the page shows more than these. Clear links come first, the largest on top, then
    habits in the order of `names`; those with too few days are named below. Out: a Figure; its table has habit (its
    name) and the columns of `links` from lag_days to clear.
    """
    rows, measured_rows = _rows(links, names)
    comparisons = len(measured_rows) if pairs is None else pairs
    shown = Links(
        rows=[_link(row, quantity) for row in measured_rows],
        heads=(_p("days with a habit", "with"), _p("days without a habit", "without")),
        narrow_head=_("days with, without"),
        places=1,
        quantity=quantity,
        few=_few(rows, measured_rows),
    )
    return link_rows.figure(
        shown,
        key=key,
        title=_title(shown.rows, measured_rows, rows, quantity),
        a_row=_("A row a habit, differences with intervals."),
        measured=_(
            "Mean {quantity} on days with it minus that on days without, in points, with its {level} interval.",
            quantity=quantities.word(quantity),
            level=numbers.NINETY_FIVE,
        ),
        caution=_(
            "What goes together need not bring about the other; to know more, settle by lot on which days to do it."
        ),
        nothing=_("Each habit needs days with it and days without it, both with a mood, before anything can be said."),
        pairs=comparisons,
        strong=_("Strong: clear over the life of the journal, with a look at every month's end."),
        table=links.with_columns(pl.Series("habit", [row["name"] for row in rows], dtype=pl.String)).select(*_COLUMNS),
    )


def title(links: pl.DataFrame, names: Mapping[str, str], *, quantity: str = "mood") -> str:
    """The title of the figure, for a heading. In: the frame of `measures.links.links` or of `measures.links.sizes`."""
    rows, measured_rows = _rows(links, names)
    return _title([_link(row, quantity) for row in measured_rows], measured_rows, rows, quantity)


def _rows(links: pl.DataFrame, names: Mapping[str, str]) -> tuple[list[Row], list[Row]]:
    """The rows with the names of their habits, and those with enough days in the order of `names`."""
    rows = [{**row, "name": names.get(row["habit"], row["habit"])} for row in links.iter_rows(named=True)]
    order = {habit: place for place, habit in enumerate(names)}
    measured_rows = (row for row in rows if row["difference"] is not None)
    return rows, sorted(measured_rows, key=lambda row: order.get(row["habit"], len(order)))


def _link(row: Row, quantity: str) -> Link:
    return Link(
        key=row["habit"],
        name=row["name"],
        lag=row["lag_days"],
        size=row["difference"],
        low=row["low"],
        high=row["high"],
        clear=bool(row["clear"]),
        counts=(str(row["n_done"]), str(row["n_missed"])),
        label=_label(row, quantity),
    )


def _label(row: Row, quantity: str) -> str:
    sentence = habit_link(row, row["name"], what=quantity)
    if row["low"] is None:
        return sentence
    size, low, high = (signed(row[column], 2) for column in ("difference", "low", "high"))
    values = {"size": size, "level": numbers.NINETY_FIVE, "low": low, "high": high}
    return numbers.joined([sentence, _("Difference {size}, {level} interval {low} to {high}.", **values)], " ")


def _title(shown: list[Link], measured: list[Row], rows: list[Row], quantity: str) -> str:
    if not measured:
        word = quantities.word(quantity)
        if rows:
            return _("Too few days to tell what goes with {quantity}", quantity=word)
        return _("No habit to compare with {quantity}", quantity=word)
    clear = link_titles.title(shown, quantity)
    most = max(row["n_done"] + row["n_missed"] for row in measured)
    return clear or _n(
        "No link with {quantity} is clear in these {count} day",
        "No link with {quantity} is clear in these {count} days",
        most,
        quantity=quantities.word(quantity),
    )


def _few(rows: list[Row], measured: list[Row]) -> str:
    """A sentence on habits with too few days: the days they have and the days needed."""
    seen = {row["habit"] for row in measured}
    left = {row["habit"]: row for row in reversed(rows) if row["habit"] not in seen}
    if not left:
        return ""
    each = next(iter(left.values()))["needed"]
    habits = [
        _("{habit} ({done} with, {missed} without)", habit=row["name"], done=row["n_done"], missed=row["n_missed"])
        for row in reversed(left.values())
    ]
    return _("Too few days to tell: {habits}; {count} of each are needed.", habits=", ".join(habits), count=each)
