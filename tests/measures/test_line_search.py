"""Line queries: counts by month, lines of this day in earlier years, and full-text search."""

from __future__ import annotations

import calendar
import datetime as dt
import unicodedata

import polars as pl
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from journal.errors import UsageError
from journal.measures.line_search import by_month, fold, on_this_day, search

DAY = dt.date(2025, 3, 14)
SCHEMA = {"date": pl.Date, "kind": pl.String, "position": pl.Int32, "text": pl.String}


def written(*lines: tuple[dt.date, str, str]) -> pl.DataFrame:
    rows = [(date, kind, i, text) for i, (date, kind, text) in enumerate(lines)]
    return pl.DataFrame(rows, schema=SCHEMA, orient="row")


def hits(text: str, wanted: str, where: str = "anywhere") -> list[str]:
    found = search(written((DAY, "note", text)), wanted, where=where)  # type: ignore[arg-type]
    return [text[span["start"] : span["end"]] for spans in found.get_column("spans") for span in spans]


def test_months_without_lines_have_rows_of_zeros() -> None:
    lines = written(
        (dt.date(2024, 12, 31), "memory", "a"), (dt.date(2025, 2, 1), "note", "b"), (dt.date(2025, 2, 1), "note", "c")
    )
    assert by_month(lines).select("period", "gratitude", "memory", "note", "days").rows() == [
        ("2024-12", 0, 1, 0, 1), ("2025-01", 0, 0, 0, 0), ("2025-02", 0, 0, 2, 1),
    ]  # fmt: skip
    assert by_month(written()).is_empty()


LEAP = [dt.date(year, month, day) for year in (2020, 2021, 2023, 2024) for month, day in ((2, 28), (3, 1))]
LEAP += [dt.date(2020, 2, 29), dt.date(2024, 2, 29)]


@pytest.mark.parametrize(
    ("today", "remembered"),
    [
        (dt.date(2025, 2, 28), ["2024-02-28", "2024-02-29", "2023-02-28", "2021-02-28", "2020-02-28", "2020-02-29"]),
        (dt.date(2028, 2, 28), ["2024-02-28", "2023-02-28", "2021-02-28", "2020-02-28"]),
        (dt.date(2028, 2, 29), ["2024-02-29", "2020-02-29"]),
        (dt.date(2024, 2, 29), ["2020-02-29"]),
        (dt.date(2025, 3, 1), ["2024-03-01", "2023-03-01", "2021-03-01", "2020-03-01"]),
        (dt.date(2020, 2, 28), []),
    ],
)
def test_lines_of_29_february_appear_in_other_years(today: dt.date, remembered: list[str]) -> None:
    found = on_this_day(written(*((date, "memory", "m") for date in LEAP)), today)
    assert [date.isoformat() for date in found.get_column("date")] == remembered
    assert found.get_column("years").to_list() == [today.year - int(date[:4]) for date in remembered]


@settings(max_examples=20, deadline=None)
@given(st.dates(dt.date(2000, 1, 1), dt.date(2030, 12, 31)))
@example(dt.date(2024, 2, 29))
def test_a_line_appears_once_in_every_later_year(date: dt.date) -> None:
    lines = written((date, "memory", "m"))
    for year in (date.year + 1, date.year + 4):
        month = [dt.date(year, date.month, day) for day in range(1, calendar.monthrange(year, date.month)[1] + 1)]
        assert sum(on_this_day(lines, day).height for day in month) == 1


def test_search_ignores_case_and_accents_and_returns_the_original_text() -> None:
    assert hits("Žena s ČOPIČEM, žeNA.", "zena") == ["Žena", "žeNA"]
    assert hits("zena", "ŽENA") == ["zena"]
    assert hits("Große Straße", "STRASSE") == ["Straße"]
    assert hits("The ﬁrst ﬁle", "first") == ["ﬁrst"]
    assert hits("Đorđe and Ørsted", "dorde") == ["Đorđe"]
    assert hits(unicodedata.normalize("NFD", "Ana, Žana."), "zana") == [unicodedata.normalize("NFD", "Žana")]
    assert hits("It's hers", "IT’S") == ["It's"]
    assert hits("guest  \n book", "Guest book") == ["guest  \n book"]


def test_word_starts() -> None:
    assert hits("Paper, notepaper and a paperweight.", "paper") == ["Paper", "paper", "paper"]
    assert hits("Paper, notepaper and a paperweight.", "paper", "word start") == ["Paper", "paper"]
    assert hits("cut-paper (paper)", "paper", "word start") == ["paper", "paper"]
    assert hits("a žepič", "epic", "word start") == []


def test_an_empty_query_matches_nothing_and_special_characters_are_literal() -> None:
    for wanted in ("", "  ", "\N{COMBINING ACUTE ACCENT}"):
        assert search(written((DAY, "note", "A line.")), wanted).is_empty()
    assert hits("1 + 1 = (2)", "(2") == ["(2"]
    assert search(written(), "a").schema["spans"] == pl.List(pl.Struct({"start": pl.Int64, "end": pl.Int64}))
    with pytest.raises(UsageError, match='write "anywhere" or "word start"'):
        search(written(), "a", where="end")  # type: ignore[arg-type]


letters = st.text(st.sampled_from("aAáßščČ ﬁđ'’-.\n\N{COMBINING CARON}z"), max_size=14)


@settings(max_examples=300, deadline=None)
@given(letters, letters)
def test_search_matches_exactly_the_texts_that_contain_the_query(text: str, wanted: str) -> None:
    """A text matches exactly if its folded form with single spaces contains the query; matches fold to the query."""
    needle, plain = " ".join(fold(wanted).split()), " ".join(fold(text).split())
    found = hits(text, wanted)
    assert bool(found) == bool(needle and needle in plain)
    for match in found:
        assert needle in " ".join(fold(match).split())
        assert len(match) <= len(text)
