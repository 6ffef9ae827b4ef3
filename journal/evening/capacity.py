"""Whether tomorrow has time for its tasks, judged by the journal's own estimates so far.

People underestimate (Buehler, Griffin and Ross 1994, J. Pers. Soc. Psychol. 67, 366-381), and by how much differs from
person to person. So no factor is assumed: the journal's own ratios of taken to estimated time are resampled. With fewer
than `ENOUGH` ratios only the plain sum is shown.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

import msgspec
import numpy as np
import polars as pl

from journal.language.catalogue import _, _n
from journal.measures import overruns
from journal.wording import dates, numbers

ENOUGH = 20
"""Timed tasks needed for a range: with 20, the outer tenths have two tasks each."""

NEWEST = 60
"""The number of newest ratios used. Estimating habits change, and 60 ratios are about a season of a full journal."""

LEVEL = 0.8
_ENOUGH_DAYS = 4  # such weekdays with tasks: a median of fewer changes with each one
DRAWS = 4000
"""Draws of the sum. The ends of the range then vary by about 1 % between seeds."""


class Fit(msgspec.Struct, frozen=True, kw_only=True):
    """Tasks compared with the available time. All but `n`, `filled`, `unknown` and `ratio` are minutes.

    `planned` is the sum of the estimates, `filled` the number of tasks whose estimate was taken from similar tasks,
    `unknown` the number of tasks without an estimate and without similar tasks. Those are in no sum.
    `expected`, `low` and `high` are the median and the 80 % range of the total time, None while the journal has fewer
    than `ENOUGH` timed tasks. `n` is the number of ratios used, `ratio` their median.
    """

    planned: float
    filled: int
    unknown: int = 0
    open: float
    n: int
    ratio: float | None = None
    expected: float | None = None
    low: float | None = None
    high: float | None = None


def fit(
    estimates: Sequence[float | None],
    ratios: pl.DataFrame,
    *,
    open_minutes: float,
    filled: int = 0,
    seed: int = 0,
) -> Fit:
    """Compare estimates with open time.

    In: `estimates` in minutes, one for each task, None for a task without one; the frame of `measures.tasks.ratios`
    (sorted by day; last Date, estimate, ratio Float64). Each task gets a ratio drawn from the newest `NEWEST` with
    replacement (bootstrap, Efron 1979), moved by what `overruns` says of a task of its size: small tasks may overrun
    more than large ones. Overruns and early finishes cancel out as far as they do on a real day;
    `overruns.alike_in_a_day` gives
    how far, since overruns within a day are correlated. The same seed gives the same numbers.

    >>> days = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 1, 20), eager=True)
    >>> history = pl.DataFrame({"last": days, "estimate": 60.0, "ratio": [1.0, 1.5] * 10})
    >>> day = fit([60, 60], history, open_minutes=180)
    >>> day.planned, round(day.expected), round(day.low), round(day.high), day.n
    (120.0, 150, 120, 180, 20)
    >>> fit([60, 60], history.head(5), open_minutes=180).expected is None
    True
    """
    newest = ratios.get_column("ratio").tail(NEWEST).to_numpy()
    given = [minutes for minutes in estimates if minutes is not None]
    unknown = len(estimates) - len(given)
    plain = Fit(planned=float(sum(given)), filled=filled, unknown=unknown, open=open_minutes, n=len(newest))
    if len(newest) < ENOUGH or not given:
        return plain
    minutes = np.asarray(given, dtype=float)
    logs, by_size = overruns.of_one_size(ratios.tail(NEWEST))
    middle = np.median(logs)
    rng = np.random.default_rng(seed)
    task_draws = rng.choice(logs - middle, size=(DRAWS, len(given)))
    day_draws = rng.choice(logs - middle, size=(DRAWS, 1))
    correlation = overruns.alike_in_a_day(ratios)
    drawn = middle + by_size(minutes) + np.sqrt(correlation) * day_draws + np.sqrt(1 - correlation) * task_draws
    sums = np.exp(drawn) @ minutes
    tail = (1 - LEVEL) / 2
    low, expected, high = np.quantile(sums, [tail, 0.5, 1 - tail])
    return msgspec.structs.replace(
        plain, ratio=float(np.median(newest)), expected=float(expected), low=float(low), high=float(high)
    )


def filled_in(tasks: pl.DataFrame, lives: pl.DataFrame) -> pl.DataFrame:
    """Give every task an estimate: its own, or the median of similar tasks.

    In: `tasks` (title String, estimate Float64, minutes) and the frame of `measures.tasks.lives`. Out: the tasks with
    `minutes` (Float64) and `like` (String: "own"; "same", the median time of done tasks with the same title; "any", the
    median estimate of all tasks; "none", null minutes, if the journal has no estimates).

    >>> day = pl.DataFrame({"title": ["Stock count", "Call"], "estimate": pl.Series([None, None], dtype=pl.Float64)})
    >>> past = pl.DataFrame({"title": ["Stock count"], "status": ["done"], "estimate": [30.0], "took": [60.0]})
    >>> filled_in(day, past).select("minutes", "like").rows()
    [(60.0, 'same'), (30.0, 'any')]
    """
    titles = tasks.filter(pl.col("estimate").is_null()).get_column("title").unique().implode()
    same = (
        lives.filter(pl.col("status") == "done", pl.col("took") > 0, pl.col("title").is_in(titles))
        .group_by("title")
        .agg(pl.col("took").median().alias("same"))
    )
    median = lives.get_column("estimate").median()
    overall = median if isinstance(median, int | float) else None
    return (
        tasks.join(same, on="title", how="left", maintain_order="left")
        .with_columns(
            minutes=pl.coalesce("estimate", "same", pl.lit(overall, pl.Float64)),
            like=pl.when(pl.col("estimate").is_not_null())
            .then(pl.lit("own"))
            .when(pl.col("same").is_not_null())
            .then(pl.lit("same"))
            .when(pl.lit(overall is not None))
            .then(pl.lit("any"))
            .otherwise(pl.lit("none")),
        )
        .drop("same")
    )


def usual(tasks: pl.DataFrame, *, day: dt.date, weeks: int = 26) -> dict[str, float | int | None]:
    """Return how many tasks are usually done on such a day: the same weekday in the last half year.

    In: `Tables.tasks` (date, status). Out: `n` (days of that weekday before `day`, within `weeks`, with tasks), `done`
    and `standing` (medians of the tasks done and of all tasks on the page; None if n is 0).

    >>> rows = pl.DataFrame({"date": [dt.date(2025, 3, 7)] * 3, "status": ["done", "done", "carried"]})
    >>> usual(rows, day=dt.date(2025, 3, 14))
    {'n': 1, 'done': 2.0, 'standing': 3.0}
    """
    same_weekdays = (
        tasks.filter(
            pl.col("date") < day,
            pl.col("date") >= day - dt.timedelta(weeks=weeks),
            pl.col("date").dt.weekday() == day.isoweekday(),
        )
        .group_by("date")
        .agg((pl.col("status") == "done").sum().alias("done"), pl.len().alias("standing"))
    )
    counts: dict[str, float | int | None] = {"n": same_weekdays.height}
    return counts | {name: same_weekdays.get_column(name).median() for name in ("done", "standing")}  # type: ignore[return-value]


def sentence(fit: Fit, work_minutes: float = 0) -> str:
    """Return the sum of the estimates and the available time as a sentence.

    >>> sentence(Fit(planned=285, filled=0, open=390, n=0))
    '4 h 45 min of tasks in 6 h 30 min of open time.'
    >>> sentence(Fit(planned=285, filled=1, open=390, n=0), work_minutes=420)
    '4 h 45 min of tasks in 6 h 30 min of open time and 7 h of planned work; one without an estimate counts as the
    median of its like.'
    >>> sentence(Fit(planned=285, filled=0, unknown=1, open=390, n=0))
    '4 h 45 min of tasks in 6 h 30 min of open time; 1 more task has no estimate.'
    >>> sentence(Fit(planned=0, filled=0, unknown=1, open=390, n=0))
    '1 open task without an estimate; 6 h 30 min of open time.'
    >>> sentence(Fit(planned=0, filled=0, open=390, n=0))
    'No open task; 6 h 30 min of open time.'
    """
    if not fit.planned:
        return f"{_tasks(fit)}; {available(fit.open, work_minutes)}."
    room = available(fit.open, work_minutes)
    return _("{tasks} in {room}", tasks=_tasks(fit), room=room) + f"{_without_estimate(fit)}."


def short(fit: Fit, room_minutes: float | None) -> str:
    """Return the tasks of one day among several in few words, and whether they may not fit.

    `room_minutes` is open time and planned work together, None for a day whose hours nobody knows.

    >>> short(Fit(planned=285, filled=0, unknown=1, open=390, n=0), 390)
    '4 h 45 min of tasks; 1 more task has no estimate.'
    >>> short(Fit(planned=285, filled=0, open=240, n=3), 240), short(Fit(planned=0, filled=0, open=240, n=0), 240)
    ('4 h 45 min of tasks. The plain sum does not fit.', 'No open task.')
    """
    note = _without_estimate(fit) if fit.planned else ""
    doubt = "" if room_minutes is None else verdict(fit, room_minutes)
    return f"{_tasks(fit)}{note}." + (f" {doubt}" if doubt else "")


def available(open_minutes: float, work_minutes: float = 0) -> str:
    """Return the time that a day has for tasks.

    >>> available(390), available(390, 420)
    ('6 h 30 min of open time', '6 h 30 min of open time and 7 h of planned work')
    """
    free = dates.minutes(open_minutes)
    if not work_minutes:
        return _("{open} of open time", open=free)
    return _("{open} of open time and {work} of planned work", open=free, work=dates.minutes(work_minutes))


def _tasks(fit: Fit) -> str:
    if fit.planned:
        return _("{time} of tasks", time=dates.minutes(fit.planned))
    if not fit.unknown:
        return _("No open task")
    return _n("{count} open task without an estimate", "{count} open tasks without an estimate", fit.unknown)


def _without_estimate(fit: Fit) -> str:
    note = ""
    if fit.filled:
        note = _n(
            "; one without an estimate counts as the median of its like",
            "; {count} without an estimate count as the medians of their like",
            fit.filled,
        )
    if fit.unknown:
        note += _n("; {count} more task has no estimate", "; {count} more tasks have no estimate", fit.unknown)
    return note


def verdict(fit: Fit, room_minutes: float) -> str:
    """Return that tasks do not fit, or may not; empty if nothing speaks against it.

    >>> known = Fit(planned=285, filled=0, open=390, n=60, ratio=1.3, expected=370, low=330, high=420)
    >>> [verdict(known, room) for room in (300, 390, 430)]
    ['That does not fit.', 'That may not fit.', '']
    """
    if fit.low is not None and fit.high is not None:
        if fit.high <= room_minutes:
            return ""
        return _("That does not fit.") if fit.low > room_minutes else _("That may not fit.")
    return _("The plain sum does not fit.") if fit.n < ENOUGH and fit.planned > room_minutes else ""


def detail(fit: Fit, usual: Mapping[str, float | int | None], day: dt.date, *, work_minutes: float = 0) -> str:
    """Return what to expect according to earlier tasks and days. In: the result of `usual`.

    >>> friday = dt.date(2025, 3, 14)
    >>> known = Fit(planned=285, filled=0, open=390, n=60, ratio=1.3, expected=370, low=330, high=420)
    >>> detail(known, {"n": 22, "done": 4, "standing": 5}, friday)
    'Your tasks have taken 1.3 times their estimate (last 60): expect 6 h 10 min, and in 8 of 10 such days 5 h 30 min to
    7 h. That may not fit. On Fridays 4 of 5 tasks get done (22 Fridays).'
    >>> detail(Fit(planned=60, filled=0, open=390, n=3), {"n": 0}, friday)
    'Only 3 tasks were timed so far: from 20 on, this says what to expect.'
    """
    weekday = dates.weekday(day.weekday())
    room = fit.open + work_minutes
    sentences = []
    if fit.expected is not None and fit.low is not None and fit.high is not None and fit.ratio is not None:
        low, high = (dates.minutes(5 * numbers.half_up(end / 5)) for end in (fit.low, fit.high))
        expectation = _(
            "Your tasks have taken {ratio} times their estimate (last {count}): expect {expected}, and in 8 of 10 such "
            "days {low} to {high}.",
            ratio=numbers.number(fit.ratio, 2),
            count=fit.n,
            expected=dates.minutes(5 * numbers.half_up(fit.expected / 5)),
            low=low,
            high=high,
        )
        sentences.append(expectation)
    elif fit.n < ENOUGH:
        if fit.n:
            timed = _n(
                "Only {count} task was timed so far: from {enough} on, this says what to expect.",
                "Only {count} tasks were timed so far: from {enough} on, this says what to expect.",
                fit.n,
                enough=ENOUGH,
            )
        else:
            timed = _("No task was timed so far: from {enough} on, this says what to expect.", enough=ENOUGH)
        sentences.append(timed)
    sentences += [doubt] if (doubt := verdict(fit, room)) else []
    done, standing, n = usual.get("done"), usual.get("standing"), usual["n"] or 0
    if n >= _ENOUGH_DAYS and done is not None and standing is not None:
        get_done = _(
            "On {weekday}s {done} of {standing} tasks get done ({count} {weekday}s).",
            weekday=weekday,
            done=numbers.number(done),
            standing=numbers.number(standing),
            count=n,
        )
        sentences.append(get_done)
    return " ".join(sentences)
