"""Stretches of low mood or short sleep that are a reason to talk to someone, by published thresholds.

A journal is not an examination, and a sign is not a diagnosis. Neither rule has been validated on a diary.

- Mood: ICD-11 and DSM-5, as quoted in NICE guideline NG222 (2022), describe a mood that is low most of the day, nearly
  every day, for at least two weeks. "Nearly every day" is taken as 12 of 14, which is this project's choice and not
  from a guideline. The days are the last 14 on which mood was noted, within four weeks, so occasional notes over months
  do not count as a stretch.
- Sleep: Watson and others (2015), J. Clin. Sleep Med. 11, 591-592, and Hirshkowitz and others (2015), Sleep Health 1,
  40-43, give 7 hours as the minimum for adults of every age, on a regular basis. The rule is: under 7 hours, naps
  added, on 24 of the last 28 recorded nights, within eight weeks. This means for weeks, and the same proportion as 12
  of 14. The numbers are this project's choice: many people sleep a little less, and a box that is always shown is not
  read.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, NamedTuple

import polars as pl
from dateutil.relativedelta import relativedelta

from journal.language.catalogue import N_, _
from journal.measures import mood_levels
from journal.measures.mood_levels import LOW_UP_TO
from journal.measures.sleep import RECOMMENDED_MINUTES


class CareRule(NamedTuple):
    """A rule: `needed` of the newest `window` days. `text` describes the days, `threshold` cites the published rule.

    These two and `source` are for `_`, with the fields `seen`, `n` and `hours`.
    """

    subject: str
    window: int
    needed: int
    text: str
    threshold: str
    source: str


_HOURS = RECOMMENDED_MINUTES // 60

LOW_MOOD = CareRule(
    "mood",
    window=mood_levels.WINDOW,
    needed=mood_levels.NEEDED,
    text=N_("Mood was low on {seen} of the last {n} days on which it was noted."),
    threshold=N_("low most of the day, nearly every day, for at least two weeks"),
    source=N_("ICD-11 and DSM-5, as quoted in NICE guideline NG222 (2022)"),
)
SHORT_SLEEP = CareRule(
    "sleep",
    window=28,
    needed=24,
    text=N_("Sleep was under {hours} hours on {seen} of the last {n} nights that were written."),
    threshold=N_("adults: {hours} hours or more a night, on a regular basis"),
    source=N_("Watson et al. 2015, J. Clin. Sleep Med. 11, 591-592; Hirshkowitz et al. 2015, Sleep Health 1, 40-43"),
)

_EPOCH = dt.date(1970, 1, 1).toordinal()  # the day 0 of frames

LOOKS_BACK = dt.timedelta(days=2 * max(LOW_MOOD.window, SHORT_SLEEP.window) - 1)
"""No sign looks at days longer ago: a window lies within twice its length."""

SIGNS: dict[str, Any] = {
    "subject": pl.String,
    "from": pl.Date,
    "to": pl.Date,
    "n": pl.Int64,
    "seen": pl.Int64,
    "needed": pl.Int64,
    "dates": pl.List(pl.Date),
    "text": pl.String,
    "threshold": pl.String,
    "source": pl.String,
}


def signs(days: pl.DataFrame, nights: pl.DataFrame, *, today: dt.date, low: float = 1, high: float = 5) -> pl.DataFrame:
    """The signs in mood and sleep, up to a day, that meet a published threshold.

    In: `Tables.days` (date, mood), the frame of `sleep.nights` (date, minutes, nap_minutes) and the ends of the mood
    scale. Days after `today` are ignored. Out, at most one row for mood and one for sleep:

    - subject ("mood" or "sleep"), from, to (Date, the first and last day in the window), n (Int64, days in the window),
      seen (Int64, how many of them were low, or short), needed (Int64, the least `seen`), dates (List of Date, the low
      or short ones)
    - text (String, one sentence on these days), threshold, source (String, the published rule and its source), in the
      spoken language

    Days without a mood and nights without a record are skipped: they are neither good nor bad. Raises nothing.

    >>> dates = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 14), eager=True)
    >>> days = pl.DataFrame({"date": dates, "mood": [2.0, 1.0] * 6 + [3.0, 4.0]})
    >>> from journal.measures.sleep import NIGHTS
    >>> signs(days, pl.DataFrame(schema=NIGHTS), today=dt.date(2025, 3, 14)).get_column("text").to_list()
    ['Mood was low on 12 of the last 14 days on which it was noted.']
    """
    rated = days.filter(pl.col("mood").is_not_null()).select("date", seen=_position(low, high) <= LOW_UP_TO)
    slept = pl.col("minutes") + pl.col("nap_minutes")
    short = nights.select("date", seen=slept < RECOMMENDED_MINUTES)
    rows = [_sign(LOW_MOOD, rated, today), _sign(SHORT_SLEEP, short, today)]
    return pl.concat([pl.DataFrame(schema=SIGNS), *rows])


def opens_again(closed: dt.date) -> dt.date:
    """The day on which a closed box opens again: the same day of the next month, or its last day.

    >>> opens_again(dt.date(2025, 12, 14)), opens_again(dt.date(2025, 1, 31))
    (datetime.date(2026, 1, 14), datetime.date(2025, 2, 28))
    """
    return closed + relativedelta(months=1)


def unclosed(signs: pl.DataFrame, closed: Mapping[str, dt.date], *, today: dt.date) -> pl.DataFrame:
    """The rows of `signs` that were not closed within the month up to `today`.

    In: `closed`, subject to the day it was closed on. Subjects are closed separately, so a new one still shows. A day
    after `today` has no effect: it was written under another clock. Raises nothing.

    >>> rows = pl.DataFrame({"subject": ["mood", "sleep"]})
    >>> unclosed(rows, {"mood": dt.date(2025, 12, 14)}, today=dt.date(2026, 1, 13)).get_column("subject").to_list()
    ['sleep']
    """
    still_closed = [subject for subject, on in closed.items() if on <= today < opens_again(on)]
    return signs.filter(~pl.col("subject").is_in(still_closed))


def _sign(rule: CareRule, noted: pl.DataFrame, today: dt.date) -> pl.DataFrame:
    """One row of `SIGNS`, or none. The window holds the newest recorded days, within twice its length."""
    first = today - dt.timedelta(days=2 * rule.window - 1)
    window = noted.filter(pl.col("date").is_between(first, today)).sort("date").tail(rule.window)
    dates = window.filter(pl.col("seen")).get_column("date").to_list()
    if window.height < rule.window or len(dates) < rule.needed:
        return pl.DataFrame(schema=SIGNS)
    row = {
        "subject": rule.subject,
        "from": window.get_column("date")[0],
        "to": window.get_column("date")[-1],
        "n": rule.window,
        "seen": len(dates),
        "needed": rule.needed,
        "dates": dates,
        "text": _(rule.text, seen=len(dates), n=rule.window, hours=_HOURS),
        "threshold": _(rule.threshold, hours=_HOURS),
        "source": _(rule.source),
    }
    return pl.DataFrame([row], schema=SIGNS)


def first_low_stretch(
    days: pl.DataFrame, *, first: dt.date, last: dt.date, low: float = 1, high: float = 5
) -> dt.date | None:
    """The first day, from `first` to `last`, on which `signs` has a sign in mood; None without one.

    >>> dates = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 14), eager=True)
    >>> days = pl.DataFrame({"date": dates, "mood": [2.0, 1.0] * 6 + [3.0, 2.0]})
    >>> first_low_stretch(days, first=dt.date(2025, 3, 1), last=dt.date(2025, 3, 31))
    datetime.date(2025, 3, 14)
    """
    low_on = low_days(days, first=first, last=last, low=low, high=high).get
    found = mood_levels.first_low_stretch(low_on, first=first.toordinal(), last=last.toordinal())
    return None if found is None else dt.date.fromordinal(found)


def low_days(days: pl.DataFrame, *, first: dt.date, last: dt.date, low: float = 1, high: float = 5) -> dict[int, bool]:
    """Whether each mood is low that a low stretch from `first` to `last` hangs on, by the ordinal of its day.

    In: `Tables.days` (date, mood). Days without a mood are left out.

    >>> days = pl.DataFrame({"date": [dt.date(1, 1, 3), dt.date(1, 1, 4), dt.date(1, 1, 5)], "mood": [2.0, None, 3.0]})
    >>> low_days(days, first=dt.date(1, 1, 4), last=dt.date(1, 1, 9))
    {3: True, 5: False}
    """
    oldest = dt.date.fromordinal(max(1, first.toordinal() - 2 * LOW_MOOD.window + 1))
    noted = days.filter(pl.col("mood").is_not_null(), pl.col("date").is_between(oldest, last))
    position = _position(low, high)
    return dict(noted.select(_EPOCH + pl.col("date").to_physical(), position <= LOW_UP_TO).iter_rows())


def _position(low: float, high: float) -> pl.Expr:
    return (pl.col("mood") - low) / (high - low)
