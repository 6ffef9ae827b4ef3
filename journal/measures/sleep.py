"""Nights and naps, from the actual hours.

- Joining: a strip ends at midnight, so the evening of one day is joined to the morning of the next. A night belongs to
  the day of waking. Overlapping spans count once.
- Wakings of up to an hour are within a night and are not sleep (van Hees and others 2018, Sci. Rep. 8:12975, join
  blocks of sleep that are less than an hour apart; from memory).
- Naps: a sleep of less than three hours between 9:00 and 21:00 is a nap, even if it is the only sleep of a day. Of the
  other sleeps that end on a day, the longest is its night and the rest are naps (common practice, no source).
- Known days: the sleep of a day is *known* if its strip has any sleep, or leaves no minute open. Other days are
  unknown; they do not count as awake.
- Parts: a sleep that begins or ends at a midnight next to an unknown day is a part of a night. Its day has no night
  unless a longer sleep ended on it.

Watson and others (2015), J. Clin. Sleep Med. 11, 591-592: adults should sleep 7 or more hours a night on a regular
basis.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from zoneinfo import ZoneInfo

import polars as pl

from journal.call_arguments import checked
from journal.entry import MINUTES_A_DAY
from journal.measures import clock_changes
from journal.measures.circular_mean import clock_text
from journal.measures.time_spans import END, START, lengths, merged

RECOMMENDED_MINUTES = 7 * 60
"""The least sleep recommended for adults, on a regular basis (Watson and others 2015). Information, not advice."""

WAKING_MINUTES = 60
_NAP_UNDER_MINUTES, _NAP_FROM, _NAP_TO = 3 * 60, 9 * 60, 21 * 60

SLEEPS = {
    "date": pl.Date,
    "kind": pl.Enum(["night", "nap", "part"]),
    "bed_minute": pl.Int64,
    "wake_minute": pl.Int64,
    "mid_minute": pl.Float64,
    "minutes": pl.Int64,
    "wakings": pl.Int64,
    "timezone": pl.String,
}

NIGHTS = {
    "date": pl.Date,
    "bed": pl.String,
    "wake": pl.String,
    "minutes": pl.Int64,
    "bed_minute": pl.Int64,
    "wake_minute": pl.Int64,
    "mid_minute": pl.Float64,
    "wakings": pl.Int64,
    "nap_minutes": pl.Int64,
    "work": pl.Boolean,
}


def known_days(hours: pl.DataFrame, *, sleep: str) -> pl.DataFrame:
    """The days with known sleep.

    In: `Tables.hours`. Out, by date: date (Date), full (Boolean: the actual strip leaves no minute open).

    >>> strip = pl.DataFrame({"date": [dt.date(2025, 3, 14), dt.date(2025, 3, 15)], "layer": "actual",
    ...     "category": ["sleep", "work"], "start_minute": [0, 540], "end_minute": [375, 600]})
    >>> known_days(strip, sleep="sleep").rows()
    [(datetime.date(2025, 3, 14), False)]
    """
    actual = hours.filter(pl.col("layer") == "actual")
    asleep = actual.filter(pl.col("category") == sleep).get_column("date").unique().implode()
    return (
        lengths(merged(actual, ["date"]), ["date"])
        .select("date", full=pl.col("minutes") == MINUTES_A_DAY)
        .filter(pl.col("full") | pl.col("date").is_in(asleep))
    )


@checked
def sleeps(hours: pl.DataFrame, days: pl.DataFrame, *, sleep: str, zones: Mapping[str, str]) -> pl.DataFrame:
    """Every sleep, by the time it ended.

    In: `Tables.hours`, unfiltered (a night begins on the day before); `Tables.days` for the place of each day; `sleep`,
    the key of that category; `zones`, the time zone of each place by its key, home first. Out, `SLEEPS`:

    - date (the day of waking), kind ("night", "nap", or "part" if one end is unknown)
    - bed_minute, wake_minute (local time, in minutes from the midnight that begins `date`: negative on the evening
      before), mid_minute (local time of the middle of the elapsed time)
    - minutes (elapsed minutes asleep, without wakings: the hour that is skipped at the start of summer time does not
      count, and after a journey the evening lies in the time zone of the place of its day)
    - wakings (their number), timezone (of the place of `date`, the place of waking)

    A sleep that would end before it began, with the places as given, is a part.

    A local time that a clock change skips uses the offset before the change. A local time that occurs twice is the
    first one (PEP 495). Raises nothing. A journal without hours gives no rows.

    >>> days = pl.DataFrame({"date": [dt.date(2025, 3, 29), dt.date(2025, 3, 30)], "place": [None, None]})
    >>> strip = days.select("date", layer=pl.lit("actual"), category=pl.lit("sleep"),
    ...     start_minute=pl.Series([1380, 0]), end_minute=pl.Series([1440, 420]))
    >>> sleeps(strip, days, sleep="sleep", zones={"home": "Europe/Ljubljana"}).drop("timezone").rows()
    [(datetime.date(2025, 3, 30), 'night', -60, 420, 210.0, 420, 0)]
    """
    spans = hours.filter(pl.col("layer") == "actual", pl.col("category") == sleep)
    midnight = pl.col("date").dt.epoch("d").cast(pl.Int64) * MINUTES_A_DAY
    absolute = spans.with_columns(start_minute=midnight + START, end_minute=midnight + END)
    merged_spans = merged(absolute, ["category"])
    joined = merged_spans.with_columns(run=(START - END.shift(1) > WAKING_MINUTES).fill_null(True).cum_sum())
    joined = joined.with_columns(day=END.max().over("run") // MINUTES_A_DAY)
    placed = _timed(joined.with_columns(date=pl.from_epoch("day", "d")), days, zones)
    known = known_days(hours, sleep=sleep).get_column("date").implode()
    day, yesterday = pl.col("date"), pl.col("date") - pl.duration(days=1)
    start_known = (pl.col("bed_minute") % MINUTES_A_DAY != 0) | (
        yesterday + pl.duration(days=pl.col("bed_minute") // MINUTES_A_DAY)
    ).is_in(known)
    end_known = (pl.col("wake_minute") != 0) | day.is_in(known)
    brief = (
        (pl.col("minutes") < _NAP_UNDER_MINUTES)
        & (pl.col("bed_minute") >= _NAP_FROM)
        & (pl.col("wake_minute") <= _NAP_TO)
    )
    longest = pl.col("minutes").rank("ordinal", descending=True).over("date", "brief") == 1
    kind = (
        pl.when(~(start_known & end_known) | (pl.col("minutes") < 0))
        .then(pl.lit("part"))
        .when(longest & ~pl.col("brief"))
        .then(pl.lit("night"))
        .otherwise(pl.lit("nap"))
    )
    return placed.with_columns(brief=brief).with_columns(kind=kind).select(*SLEEPS).cast(SLEEPS)  # type: ignore[arg-type]


def _timed(joined: pl.DataFrame, days: pl.DataFrame, zones: Mapping[str, str]) -> pl.DataFrame:
    """One row per sleep (a run of spans), with elapsed minutes. Minutes of the clock are of each day's own place."""
    home = next(iter(zones.values()), "UTC")
    # Local times are minutes since 1970 on the local clock. They become Unix times once the zone is known.
    placed = joined.join(
        days.select("date", pl.col("place").cast(pl.String)).unique("date"),
        on="date",
        how="left",
        maintain_order="left",
    )
    spans = placed.with_columns(
        timezone=pl.col("place").replace_strict(dict(zones), default=home, return_dtype=pl.String)
    )
    moved = {_day_number(date): seconds for date, seconds in clock_changes.journeys(days, zones).items()}

    def moment(minute: int, inside: int, day: int, zone: str) -> float:
        """The Unix time of local minutes of the day with the minute `inside`, in the zone of `day` and before."""
        first = inside // MINUTES_A_DAY + 1
        return _moment(minute, clock_changes.zone(zone)) + sum(moved.get(d, 0) for d in range(first, day + 1))

    rows = list(spans.select("start_minute", "end_minute", "day", "timezone").iter_rows())
    moments = {
        "start": pl.Series([moment(start, start, day, zone) for start, _, day, zone in rows], dtype=pl.Float64),
        "end": pl.Series([moment(end, end - 1, day, zone) for _, end, day, zone in rows], dtype=pl.Float64),
    }
    midnight = pl.col("day").first() * MINUTES_A_DAY
    runs = (
        spans.with_columns(**moments)
        .group_by("run", maintain_order=True)
        .agg(
            pl.col("date", "timezone", "day").first(),
            (START.min() - midnight).alias("bed_minute"),
            (END.max() - midnight).alias("wake_minute"),
            ((pl.col("start").min() + pl.col("end").max()) / 2).alias("middle"),
            ((pl.col("end") - pl.col("start")).sum() / 60).round().cast(pl.Int64).alias("minutes"),
            (pl.len().cast(pl.Int64) - 1).alias("wakings"),
        )
    )
    clock = [
        _clock(middle, clock_changes.zone(zone)) - day * MINUTES_A_DAY
        for middle, zone, day in runs.select("middle", "timezone", "day").iter_rows()
    ]
    return runs.with_columns(mid_minute=pl.Series(clock, dtype=pl.Float64))


