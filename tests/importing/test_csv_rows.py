"""Splitting of a table's text into cells: every dialect, the examples of RFC 4180, and broken rows."""

from __future__ import annotations

import csv
import datetime as dt
import io
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.errors import UsageError
from journal.importing import csv_rows, source_file
from journal.importing.csv_rows import CsvRow, read
from tests.importing.tables import by_day, journal_in, read_values, texts


def cells(text: str) -> list[list[str]]:
    return [row.cells for row in read("t.csv", text, bool).rows]


# RFC 4180 (Shafranovich 2005), section 2: rules 1, 2, 4 and 5 as printed there, 6 and 7 from memory. The RFC's rows
# are below a row of headings here, because a table without one is rejected.
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        ('"aaa","bbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        ('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "b\r\nbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        ('"aaa","b""bb","ccc"', [["aaa", 'b"bb', "ccc"]]),
        (" aaa ,bbb,ccc", [[" aaa ", "bbb", "ccc"]]),
    ],
)
def test_the_examples_of_the_rfc(text: str, expected: list[list[str]]) -> None:
    assert cells("field_name,field_name,field_name\r\n" + text) == expected


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_separators_and_line_ends(separator: str, end: str) -> None:
    text = end.join(
        [separator.join(row) for row in (["date", "mood", "note"], ["2025-03-14", "4", ""], ["2025-03-15"])]
    )
    table = read("t.csv", text + end + end, bool)
    assert table.separator == separator
    assert table.rows == [CsvRow(2, ["2025-03-14", "4", ""]), CsvRow(3, ["2025-03-15", "", ""])]
    assert not table.problems


def test_the_separator_is_the_one_that_gives_known_headings() -> None:
    table = read("t.csv", "date;mood;walk, rain, bread, and thread\n", {"date", "mood"}.__contains__)
    assert table.headings == ["date", "mood", "walk, rain, bread, and thread"]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_encodings(encoding: str) -> None:
    mark = "\ufeff" if encoding.endswith(("-le", "-be")) else ""
    assert source_file.text("t.csv", (mark + "date;Žiga, 散歩\n").encode(encoding)) == "date;Žiga, 散歩\n"


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (b"PK\x03\x04\x14", "is a workbook (such as .xlsx or .ods); save its sheet as CSV and name that file"),
        (b"date;mood\nf\xfcnf", "is no text in UTF-8 (line 2 has the byte 0xFC); save it as CSV in UTF-8"),
        (b"", "is empty; name a table with a row of headings"),
        (b" \r\n", "is empty"),
        (b"da\0te", "is no text"),
        (b"\xff\xfea", "is no text in UTF-8"),
    ],
)
def test_files_that_are_not_tables_are_rejected(data: bytes, expected: str) -> None:
    with pytest.raises(UsageError) as refused:
        source_file.text("t.csv", data)
    assert str(refused.value).startswith(f'"t.csv" {expected}')


def test_a_row_that_is_too_long_affects_only_itself() -> None:
    """A decimal comma in a table with commas would shift all following cells."""
    table = read("t.csv", "date,mood,energy\n2025-03-13,3,5,2\n2025-03-14,4,3,,\n", bool)
    assert table.rows == [CsvRow(3, ["2025-03-14", "4", "3"])]
    assert texts(table.problems) == [
        (
            "t.csv:2:4: expected 3 cells, as many as headings, got 4; "
            "put a cell that has the separator in its text in quotes; the row is left out"
        )
    ]


def test_an_unclosed_quote_affects_only_its_row() -> None:
    table = read("t.csv", 'date,note\n1,a\n2,"b\n3,c\n4,"d"\n5,"e"x\n6,f\n', bool)
    assert table.rows == [CsvRow(2, ["1", "a"]), CsvRow(4, ["3", "c"]), CsvRow(5, ["4", "d"]), CsvRow(7, ["6", "f"])]
    assert [(problem.line, problem.expected) for problem in table.problems] == [
        (3, "a separator behind a closing quote"),
        (6, "a separator behind a closing quote"),
    ]
    last = read("t.csv", 'date,note\n1,"a\n2,b\n', bool)
    assert last.rows == [CsvRow(3, ["2", "b"])] and last.problems[0].expected == "a closing quote"


