"""The habits of a month for its drawings: a row each with its days, rate and streak, and what is said of them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

import polars as pl

from journal.frames import Row
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
        return f"Habits in {dates.period(month)}"
    # Compare interval ends, so that 1 of 1 does not rank above 30 of 31.
    highest = max(rated, key=lambda row: row["low"])
    lowest = min(rated, key=lambda row: row["high"])
    said = f"{highest['name']} held {counted(highest)}"
    if lowest["rate"] < highest["rate"]:
        said += f"; {lowest['name']} held {counted(lowest)}"
    return said


def subtitle(habits_of_month: list[Row], month: Period, today: dt.date) -> str:
    """What is counted, and until when."""
    if not habits_of_month:
        return "No habit was in force."
    until = f" to {dates.day(today, weekday=False)}" if month.first <= today < month.last else ""
    explanation = f"Done of what was due, rest days left out, with the {numbers.NINETY_FIVE} interval."
    return f"{dates.period(month)}{until}. {explanation}"


def sentence(row: Row) -> str:
    """A habit in one sentence: its count, its rate with the interval, and its streak."""
    if row["rate"] is None:
        return f"{row['name']}: {unrated(row)}"
    running = "" if row["streak"] is None else f"streak {streak(row)}"
    return numbers.joined([f"{row['name']}: {counted(row)}", rate(row), running], ", ")


def unrated(row: Row) -> str:
    """Why a habit has no rate."""
    return "not recorded" if row["counted"] else "nothing to count yet"


def rate(row: Row) -> str:
    """The rate with its interval."""
    return f"{numbers.percent(row['rate'])}, {numbers.NINETY_FIVE} interval {numbers.interval(row['low'], row['high'])}"


def counted(row: Row) -> str:
    """How often it was done, of what was due: "24 of 31 days"."""
    return numbers.of(row["done"], row["counted"], "time" if row["unit"] == "occasion" else row["unit"])


def streak(row: Row) -> str:
    """The length of the streak in its unit: "3 days"."""
    return habits.count_in_unit(row["streak"], row["unit"])


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
