"""Tasks on the year's page: how long they wait, whether ranked ones are done more often, how estimates hold."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.charts import estimates_over_time, ranked_share, waiting_curve
from journal.charts.figure import Figure
from journal.measures import tasks
from journal.pages.cards import figure
from journal.pages.escape import Html, join
from journal.periods import Period


def section(rows: pl.DataFrame, period: Period, today: dt.date) -> Html:
    """The cards of `figures`."""
    return join(map(figure, figures(rows, period, today)))


def figures(rows: pl.DataFrame, period: Period, today: dt.date) -> list[Figure]:
    """Tasks that began in a period, as of its end or of today; none where none did. In: `Tables.tasks`."""
    until = min(today, period.last)
    lives = tasks.lives(rows, today=until)
    begun = lives.filter(pl.col("since").is_between(period.first, until))
    if begun.is_empty():
        return []
    drawn = [
        waiting_curve.draw(tasks.waiting(begun), begun),
        ranked_share.draw(tasks.by_rank(begun, today=until)),
    ]
    ratios = tasks.ratios(lives)
    done = ratios.filter(pl.col("last").is_between(period.first, until))
    if done.height:
        drawn.append(estimates_over_time.draw(tasks.trailing_ratios(ratios), tasks.estimates(done), period))
    return drawn
