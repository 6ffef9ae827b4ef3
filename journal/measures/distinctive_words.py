"""Words that are more frequent in one span of days than in the rest of the journal.

Log-odds ratios with an informative Dirichlet prior: Monroe, B. L., Colaresi, M. P. and Quinn, K. M. (2008), "Fightin'
Words", Political Analysis 16, 372-403, section 3.5.1 (section and formulas from memory). i is the span and j is
the rest. y is the count of a word, n the count of all words. a is the prior count of the word, a0 of all words:

    d = log((yi + a) / (ni + a0 - yi - a)) - log((yj + a) / (nj + a0 - yj - a))
    variance of d, about 1 / (yi + a) + 1 / (yj + a);  z = d / sqrt(variance)

The prior has the journal's own words in their own proportions: a = a0 (yi + yj) / (ni + nj). It shrinks the log-odds of
rare words towards zero, so a word that occurs twice does not rank first only because it is rare.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

import polars as pl

from journal.measures import stop_words

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
"""The least z of a distinctive word: 95 % of a standard normal distribution is nearer to zero."""
LEAST_DAYS = 2
"""The least number of days of a distinctive word: one long line is not a theme."""

# A word is a run of letters and combining marks (Unicode categories L and M), apostrophes inside included; no digits.
_WORD = r"\p{L}[\p{L}\p{M}]*(?:['’]\p{L}[\p{L}\p{M}]*)*"


def words(recorded: pl.DataFrame, *, leave_out: Collection[str] = (), language: str = "en") -> pl.DataFrame:
    """Every word of every line, without stop words.

    In: `Tables.lines` (date, text); `leave_out`, further stop words from the writer's settings; `language`, the code of
    the journal's language. Out: date (Date), word (String), a row per occurrence, in the order of the lines. A word is
    a run of letters of any script, lower-cased, without a final 's. The stop words of the language of each line
    (`stop_words`), `leave_out`, and single letters are excluded. In a script without spaces between words, a whole
    phrase counts as one word.

    >>> recorded = pl.DataFrame({"date": [dt.date(2025, 3, 14)], "text": ["The baker’s bread, and Čas 12."]})
    >>> words(recorded, leave_out=["Čas"]).get_column("word").to_list()
    ['baker', 'bread']
    """
    word = pl.col("word")
    written = (
        recorded.with_row_index("line")
        .select("line", "date", _normal_form(pl.col("text")).str.extract_all(_WORD).alias("word"))
        .explode("word")
        .filter(word.is_not_null())
    )
    is_left_out = stop_words.is_stop_word() | word.is_in(list(_normalised(leave_out)))
    return (
        stop_words.with_language(written, language=language)
        .filter(~is_left_out)
        .with_columns(word.str.replace(r"'s$", ""))
        .filter(word.str.len_chars() > 1, ~is_left_out)
        .select("date", "word")
    )


def _normal_form(text: pl.Expr) -> pl.Expr:
    return text.str.normalize("NFC").str.to_lowercase().str.replace_all("’", "'")


def _normalised(leave_out: Collection[str]) -> frozenset[str]:
    frame = pl.DataFrame({"word": list(leave_out)}, schema={"word": pl.String})
    return frozenset(frame.select(_normal_form(pl.col("word"))).to_series())


def compared(
    recorded: pl.DataFrame,
    *,
    first: dt.date,
    last: dt.date,
    leave_out: Collection[str] = (),
    language: str = "en",
    prior_words: float | None = None,
) -> pl.DataFrame:
    """The words of a span of days, compared with those of all other days.

    In: `Tables.lines` (date, text), up to the last day of interest; `first` and `last`, the ends of the span, both
    inclusive; `leave_out` and `language` as in `words`; `prior_words`, a0. The default a0 is the number of words in the
    span, so the prior and the span have equal weight (our choice). Out: `WORDS`, a row per word of the span, by z from
    the highest, ties by word:

    - word, count (Int64, in the span), days (Int64, days of the span with the word), rest (Int64, on all other days)
    - log_odds, z (Float64, as above; null where other days have no words to compare with)
    - new (Boolean: the word is on no day before the span, and there are words before the span), dates (its days in the
      span)

    >>> texts = ["Glue and paper.", "Paper again.", "Frost, frost.", "Frost on paper."]
    >>> dates = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 4), eager=True)
    >>> recorded = pl.DataFrame({"date": dates, "text": texts})
    >>> compared(recorded, first=dt.date(2025, 3, 3), last=dt.date(2025, 3, 4)).select(
    ...     "word", "count", "rest", pl.col("z").round(2), "new").rows()
    [('frost', 3, 0, 1.67, True), ('paper', 1, 2, -0.99, False)]
    """
    written = words(recorded, leave_out=leave_out, language=language)
    inside = pl.col("date").is_between(first, last)
    counts = written.group_by("word").agg(
        inside.sum().cast(pl.Int64).alias("count"),
        (~inside).sum().cast(pl.Int64).alias("rest"),
        (pl.col("date") < first).any().alias("before"),
        pl.col("date").filter(inside).unique().sort().alias("dates"),
    )
    in_span = written.filter(inside).height
    elsewhere = written.height - in_span
    has_earlier = written.filter(pl.col("date") < first).height > 0
    prior = float(in_span if prior_words is None else prior_words)
    return (
        _with_odds(counts, in_span, elsewhere, prior)
        .filter(pl.col("count") > 0)
        .with_columns(days=pl.col("dates").list.len().cast(pl.Int64), new=pl.lit(has_earlier) & ~pl.col("before"))
        .sort(pl.col("z"), "word", descending=[True, False], nulls_last=True)
        .select(*WORDS)
        .cast(WORDS)  # type: ignore[arg-type]
    )


def _with_odds(counts: pl.DataFrame, in_span: int, elsewhere: int, prior: float) -> pl.DataFrame:
    """Add log_odds and z; null without a prior, or without words to compare with."""
    y, rest = pl.col("count"), pl.col("rest")
    known = prior > 0 and in_span > 0 and elsewhere > 0
    a = prior * (y + rest) / max(in_span + elsewhere, 1)
    odds = ((y + a) / (in_span + prior - y - a)).log() - ((rest + a) / (elsewhere + prior - rest - a)).log()
    # If the journal has only one distinct word, the odds divide by zero.
    known = known and counts.height > 1
    return counts.with_columns(
        log_odds=pl.when(known).then(odds), z=pl.when(known).then(odds / (1 / (y + a) + 1 / (rest + a)).sqrt())
    )


def standing_out(compared: pl.DataFrame, *, most: int = 12) -> pl.DataFrame:
    """The distinctive words of a span: z of at least `CLEAR_Z`, on at least `LEAST_DAYS` days, at most `most` of them.

    In and out: the frame of `compared`. With a few pages hardly any word qualifies. With hundreds of words some qualify
    by chance. The list helps to read again; it supports no conclusion.

    >>> frame = pl.DataFrame({"word": ["frost", "glue", "rain"], "z": [2.5, 2.1, 0.4], "days": [3, 1, 9]})
    >>> standing_out(frame).get_column("word").to_list()
    ['frost']
    """
    return compared.filter(pl.col("z") >= CLEAR_Z, pl.col("days") >= LEAST_DAYS).head(most)
