"""Distinctive words: the formula against a slow loop, a value worked by hand, and the definition of a word."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections import Counter
from pathlib import Path

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal.measures.distinctive_words import compared, standing_out, words
from tests import journals

FIRST = dt.date(2025, 3, 1)
FEBRUARY = FIRST - dt.timedelta(days=28)


def lines_of(*texts: str) -> pl.DataFrame:
    """One line per day, the first on 1 March."""
    dates = [FIRST + dt.timedelta(days=i) for i in range(len(texts))]
    return pl.DataFrame({"date": dates, "text": texts}, schema={"date": pl.Date, "text": pl.String})


def words_of(*texts: str) -> list[str]:
    return words(lines_of(*texts)).get_column("word").to_list()


def test_a_worked_value() -> None:
    """By hand: in the span glue 4, paper 2 of 6 words; elsewhere glue 1, paper 5 of 6; a0 = 12, so a is 5 for glue and
    7 for paper. d = log(9 / 9) - log(6 / 12) = log 2; variance 1/9 + 1/6 = 5/18; z = log 2 / sqrt(5/18)."""
    lines = lines_of("glue glue paper", "glue glue paper", "glue paper paper", "paper paper paper")
    found = compared(lines, first=FIRST, last=FIRST + dt.timedelta(days=1), prior_words=12)
    glue, paper = found.rows(named=True)
    assert (glue["word"], glue["count"], glue["rest"], glue["days"]) == ("glue", 4, 1, 2)
    assert glue["log_odds"] == pytest.approx(math.log(2))
    assert glue["z"] == pytest.approx(math.log(2) / math.sqrt(5 / 18))
    # With two words, the odds of the second are the inverse of the first, with another variance (1/9 + 1/12).
    assert paper["log_odds"] == pytest.approx(-math.log(2))
    assert paper["z"] == pytest.approx(-math.log(2) / math.sqrt(7 / 36))


vocabulary = st.lists(st.sampled_from(["glue", "paper", "thread", "frost"]), max_size=9).map(" ".join)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(vocabulary, min_size=1, max_size=8), st.integers(0, 7), st.integers(0, 7), st.none() | st.integers(1, 50)
)
def test_against_a_slow_loop(texts: list[str], first: int, last: int, prior: int | None) -> None:
    lines = lines_of(*texts)
    inside, outside, before = Counter[str](), Counter[str](), Counter[str]()
    for i, text in enumerate(texts):
        for word in text.split():
            (inside if first <= i <= last else outside)[word] += 1
            before[word] += i < first
    found = compared(
        lines,
        first=FIRST + dt.timedelta(days=first),
        last=FIRST + dt.timedelta(days=last),
        prior_words=prior,
    )
    assert set(found.get_column("word")) == set(inside)
    n, m = inside.total(), outside.total()
    a0 = n if prior is None else prior
    for row in found.rows(named=True):
        word = row["word"]
        assert (row["count"], row["rest"]) == (inside[word], outside[word])
        assert row["new"] == (before.total() > 0 and before[word] == 0)
        if m == 0 or len(inside | outside) == 1:
            assert row["z"] is row["log_odds"] is None
            continue
        a = a0 * (inside[word] + outside[word]) / (n + m)
        here = math.log((inside[word] + a) / (n + a0 - inside[word] - a))
        there = math.log((outside[word] + a) / (m + a0 - outside[word] - a))
        assert row["log_odds"] == pytest.approx(here - there)
        assert row["z"] == pytest.approx((here - there) / math.sqrt(1 / (inside[word] + a) + 1 / (outside[word] + a)))
    shuffled = compared(
        lines.reverse(), first=FIRST + dt.timedelta(days=first), last=FIRST + dt.timedelta(days=last), prior_words=prior
    )
    assert shuffled.equals(found, null_equal=True)


def test_words_of_any_script_are_lower_cased() -> None:
    assert words_of("ŽENA, čopič; naïve 42 3rd x") == ["žena", "čopič", "naïve", "rd"]
    assert words_of("Cafe\N{COMBINING ACUTE ACCENT} café") == ["café", "café"]
    assert words_of("हिन्दी Ελλάδα") == ["हिन्दी", "ελλάδα"]
    assert words_of("The baker’s and Mira's; don’t, it’s, o’clock") == ["baker", "mira", "o'clock"]


def test_stop_words_come_from_the_list_and_the_settings(tmp_path: Path) -> None:
    assert words_of("This is what we had on Tuesday in March") == []
    journals.write(tmp_path, {FIRST: {"memory": "Got GLUE, got paper."}}, lines={"stop_words": ["GOT", "Glue"]})
    book = journal.open(tmp_path, today=FIRST, cache=False)
    assert not book.problems
    own = book.settings.lines.stop_words
    assert words(book.tables.lines, leave_out=own).get_column("word").to_list() == ["paper"]


def test_too_few_words_give_no_distinctive_words() -> None:
    assert compared(lines_of(), first=FIRST, last=FIRST).is_empty()
    assert standing_out(compared(lines_of("Glue."), first=FIRST, last=FIRST)).is_empty()
    alone = compared(lines_of("Glue glue glue.", "Glue."), first=FIRST, last=FIRST)
    assert alone.select("word", "z").rows() == [("glue", None)]
    assert compared(lines_of("Glue."), first=FEBRUARY, last=FEBRUARY).is_empty()


def test_the_distinctive_words_of_march_in_the_example_year() -> None:
    """A challenge of thirty letters ran in March, so "letter" is a distinctive word of that month."""
    book = journal.open("example_year", today=dt.date(2025, 12, 31), cache=False)
    march = compared(book.tables.lines, first=FIRST, last=dt.date(2025, 3, 31))
    letter = march.row(0, named=True)
    assert (letter["word"], letter["count"], letter["rest"]) == ("letter", 8, 6)
    texts = [text.lower() for text in book.tables.lines.filter(pl.col("date").dt.month() == 3).get_column("text")]
    assert sum(len(re.findall(r"\bletter\b", text)) for text in texts) == 8
    assert 0 < standing_out(march).height <= 12
