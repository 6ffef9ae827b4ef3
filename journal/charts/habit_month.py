"""The habits of a month for its drawings: a row each with its days, rate and streak, and what is said of them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

import polars as pl

from journal.charts import shares
from journal.frames import Row
from journal.language.catalogue import _
from journal.periods import Period
from journal.wording import dates, habits, numbers


def rows(
    states: pl.DataFrame,
    rates: pl.DataFrame,
    streaks: pl.DataFrame,
    month: Period,
    names: Mapping[str, str],
) -> list[Row]:
    """One row per habit, in the order of `names`: its name, its days, its rate and its streak.

    In: as `month_grid.draw`. Habits without a day in the month are left out.
    """
    here = states.filter(pl.col("date").is_between(month.first, month.last))
    days: dict[str, list[Row]] = {}
    for day in here.sort("date").iter_rows(named=True):
        days.setdefault(day["habit"], []).append(day)
    rate = {row["habit"]: row for row in rates.iter_rows(named=True)}
    streak = {row["habit"]: row for row in streaks.iter_rows(named=True)}
    order = [*(habit for habit in names if habit in days), *(habit for habit in days if habit not in names)]
    found = []
    for habit in order:
        unit = str(streak.get(habit, {}).get("unit", "occasion"))
        if unit == "occasion" and all(day["state"] != "not due" for day in days[habit]):
            unit = "day"
        known = rate.get(habit, {})
        found.append(
            {
                "habit": habit,
                "name": names.get(habit, habit),
                "days": days[habit],
                "unit": unit,
                "streak": streak.get(habit, {}).get("current"),
                # Rest days and days to come are not counted in "3 of 4".
                "counted": known.get("counted", known.get("due")),
                **{k: known.get(k) for k in ("done", "due", "rate", "low", "high", "logged_rate")},
            }
        )
    return found


def title(habits_of_month: list[Row], month: Period) -> str:
    """The sentence that the month says: the habit that held best, and the one that held least."""
    rated = [row for row in habits_of_month if row["rate"] is not None]
    if not rated:
        return _("Habits in {month}", month=dates.period(month))
    # Compare interval ends, so that 1 of 1 does not rank above 30 of 31.
    highest = max(rated, key=lambda row: row["low"])
    lowest = min(rated, key=lambda row: row["high"])
    held = [highest, lowest] if lowest["rate"] < highest["rate"] else [highest]
    return "; ".join(_("{habit} held {counts}", habit=row["name"], counts=counted(row)) for row in held)


def subtitle(habits_of_month: list[Row], month: Period, today: dt.date) -> str:
    """What is counted, and until when."""
    if not habits_of_month:
        return _("No habit was in force.")
    days = dates.period(month)
    if month.first <= today < month.last:
        days = _("{month} to {date}", month=days, date=dates.day(today, weekday=False))
    explanation = _("Done of what was due, rest days left out, with the {level} interval.", level=numbers.NINETY_FIVE)
    return f"{days}. {explanation}"


def sentence(row: Row) -> str:
    """A habit in one sentence: its count, its rate with the interval, and its streak."""
    if row["rate"] is None:
        return f"{row['name']}: {unrated(row)}"
    running = "" if row["streak"] is None else named_streak(row)
    return numbers.joined([f"{row['name']}: {counted(row)}", rate(row), running], ", ")


def unrated(row: Row) -> str:
    """Why a habit has no rate."""
    return habits.state_word("blank") if row["counted"] else _("nothing to count yet")


def rate(row: Row) -> str:
    """The rate with its interval."""
    return shares.with_interval(row)


def counted(row: Row) -> str:
    """How often it was done, of what was due: "24 of 31 days"."""
    return numbers.of(row["done"], row["counted"], "time" if row["unit"] == "occasion" else row["unit"])


def streak(row: Row) -> str:
    """The length of the streak in its unit: "3 days"."""
    return habits.count_in_unit(row["streak"], row["unit"])


def named_streak(row: Row) -> str:
    """The length of the streak with its name: "streak 3 days"."""
    return _("streak {length}", length=streak(row))


def mark_label(row: Row, day: Row) -> str:
    """The hover text of a mark: the habit, the day, and what the mark says."""
    return f"{row['name']}, {dates.day(day['date'], weekday=False)}: {habits.mark(day)}"


def table(habits_of_month: list[Row]) -> pl.DataFrame:
    """habit, done, due, counted, rate, low, high, logged_rate, streak, unit: a row per habit, named as on the page."""
    schema: dict[str, Any] = {
        "habit": pl.String, "done": pl.Int64, "due": pl.Int64, "counted": pl.Int64, "rate": pl.Float64,
        "low": pl.Float64, "high": pl.Float64, "logged_rate": pl.Float64, "streak": pl.Int64, "unit": pl.String,
    }  # fmt: skip
    records = [{"habit": row["name"], **{k: row[k] for k in list(schema)[1:]}} for row in habits_of_month]
    return pl.DataFrame(records, schema=schema)
