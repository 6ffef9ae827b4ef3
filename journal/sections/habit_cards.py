"""Habits and challenges as HTML: weeks, grid, streaks, rates, changes. Frames in, `Html` out."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal import periods
from journal.charts import challenge_days as charted
from journal.charts import month_grid
from journal.charts.figure import Figure
from journal.measures import completion
from journal.periods import Period
from journal.sections.cards import card, empty, figure, lines, table
from journal.sections.escape import Html, join, tag
from journal.settings import Settings
from journal.tables import Tables
from journal.wording import dates, habits, numbers

NO_HABITS = "No habit is in force here."
CLEAR = f"Clear means that the {numbers.NINETY_FIVE} interval of the difference leaves out zero."


def names(settings: Settings) -> dict[str, str]:
    """The name of each habit by key, in the order of journal.toml."""
    return {key: settings.habit_name(key) for key in settings.habit_keys}


def quantities(states: pl.DataFrame, settings: Settings) -> dict[str, str]:
    """The quantities that can colour a year: mood, energy and each of its habits. In: `states.states` of a year."""
    present = set(states["habit"].unique())
    every = {"mood": "Mood", "energy": "Energy"}
    return every | {key: name for key, name in names(settings).items() if key in present and key not in every}


def week(states: pl.DataFrame, rates: pl.DataFrame, streaks: pl.DataFrame, settings: Settings, today: dt.date) -> Html:
    """Each habit of a week: done of due, and the streak at the end of the week.

    In: `states.states` of the week's days, `completion.rates` of its occasions, `streaks.streaks` as of its end.
    """
    rate_of = {row["habit"]: row for row in rates.iter_rows(named=True)}
    streak_of = {row["habit"]: row for row in streaks.iter_rows(named=True)}
    rows = []
    for key in states["habit"].unique(maintain_order=True):
        days = states.filter(pl.col("habit") == key)
        streak = habits.running_streak(streak_of[key]) if key in streak_of else None
        if days["per"][0] is not None:
            share = quota(days, today)
        elif key in rate_of and rate_of[key]["counted"]:
            rate, known = rate_of[key], rate_of[key]["rate"] is not None
            share = f"{numbers.of(rate['done'], rate['counted'])} done" if known else habits.rate(rate)
        else:
            share = "resting" if key in rate_of and rate_of[key]["rest"] else "not due"
        rows.append((settings.habit_name(key), numbers.joined([share, streak if streak != "none running" else None])))
    return lines(rows, nothing=NO_HABITS)


def quota(states: pl.DataFrame, today: dt.date) -> str:
    """The progress of a quota habit in a week: "2 of 3 this week, 3 days left".

    In: `states.states` of one habit in one week (also for a quota per month).
    """
    done, row = states.filter(pl.col("state") == "done").height, states.row(0, named=True)
    if row["per"] == "month":
        often = numbers.plural(done, "time") if done else "not"
        return f"{often} this week, {row['times']} due a month"
    left = states.filter((pl.col("date") >= today) & pl.col("mark").is_null()).height
    over = today > states["date"].max()  # type: ignore[operator]
    if done > row["times"]:
        return f"{done} {'times' if over else 'this week'}, {row['times']} due"
    if over:
        return numbers.of(done, row["times"])
    tail = f", {numbers.plural(left, 'day')} left" if done < row["times"] and left else ""
    return f"{numbers.of(done, row['times'])} this week{tail}"


def running_and_longest(streaks: pl.DataFrame, settings: Settings) -> Html:
    """The running and the longest streak of each habit. In: `streaks.streaks`."""
    rows = [
        (
            settings.habit_name(row["habit"]),
            numbers.joined(
                [habits.running_streak(row), f"longest {habits.longest_streak(row)}" if row["longest"] else None]
            ),
        )
        for row in streaks.iter_rows(named=True)
    ]
    return lines(rows, nothing=NO_HABITS, kind="stacked")


def grid(
    states: pl.DataFrame,
    rates: pl.DataFrame,
    streaks: pl.DataFrame,
    month: Period,
    settings: Settings,
    *,
    today: dt.date,
) -> Html:
    """The grid of the habits of a month, a mark per day. A month without habits has a line instead.

    In: `states.states`, `completion.rates` of the month's occasions, `streaks.streaks` of its habits as of its end.
    """
    if states.filter(pl.col("date").is_between(month.first, month.last)).is_empty():
        return card(f"Habits in {dates.title(month)}", empty(NO_HABITS))
    heading = "streak now" if today in month else "streak at the end"
    return figure(month_grid.draw(states, rates, streaks, month, names(settings), today=today, streak_heading=heading))


def best_streaks(streaks: pl.DataFrame, settings: Settings) -> Html:
    """The list of `best_streak_rows`."""
    return lines(best_streak_rows(streaks, settings), nothing=NO_HABITS)


def best_streak_rows(streaks: pl.DataFrame, settings: Settings) -> list[tuple[str, str]]:
    """The longest streak of each habit: habits counted in days first, then weeks, then months.

    In: `streaks.streaks` of a year's occasions. Out: names of habits, and their streaks in words without the year.
    """
    order = {"occasion": 0, "week": 1, "month": 2}
    rows = sorted(streaks.iter_rows(named=True), key=lambda row: (order[row["unit"]], -row["longest"]))
    return [(settings.habit_name(row["habit"]), habits.longest_streak(row, year=False)) for row in rows]


def rate_table(rates: pl.DataFrame, totals: pl.DataFrame, settings: Settings, caption: str) -> Html:
    """A table of the completion rates with their intervals, and of the totals of counted habits.

    In: `completion.rates` and `completion.totals` over the same days.
    """
    total_of = {row["habit"]: row for row in totals.iter_rows(named=True)}
    rows = []
    for row in rates.iter_rows(named=True):
        habit = settings.definitions(row["habit"])[-1]
        count = total_of.get(row["habit"])
        total = tag("span", habits.total(count, habit.unit, habit.aim, habit.per), class_="beneath") if count else None
        name = join([settings.habit_name(row["habit"]), total], " ")
        of_logged = "" if row["logged_rate"] is None else numbers.percent(row["logged_rate"])
        rows.append((name, _unbroken(habits.rate(row, habit.per)), of_logged))
    head = ("Habit", f"Done of due, {numbers.NINETY_FIVE} interval", "Of logged days")
    return table(caption, head, rows) if rows else empty(NO_HABITS)


def _unbroken(text: str) -> str:
    """A rate whose interval does not break across lines in a narrow column."""
    return text.replace(" to ", "\N{NO-BREAK SPACE}to\N{NO-BREAK SPACE}")


def changes(changed: pl.DataFrame, settings: Settings, before: Period) -> Html:
    """The rates that changed clearly against the month before, and those that did not. In: `completion.changes`."""
    rows = list(changed.iter_rows(named=True))
    parts = []
    for heading, group in (
        ("Changed clearly", [row for row in rows if row["clear"]]),
        ("No clear change", [row for row in rows if row["clear"] is False]),
        ("Nothing to compare", [row for row in rows if row["clear"] is None]),
    ):
        if group or heading == "Changed clearly":
            wording = habits.then_and_now if heading == "No clear change" else habits.change
            items = [(settings.habit_name(row["habit"]), wording(row)) for row in group]
            parts += [tag("h3", heading), lines(items, nothing="Nothing.")]
    return (
        join([*parts, tag("p", CLEAR, class_="quiet small")])
        if rows
        else empty(f"No habit was due in {dates.title(before)} or since.")
    )


def changes_since_before(occasions: pl.DataFrame, period: Period, settings: Settings) -> Html:
    """The card of changes against the period before. In: `states.occasions` of the whole journal."""
    before = periods.before(period)
    changed = completion.changes(
        occasions.filter(pl.col("date").is_between(before.first, period.last)),
        before=(before.first, before.last),
        after=(period.first, period.last),
    )
    return card(f"Against {dates.title(before)}", changes(changed, settings, before))


def challenges(totals: pl.DataFrame, period: Period, settings: Settings) -> Html:
    """The card of `challenge_rows`, empty without any."""
    rows = challenge_rows(totals, period, settings)
    return card("Challenge" if len(rows) == 1 else "Challenges", lines(rows, nothing="")) if rows else Html("")


def challenge_rows(totals: pl.DataFrame, period: Period, settings: Settings) -> list[tuple[str, str]]:
    """Each challenge that overlaps a period, with its result in words. In: `challenges.totals`."""
    names = {challenge.key: challenge.name for challenge in settings.challenges}
    rows = totals.filter((pl.col("from") <= period.last) & (pl.col("to") >= period.first))
    return [
        (
            names.get(row["challenge"], row["challenge"]),
            numbers.joined(
                [
                    f"{numbers.of(row['ticks'], row['days'])} ticked",
                    f"longest {row['longest']} in a row" if row["longest"] > 1 else None,
                    dates.stretch(row["from"], row["to"]),
                ],
            ),
        )
        for row in rows.iter_rows(named=True)
    ]


def challenge_days(tables: Tables, totals: pl.DataFrame, period: Period, settings: Settings, today: dt.date) -> Html:
    """The card of `challenge_days_drawn`."""
    drawn = challenge_days_drawn(tables, totals, period, settings, today)
    return figure(drawn) if drawn else Html("")


def challenge_days_drawn(
    tables: Tables,
    totals: pl.DataFrame,
    period: Period,
    settings: Settings,
    today: dt.date,
    *,
    key: str = "challenge-days",
) -> Figure | None:
    """The challenges of a period and those before it, day by day. None if no challenge overlaps the period.

    In: `challenges.totals` as of the end of the period or today, whichever is earlier.
    """
    if totals.filter((pl.col("from") <= period.last) & (pl.col("to") >= period.first)).is_empty():
        return None
    names = {challenge.key: challenge.name for challenge in settings.challenges}
    ticks = tables.ticks.join(tables.days.select("date", logged="asked"), on="date", how="left")
    return charted.draw(ticks, totals, names, today=min(today, period.last), key=key)
