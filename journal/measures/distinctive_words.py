"""Words that came up more in some stretch of days than in the rest of the journal.

Log-odds ratios with an informative Dirichlet prior: Monroe, B. L., Colaresi, M. P. and Quinn, K. M. (2008), "Fightin'
Words", Political Analysis 16, 372-403, section 3.5.1 (section and formulas from memory). With y a word's count and n
the count of all words in i (the stretch) and in j (the rest), prior counts a of the word and a0 of all words together:

    d = log((yi + a) / (ni + a0 - yi - a)) - log((yj + a) / (nj + a0 - yj - a))
    variance of d, about 1 / (yi + a) + 1 / (yj + a);  z = d / sqrt(variance)

The prior says what is expected of any stretch: the journal's own words in their own proportions, a = a0 (yi + yj) / (ni
+ nj). Rare words are so drawn towards no difference, and a word written twice does not come first because it is rare.
"""

from __future__ import annotations

import datetime as dt
import functools
import importlib.resources
from collections.abc import Collection

import polars as pl

WORDS = {
    "word": pl.String,
    "count": pl.Int64,
    "days": pl.Int64,
    "rest": pl.Int64,
    "log_odds": pl.Float64,
    "z": pl.Float64,
    "new": pl.Boolean,
    "dates": pl.List(pl.Date),
}

CLEAR_Z = 1.96
"""A word stands out from here on: 95 % of a standard normal lie nearer to zero."""
LEAST_DAYS = 2
"""A word stands out when it was written on as many days at least: one long line is no theme."""

# A word is letters with their marks, with apostrophes inside: what Unicode calls L and M. Digits are none.
_WORD = r"\p{L}[\p{L}\p{M}]*(?:['’]\p{L}[\p{L}\p{M}]*)*"


@functools.cache
def stop_words() -> frozenset[str]:
    """Words of English that say little by themselves, from the list beside this module, which says how it was made.

    >>> "the" in stop_words(), "paper" in stop_words()
    (True, False)
    """
    text = importlib.resources.files("journal.measures").joinpath("stop_words.txt").read_text("utf-8")
    return frozenset(word for line in text.splitlines() if not line.startswith("#") for word in line.split())


def words(recorded: pl.DataFrame, *, leave_out: Collection[str] = ()) -> pl.DataFrame:
    """Every word of every line.

    In: `Tables.lines` (date, text); `leave_out`, words of the writer's own that say little. Out: date (Date), word
    (String), a row each time it was written, in the order of the lines. A word is a run of letters of any script, in
    small letters, without an 's at its end; words of `stop_words` and `leave_out` are not there, nor are single
    letters. A script that sets no spaces between words gives whole phrases for words.

    >>> said = pl.DataFrame({"date": [dt.date(2025, 3, 14)], "text": ["The baker’s bread, and Čas 12."]})
    >>> words(said, leave_out=["Čas"]).get_column("word").to_list()
    ['baker', 'bread']
    """
    left_out = list(stop_words() | _own(leave_out))
    word = pl.col("word")
    return (
        recorded.select("date", _plain(pl.col("text")).str.extract_all(_WORD).alias("word"))
        .explode("word")
        .filter(~word.is_in(left_out))
        .with_columns(word.str.replace(r"'s$", ""))
        .filter(word.is_not_null(), word.str.len_chars() > 1, ~word.is_in(left_out))
    )


def _plain(text: pl.Expr) -> pl.Expr:
    return text.str.normalize("NFC").str.to_lowercase().str.replace_all("’", "'")


def _own(leave_out: Collection[str]) -> frozenset[str]:
    return frozenset(
        pl.DataFrame({"word": list(leave_out)}, schema={"word": pl.String}).select(_plain(pl.col("word"))).to_series()
    )