_EPOCH = dt.datetime(1970, 1, 1)  # noqa: DTZ001 (a clock's reading, not a moment)


def _day_number(date: dt.date) -> int:
    return (date - _EPOCH.date()).days


def _moment(minute: int, zone: ZoneInfo) -> float:
    """Unix time, in seconds, of local minutes since 1970."""
    return (_EPOCH + dt.timedelta(minutes=minute)).replace(tzinfo=zone).timestamp()


def _clock(moment: float, zone: ZoneInfo) -> float:
    """Local minutes since 1970 of a Unix time, the inverse of `_moment`."""
    return (dt.datetime.fromtimestamp(moment, zone).replace(tzinfo=None) - _EPOCH) / dt.timedelta(minutes=1)


@checked
def nights(
    hours: pl.DataFrame,
    days: pl.DataFrame,
    *,
    sleep: str,
    zones: Mapping[str, str],
    today: dt.date,
    work: Collection[str] = (),
    every: pl.DataFrame | None = None,
) -> pl.DataFrame:
    """The nights of a journal, one row each, by the day of waking.

    In: as for `sleeps`; `work`, the keys of the categories that make a day a work day; `today`, which may still become
    a work day; `every`, the frame of `sleeps` if it is made already. Out, `NIGHTS`, with the columns of `SLEEPS` and:

    - bed, wake (String, "HH:MM", local time)
    - nap_minutes (minutes of naps that ended on the day; 0 without naps)
    - work (the day of waking has actual hours of a work category; null if there is no work category, and for today
      until it has such hours)

    A night without sleep has 0 minutes and null times. It is a day with a full strip, after a known day, on which no
    sleep ended and which did not begin asleep. Other days without a sleep that ended, or with only a nap or a part of a
    night, have no row.

    >>> days = pl.DataFrame({"date": [dt.date(2025, 3, 14), dt.date(2025, 3, 15)], "place": [None, None]})
    >>> strip = pl.concat(days.select("date", layer=pl.lit("actual"), category=pl.lit("sleep"),
    ...     start_minute=pl.lit(start), end_minute=pl.lit(end)) for start, end in ((0, 375), (780, 810), (1350, 1440)))
    >>> nights(strip, days, sleep="sleep", zones={"home": "Europe/Ljubljana"}, today=dt.date(2025, 3, 16)).select(
    ...     "date", "bed", "wake", "minutes", "nap_minutes").rows()
    [(datetime.date(2025, 3, 15), '22:30', '06:15', 465, 30)]
    """
    every = sleeps(hours, days, sleep=sleep, zones=zones) if every is None else every
    naps = every.filter(pl.col("kind") == "nap").group_by("date").agg(pl.col("minutes").sum().alias("nap_minutes"))
    known = known_days(hours, sleep=sleep)
    after = known.get_column("date").dt.offset_by("1d").implode()
    actual = hours.filter(pl.col("layer") == "actual")
    # Asleep at midnight and no sleep ended: the whole day was slept through, so it is not a night without sleep.
    slept_on = actual.filter(pl.col("category") == sleep, START == 0).get_column("date")
    ended = pl.concat([every.get_column("date"), slept_on]).implode()
    awake = known.filter(pl.col("full"), pl.col("date").is_in(after), ~pl.col("date").is_in(ended)).select(
        "date", minutes=pl.lit(0, pl.Int64), wakings=pl.lit(0, pl.Int64)
    )
    worked = actual.filter(pl.col("category").is_in(list(work))).get_column("date").implode()
    working = pl.col("date").is_in(worked)
    unknown = pl.lit(not work) | ((pl.col("date") >= today) & ~working)
    slept = every.filter(pl.col("kind") == "night").drop("kind", "timezone")
    return (
        pl.concat([slept, awake], how="diagonal")
        .join(naps, on="date", how="left")
        .with_columns(
            pl.col("nap_minutes").fill_null(0),
            bed=clock_text(pl.col("bed_minute")),
            wake=clock_text(pl.col("wake_minute")),
            work=pl.when(~unknown).then(working),
        )
        .select(*NIGHTS)
        .cast(NIGHTS)  # type: ignore[arg-type]
        .sort("date")
    )
