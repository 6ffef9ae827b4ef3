"""Figures of every kind, with names of habits, categories and challenges in Greek, so that each Latin word is ours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import polars as pl

from journal import periods
from journal.charts import (
    category_hours,
    challenge_days,
    correlates_chart,
    links_chart,
    month_grid,
    mood_line,
    plan_outcomes,
    rates_by_month,
    season_chart,
    trial_days,
    week_days,
    week_strips,
    weekday_profile,
    year_pixels,
)
from journal.charts.figure import Figure
from journal.charts.trial_days import ArmMeans
from journal.measures import challenges, hours, mood, mood_profile, plan_vs_actual
from journal.measures.correlates import DRIVERS
from journal.measures.links import LINKS
from journal.settings import Scale
from tests.charts import frames
from tests.charts.frames import DAY
from tests.charts.test_challenge_days import ticks
from tests.charts.test_links_chart import driver, row
from tests.charts.test_season_chart import months
from tests.charts.test_sleep_raster import raster, spans
from tests.charts.test_task_charts import YEAR, curve, ranked, ratios
from tests.charts.test_trial_days import frame

MARCH = periods.parse("2025-03", week_starts="monday")
WEEK = periods.parse("2025-W11", week_starts="monday")
TODAY = dt.date(2025, 3, 28)
SCALE = Scale(words=("βαρύ", "χαμηλό", "ίσο", "καλό", "φως"))
HABITS = {"walk": "Περπάτημα", "read": "Διάβασμα στο παράθυρο", "swim": "Κολύμπι", "call": "Τηλέφωνο"}
CATEGORIES = {"sleep": ("Ύπνος", "#332288"), "work": ("Εργαστήριο", "#88CCEE"), "odd": ("Σπίτι", "#DDCC77")}
MOODS: list[float | None] = [4, 3, 1, 1, 2, None, 5, 5, 4, 5, 3, 3, 2, 4, None, 3, 3, 4, 5, 2, 2, 3, 4, 4, 3, 2, 3, 4]


def every_figure() -> Iterator[Figure]:
    """A figure of each kind, then those of few or no data, whose titles say so."""
    yield from _of_habits()
    yield from _of_mood()
    yield from _of_hours()
    yield from _of_tasks()
    yield from _of_links()


def _of_habits() -> Iterator[Figure]:
    stated = frames.states(
        [
            frames.marks("walk", MARCH.first, "ddddddnddbddrdddddddddndddddddd"),
            frames.marks("read", MARCH.first, "797-7s3e7797n7797b797n7797n7977", target=7.0, aim="at least"),
            frames.marks("call", MARCH.first, "-d------e---n----------d-------"),
            frames.marks("swim", MARCH.first, "dsdssdsnsdsdssdsdsssddssdsddsss", times=3, per="week"),
        ],
        TODAY,
    )
    rates, streaks = frames.measures(stated, TODAY)
    yield month_grid.draw(stated, rates, streaks, MARCH, HABITS, today=TODAY)
    none = frames.states([], TODAY)
    yield month_grid.draw(none, *frames.measures(none, TODAY), MARCH, HABITS, today=TODAY)
    weekly, _streaks = frames.measures(stated, TODAY, by="week")
    of_week = weekly.filter(pl.col("from") == WEEK.first)
    days = frames.days(WEEK.first, MOODS[:7])
    below = {"walk": "", "read": ""}
    yield week_days.draw(stated, days, WEEK, HABITS, SCALE, today=TODAY, rates=of_week, below=below)
    yield week_days.draw(stated, frames.days(WEEK.first, []), WEEK, HABITS, SCALE, today=TODAY, rates=of_week)
    yield year_pixels.draw(stated, 2025, "walk", today=TODAY, name=HABITS["walk"])
    yield year_pixels.draw(stated, 1999, "walk", today=TODAY, name=HABITS["walk"], compact=True)
    many = frames.states([frames.marks("walk", dt.date(2025, 1, 1), "dn" * 59 + "d" * 90)], dt.date(2025, 8, 1))
    by_month, _streaks = frames.measures(many, dt.date(2025, 8, 1))
    for apart in ({"walk"}, set[str]()):
        yield rates_by_month.draw(by_month, HABITS, 2025, apart=apart)
    yield rates_by_month.draw(by_month, HABITS, 1999, apart=set())
    letters = pl.concat([ticks("a", MARCH.first, "dddcdnnsldddd"), ticks("b", MARCH.first, "d" * 40)])
    for count in (0, 1, 2):
        of = letters.filter(pl.col("challenge").is_in(["a", "b"][:count]))
        names = {"a": "Γράμματα", "b": "Χαρτιά κάθε μέρα"}
        yield challenge_days.draw(of, challenges.totals(of, today=TODAY), names, today=TODAY)


def _of_mood() -> Iterator[Figure]:
    year = [MOODS[at % len(MOODS)] for at in range(365)]
    days = frames.days(dt.date(2025, 1, 1), year)
    for period in (MARCH, YEAR):
        yield mood_line.draw(mood.trailing(days), SCALE, period, runs=mood_profile.runs(days), days=period.days)
    yield mood_line.draw(mood.trailing(frames.days(MARCH.first, [])), SCALE, MARCH)
    profile = mood_profile.weekdays(days, week_starts="monday")
    for clear in (True, False):
        yield weekday_profile.draw(profile, SCALE, clear=clear)
    yield weekday_profile.draw(mood.summary(days, by="weekday", week_starts="monday"), SCALE)
    for quantity in ("mood", "energy"):
        yield year_pixels.draw(days, 2025, quantity, today=dt.date(2025, 12, 31), scale=SCALE)
    yield year_pixels.draw(days, 1999, today=TODAY, scale=SCALE, compact=True)
    yield season_chart.draw(months({1: (30, 2.4), 5: (30, 3.6), 6: (31, 3.0)}), SCALE)
    yield season_chart.draw(months({1: (9, 2.4)}), SCALE)
    nights = spans(MARCH.first, [(-90, 395), (-30, 420), None, (30, 450), (-75, 400), (-60, 410)] * 5)
    yield raster([*nights, (MARCH.first + 2 * DAY, "actual", "sleep", 840, 870)], clock=12)
    yield raster([])
    outcomes: list[float | None] = [4, 5, 3, None, 2, 3]
    lots = frame("++--w-" * 5, "dnn?dd" * 5, outcomes * 5)
    means = ArmMeans(4.0, 3.9)
    yield trial_days.draw(lots, means, title="", habit="Περπάτημα", outcome="διάθεση", scale=SCALE)


def _of_hours() -> Iterator[Figure]:
    rows = [
        (WEEK.first + at * DAY, layer, category, start, start + length)
        for at in range(5)
        for layer, category, start, length in (
            ("planned", "sleep", 0, 400), ("actual", "sleep", 0, 300), ("planned", "work", 540, 300),
            ("actual", "odd", 540, 60), ("actual", "work", 600, 200 + 9 * at),
        )
    ]  # fmt: skip
    unplanned = (WEEK.last, "actual", "odd", 600, 620)
    for of in ([*rows, unplanned], []):
        strip = frames.hours(of)
        yield week_strips.draw(strip, CATEGORIES, WEEK, daylight={WEEK.first: [(375.0, 1080.0)]})
        totals = hours.as_planned(hours.totals(strip, week_starts="monday"))
        yield category_hours.draw(totals, CATEGORIES, WEEK, days=hours.days(strip))
        yield plan_outcomes.draw(plan_vs_actual.where_planned_went(strip, week_starts="monday"), CATEGORIES, WEEK)


def _of_tasks() -> Iterator[Figure]:
    yield curve((1, "done"), (3, "done"), (3, "open"), (5, "done"), (5, "dropped"), (8, "open"), (400, "open"))
    yield curve((0, "done"))
    yield curve((4, "open"), (4, "open"))
    yield curve()
    for period in (MARCH, YEAR):
        yield ratios([(at, 2.0 if at % 2 else 0.2) for at in range(28)], period)
    yield ratios([(1, 1.5)])
    yield ratios([])
    for counts in (((True, 50, 60), (False, 20, 60)), ((True, 5, 6), (False, 5, 6)), ((True, 2, 3),), ()):
        yield ranked(*counts)


def _of_links() -> Iterator[Figure]:
    rows = [
        row("read", 0, 0.05), row("read", 1, -0.1), row("walk", 0, 0.56, clear=True), row("walk", 1, 0.3),
        row("call", 0, None),
    ]  # fmt: skip
    for of in (rows, [one | {"clear": one["clear"] and None} for one in rows], rows[4:], []):
        yield links_chart.draw(pl.DataFrame(of, schema=LINKS), HABITS)
    measured = [driver("high", -0.05), driver("energy", 0.41, clear=True), driver("sleep", None, n=9)]
    names = {"high": "Ζέστη", "energy": "Δύναμη", "sleep": "Ύπνος"}
    for of in (measured, measured[:1], measured[2:], []):
        yield correlates_chart.draw(pl.DataFrame(of, schema=DRIVERS), names)