def test_a_file_of_broken_quotes_is_rejected_early() -> None:
    with pytest.raises(UsageError, match="more than 100 rows with broken quotes"):
        read("t.csv", "date,note\n" + '1,"a\n2,"b"c\n' * 101, bool)


def test_too_many_cells_are_rejected(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_rows, "CELLS_LIMIT", 7)
    with pytest.raises(UsageError, match="more than 7 cells; divide it"):
        cells("a,b\n" * 4)


def test_too_many_columns_are_rejected() -> None:
    with pytest.raises(UsageError, match="more than 500 columns; write one row a day"):
        cells("date" + ",mood" * 500 + "\n")


def test_too_large_a_file_is_rejected(tmp_path: Path) -> None:
    (tmp_path / "t.csv").write_bytes(b"x" * 11)
    with pytest.raises(UsageError, match="at most 0 are read; divide it"):
        source_file.content(tmp_path / "t.csv", 10)


# No apostrophe: one before a sign can be the export's own, and is removed (test_cells).
WORDS = st.text(st.sampled_from('abž, ;"\t=-\n#'), max_size=8).map(str.strip)
LINES = st.lists(WORDS.map(lambda text: " ".join(text.split())).filter(bool), max_size=3)
DAYS = st.dictionaries(
    st.dates(dt.date(2025, 3, 3), dt.date(2025, 3, 16)),
    st.fixed_dictionaries(
        {},
        optional={
            "mood": st.sampled_from([1, 2, 3, 4.5, 5]),
            "memory": WORDS.filter(bool),
            "gratitude": LINES.filter(bool),
            "habits.walk": st.sampled_from([True, False, "rest"]),
            "habits.read": st.sampled_from([0, 1, 12.5, 20, "rest", True, False]),
            "challenges.letters": st.booleans(),
            "weather.high": st.sampled_from([-3, 0, 21.5]),
        },
    ),
    max_size=4,
)
MARKS = {True: "yes", False: "no", "rest": "rest"}


def cell(name: str, value: Any, comma: bool) -> str:
    if name == "gratitude":
        return "\n".join(value)
    if isinstance(value, bool) or value == "rest":
        return MARKS[value]
    return str(value).replace(".", ",") if comma and isinstance(value, float) else str(value)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return journal_in(tmp_path_factory.mktemp("journal") / "small")


@settings(max_examples=60)
@given(
    DAYS, st.sampled_from([",", ";", "\t"]), st.sampled_from(["\n", "\r\n"]), st.sampled_from(["utf-8-sig", "utf-16"]),
    st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]), st.booleans(),
)  # fmt: skip
def test_any_table_of_days_survives_a_round_trip(  # noqa: PLR0917
    folder: Path, days: dict[dt.date, Any], separator: str, end: str, encoding: str, quoting: Any, spread: bool
) -> None:
    """In any dialect, with the lines of a list in one cell or in a column each."""
    names = ["mood", "memory", "habits.walk", "habits.read", "challenges.letters", "weather.high"]
    lists = [f"Gratitude {i}" for i in (1, 2, 3)] if spread else ["gratitude"]
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator=end, quoting=quoting)
    writer.writerow(["date", *names, *lists])
    for day, page in days.items():
        typed = [cell(name, page[name], separator != ",") if name in page else "" for name in names]
        lines = page.get("gratitude", [])
        of_lists = [*lines, "", "", ""][:3] if spread else [cell("gratitude", lines, False)]
        writer.writerow([day.isoformat(), *typed, *of_lists])
    got = read_values(folder, out.getvalue().encode(encoding))
    assert not got.problems
    assert by_day(got) == {day.isoformat(): page for day, page in days.items() if page}
