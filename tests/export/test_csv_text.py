"""CSV is text for spreadsheets, and unchanged text for readers of RFC 4180."""

from __future__ import annotations

import csv
import io
import re

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.export.csv_text import as_csv

WRITTEN = st.text(alphabet=st.sampled_from("=+-@\t\r\n\"',;| ab1ž＝"), max_size=12)
# "CSV Injection" of OWASP: signs that begin a formula, and separators that may begin a cell.
RUN = tuple("=+-@\t\r\n＝＋－＠")
BEGUN = re.compile('(?:^|[,;|\t\r\n"]) *[=+@＝＋－＠-]')


def cells(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline="")))


@given(st.lists(WRITTEN, min_size=1, max_size=4))
def test_no_part_of_a_text_begins_a_formula_and_the_rest_is_unchanged(texts: list[str]) -> None:
    frame = pl.DataFrame({"date": ["2025-03-14"] * len(texts), "text": texts})
    rows = cells(as_csv(frame, "\r\n"))
    assert [len(row) for row in rows] == [2] * (1 + len(texts))
    for (_, found), typed in zip(rows[1:], texts, strict=True):
        assert not found.startswith(RUN)
        assert not BEGUN.search(found)
        assert found.replace("'", "") == typed.replace("'", "")


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("=1+1", "'=1+1"),
        # With ";" as separator, or "'" as quote, the second part would be a cell of its own.
        ("ink;=1+1", "ink;'=1+1"),
        ('a "=1+1"', 'a "\'=1+1"'),
        ("'=1+1", "''=1+1"),
        ("  -2", "'  -2"),
        ("first\n@second", "first\n'@second"),
        ("well-kept, and 3 + 4 = 7", "well-kept, and 3 + 4 = 7"),
    ],
)
def test_formulas_get_an_apostrophe_where_they_begin(typed: str, written: str) -> None:
    assert cells(as_csv(pl.DataFrame({"text": [typed]}))) == [["text"], [written]]


def test_it_conforms_to_rfc_4180() -> None:
    """Section 2: lines end in CRLF; cells with a comma, quote or line break are quoted, with doubled quotes."""
    frame = pl.DataFrame({"text": ['a "b", c', "d\ne", "f\rg", "", None], "n": [-1.5, 0.0, 1e-7, None, 2.0]})
    assert as_csv(frame, "\r\n") == ('text,n\r\n"a ""b"", c",-1.5\r\n"d\ne",0.0\r\n"f\rg",1e-7\r\n"",\r\n,2.0\r\n')