def compared(
    recorded: pl.DataFrame,
    *,
    first: dt.date,
    last: dt.date,
    leave_out: Collection[str] = (),
    prior_words: float | None = None,
) -> pl.DataFrame:
    """The words of a stretch of days against those of all other days.

    In: `Tables.lines` (date, text), all of the journal up to the day that is meant; the stretch, both ends included;
    `leave_out` as in `words`; `prior_words`, a0 (left out: as many words as the stretch itself has, so that half of
    what is believed of a stretch is the journal and half its own words; our choice). Out: `WORDS`, a row per word of
    the stretch, by z from the highest, equal ones by word:

    - word, count (Int64, in the stretch), days (Int64, of the stretch it is on), rest (Int64, on all other days)
    - log_odds, z (Float64, as above; null where there are no words on other days, with which to compare)
    - new (Boolean: it is on no day before the stretch, and there are words before it), dates (its days in the stretch)

    >>> texts = ["Glue and paper.", "Paper again.", "Frost, frost.", "Frost on paper."]
    >>> dates = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 4), eager=True)
    >>> said = pl.DataFrame({"date": dates, "text": texts})
    >>> compared(said, first=dt.date(2025, 3, 3), last=dt.date(2025, 3, 4)).select(
    ...     "word", "count", "rest", pl.col("z").round(2), "new").rows()
    [('frost', 3, 0, 1.67, True), ('paper', 1, 2, -0.99, False)]
    """
    said = words(recorded, leave_out=leave_out)
    inside = pl.col("date").is_between(first, last)
    counts = said.group_by("word").agg(
        inside.sum().cast(pl.Int64).alias("count"),
        (~inside).sum().cast(pl.Int64).alias("rest"),
        (pl.col("date") < first).any().alias("before"),
        pl.col("date").filter(inside).unique().sort().alias("dates"),
    )
    in_it = said.filter(inside).height
    elsewhere = said.height - in_it
    begun = said.filter(pl.col("date") < first).height > 0
    prior = float(in_it if prior_words is None else prior_words)
    return (
        _odds(counts, in_it, elsewhere, prior)
        .filter(pl.col("count") > 0)
        .with_columns(days=pl.col("dates").list.len().cast(pl.Int64), new=pl.lit(begun) & ~pl.col("before"))
        .sort(pl.col("z"), "word", descending=[True, False], nulls_last=True)
        .select(*WORDS)
        .cast(WORDS)  # type: ignore[arg-type]
    )


def _odds(counts: pl.DataFrame, in_it: int, elsewhere: int, prior: float) -> pl.DataFrame:
    """Add log_odds and z; null without a prior or without words to compare with."""
    y, rest = pl.col("count"), pl.col("rest")
    known = prior > 0 and in_it > 0 and elsewhere > 0
    a = prior * (y + rest) / max(in_it + elsewhere, 1)
    odds = ((y + a) / (in_it + prior - y - a)).log() - ((rest + a) / (elsewhere + prior - rest - a)).log()
    # A journal of one single word has no odds: everything is that word.
    known = known and counts.height > 1
    return counts.with_columns(
        log_odds=pl.when(known).then(odds), z=pl.when(known).then(odds / (1 / (y + a) + 1 / (rest + a)).sqrt())
    )


def standing_out(compared: pl.DataFrame, *, most: int = 12) -> pl.DataFrame:
    """The words that are new or frequent in a stretch: those with a z of `CLEAR_Z` or more, on `LEAST_DAYS` days or
    more, at most so many.

    In and out: the frame of `compared`. With a handful of pages hardly a word stands out, and with hundreds of words
    some do by chance: this is for reading again, not for concluding.

    >>> frame = pl.DataFrame({"word": ["frost", "glue", "rain"], "z": [2.5, 2.1, 0.4], "days": [3, 1, 9]})
    >>> standing_out(frame).get_column("word").to_list()
    ['frost']
    """
    return compared.filter(pl.col("z") >= CLEAR_Z, pl.col("days") >= LEAST_DAYS).head(most)
