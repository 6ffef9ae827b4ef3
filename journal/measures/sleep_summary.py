"""Summary statistics of sleep: duration, times, regularity and social jetlag.

The regularity index compares each minute of a day with the same minute of the day before: 100 if the states (asleep or
awake) always agree, 0 if they agree as often as not, -100 if they never agree.
"""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.call_arguments import checked
from journal.entry import MINUTES_A_DAY
from journal.measures import circular_mean
from journal.measures.period_columns import By, with_period
from journal.measures.sleep import RECOMMENDED_MINUTES, known_days
from journal.measures.time_spans import lengths, merged
from journal.settings import Weekday


@checked
def summary(nights: pl.DataFrame, pairs: pl.DataFrame, *, by: By = "all", week_starts: Weekday) -> pl.DataFrame:
    """Summary statistics of the nights in each period.

    In: the frames of `sleep.nights` and of `regularity_pairs`, each filtered to the days of interest. Out, a row
    per period with a night or a pair in it, in order:

    - period (ISO 8601 name or "all"), from, to (Date), nights (Int64)
    - mean_minutes, sd_minutes (Float64, sample standard deviation; null with one night)
    - bed_mean, wake_mean (String, "HH:MM": circular means, to the nearest minute; null if the times cancel out or no
      night has times), bed_mean_minute, wake_mean_minute (Float64, 0 up to 1440, the same unrounded),
      bed_sd_minutes, wake_sd_minutes (Float64, circular)
    - regularity (Float64, -100 to 100), regularity_pairs (Int64, pairs of days it is based on)
    - social_jetlag_minutes (Float64, 0 to 720): the distance between the mean midpoints of sleep on free and on work
      days, the shorter way round, with mid_work_minute, mid_free_minute (Float64), work_nights, free_nights (Int64).
      Null without both kinds of nights. The night before a work day is a work night
    - under_recommended (Int64): nights under 7 hours, including naps on the day of waking

    Method: `circular_mean`, `regularity_index`; Wittmann, M. and others (2006), Chronobiol. Int. 23, 497-509:
    |MSF - MSW|, here of circular means over the recorded nights. It is not corrected for sleep debt that is made up on
    free days.

    >>> import datetime as dt
    >>> days = [dt.date(2025, 3, 14), dt.date(2025, 3, 15)]
    >>> two = pl.DataFrame({"date": days, "minutes": [480, 540], "nap_minutes": 0, "bed_minute": [-120, 0],
    ...     "wake_minute": [360, 540], "mid_minute": [120.0, 270.0], "work": [True, False]})
    >>> alike = pl.DataFrame({"date": days[1:], "same_minutes": [1140]})
    >>> table = summary(two, alike, week_starts="monday")
    >>> table.select("nights", "mean_minutes", "bed_mean", "regularity", "social_jetlag_minutes").row(0)
    (2, 510.0, '23:00', 58.33333333333334, 150.0)
    """
    work, mid = pl.col("work"), pl.col("mid_minute")
    on_work, on_free = mid.filter(work), mid.filter(~work)
    night = pl.col("minutes").is_not_null()
    slept = pl.col("minutes") + pl.col("nap_minutes")
    grouped = (
        with_period(pl.concat([nights, pairs], how="diagonal").sort("date"), by, week_starts=week_starts)
        .group_by("period", maintain_order=True)
        .agg(
            pl.col("from").min(),
            pl.col("to").max(),
            night.sum().cast(pl.Int64).alias("nights"),
            pl.col("minutes").mean().alias("mean_minutes"),
            pl.col("minutes").std().alias("sd_minutes"),
            circular_mean.mean(pl.col("bed_minute")).alias("bed_mean_minute"),
            circular_mean.mean(pl.col("wake_minute")).alias("wake_mean_minute"),
            circular_mean.deviation(pl.col("bed_minute")).alias("bed_sd_minutes"),
            circular_mean.deviation(pl.col("wake_minute")).alias("wake_sd_minutes"),
            regularity_index(pl.col("same_minutes")).alias("regularity"),
            pl.col("same_minutes").count().cast(pl.Int64).alias("regularity_pairs"),
            circular_mean.mean(on_work).alias("mid_work_minute"),
            circular_mean.mean(on_free).alias("mid_free_minute"),
            on_work.count().cast(pl.Int64).alias("work_nights"),
            on_free.count().cast(pl.Int64).alias("free_nights"),
            (slept < RECOMMENDED_MINUTES).sum().cast(pl.Int64).alias("under_recommended"),
        )
    )
    jetlag = circular_mean.difference(pl.col("mid_free_minute"), pl.col("mid_work_minute")).abs()
    return grouped.select(
        "period",
        "from",
        "to",
        "nights",
        "mean_minutes",
        circular_mean.clock_text(pl.col("bed_mean_minute")).alias("bed_mean"),
        circular_mean.clock_text(pl.col("wake_mean_minute")).alias("wake_mean"),
        "regularity",
        jetlag.alias("social_jetlag_minutes"),
        pl.exclude("period", "from", "to", "nights", "mean_minutes", "regularity"),
    )


@checked
def regularity_pairs(hours: pl.DataFrame, *, sleep: str, today: dt.date) -> pl.DataFrame:
    """Every pair of neighbouring days with known sleep that are both over.

    In: `Tables.hours`, unfiltered; `sleep`, the key of that category; `today`, which is not over. Out: date (Date, the
    later of the two), same_minutes (Int64, 0 to 1440: minutes asleep on both days or awake on both), by date.

    >>> days = [dt.date(2025, 3, 14), dt.date(2025, 3, 15)]
    >>> strip = pl.DataFrame({"date": days, "layer": "actual", "category": "sleep", "start_minute": [0, 60],
    ...     "end_minute": [400, 480]})
    >>> regularity_pairs(strip, sleep="sleep", today=dt.date(2025, 3, 16)).rows()
    [(datetime.date(2025, 3, 15), 1300)]
    """
    over = hours.filter(pl.col("date") < today)
    spans = merged(over.filter(pl.col("layer") == "actual", pl.col("category") == sleep), ["date"])
    asleep = (
        known_days(over, sleep=sleep)
        .select("date")
        .join(lengths(spans, ["date"]), on="date", how="left")
        .with_columns(pl.col("minutes").fill_null(0))
    )
    first = pl.max_horizontal("start_minute", "start_minute_right")
    last = pl.min_horizontal("end_minute", "end_minute_right")
    both = (
        spans.join(spans.with_columns(pl.col("date").dt.offset_by("1d")), on="date")
        .group_by("date")
        .agg((last - first).clip(0).sum().cast(pl.Int64).alias("both"))
    )
    # Minutes asleep on exactly one of the two days.
    different = pl.col("minutes") + pl.col("minutes_right") - 2 * pl.col("both").fill_null(0)
    return (
        asleep.join(asleep.with_columns(pl.col("date").dt.offset_by("1d")), on="date")
        .join(both, on="date", how="left")
        .select("date", same_minutes=MINUTES_A_DAY - different)
        .sort("date")
    )


def regularity_index(same_minutes: pl.Expr) -> pl.Expr:
    """The regularity index (Float64, -100 to 100) over the non-null `same_minutes`; null without any.

    >>> pl.DataFrame({"same": [1300, 1440]}).select(regularity_index(pl.col("same")).round(2)).item()
    90.28
    """
    return -100 + 200 * same_minutes.mean() / MINUTES_A_DAY
