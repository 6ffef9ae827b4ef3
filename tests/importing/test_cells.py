"""The meaning of headings, dates and cells, and the messages for invalid ones."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.errors import UsageError
from journal.export.csv_text import as_csv
from journal.importing import cells, csv_rows
from journal.importing.dates import ColumnDates, order_of, read
from journal.importing.model import Unfit
from tests.importing.tables import by_day, journal_in, read_values, texts


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return journal_in(tmp_path_factory.mktemp("journal") / "small")


@pytest.mark.parametrize(
    ("heading", "name"),
    [
        ("Mood", "mood"), (" ENERGY ", "energy"), ("Gratitude", "gratitude"), ("gratitude 12", "gratitude"),
        ("note", "notes"), ("Notes_2", "notes"), ("memory", "memory"), ("place", "place"), ("Sky", "weather.sky"),
        ("high", "weather.high"), ("weather.low", "weather.low"), ("WALK", "habits.walk"),
        ("walk by  the River", "habits.walk"), ("habits.read", "habits.read"), ("letters", "challenges.letters"),
        ("Thirty Letters", "challenges.letters"),
    ],
)  # fmt: skip
def test_known_headings(folder: Path, heading: str, name: str) -> None:
    imported = read_values(folder, f"Day;{heading}\n2025-03-14;1\n")
    assert not imported.problems and [".".join(value.path) for value in imported.values] == [name]


def test_an_unknown_heading_is_skipped_and_reported(folder: Path) -> None:
    imported = read_values(folder, "date;mod;weight;;;energy\n2025-03-14;4;5;;;2\n2025-03-15;4;5;x;;\n")
    assert by_day(imported) == {"2025-03-14": {"energy": 2}}
    assert texts(imported.problems) == [
        'days.csv:1:2: expected a heading that is known, got "mod"; it is left out; write --column "mod=mood"',
        (
            'days.csv:1:3: expected a heading that is known, got "weight"; it is left out; '
            'write, with its field, --column "weight=..."'
        ),
        "days.csv:1:4: expected a heading that is known, got nothing; it is left out; give the column a heading",
    ]


def test_columns_named_by_options(folder: Path) -> None:
    text = "Tag;Laune;a=b;Rest;walk\n2025-03-14;4;x;?;no\n"
    imported = read_values(folder, text, "tag=date", "LAUNE=mood", "a=b=Read", "Rest=-", "walk=letters")
    assert not imported.problems
    assert by_day(imported) == {"2025-03-14": {"mood": 4, "habits.read": True, "challenges.letters": False}}


@pytest.mark.parametrize(
    ("column", "expected"),
    [
        ("Lune=mood", '"days.csv" has no heading "Lune"; write "Laune"'),
        ("Laune=modo", 'there is no field "modo"; write "mood"'),
        ("Laune", 'write a heading and its field, e.g. --column "Laune=mood"'),
        ("=mood", "write a heading and its field"),
    ],
)
def test_an_invalid_column_option_is_rejected(folder: Path, column: str, expected: str) -> None:
    with pytest.raises(UsageError) as refused:
        read_values(folder, "date;Laune;mood\n2025-03-14;4;4\n", column)
    assert str(refused.value).startswith(f'--column "{column}": {expected}')


def test_two_columns_of_one_field_and_an_ambiguous_name(folder: Path, tmp_path: Path) -> None:
    imported = read_values(folder, "date,mood,Mood\n2025-03-14,4,5\n")
    assert by_day(imported) == {"2025-03-14": {"mood": 4}}
    assert texts(imported.problems) == [
        (
            'days.csv:1:3: expected one column of mood ("mood" is one), got "Mood"; '
            'this one is left out; choose with --column "Mood=-"'
        )
    ]
    twins = journal_in(tmp_path / "twins")
    settings = twins / "journal.toml"
    settings.write_text(settings.read_text(encoding="utf-8").replace("Thirty letters", "Read"), encoding="utf-8")
    imported = read_values(twins, "date,mood,Reading,READ\n2025-03-14,4,,20\n")
    assert by_day(imported) == {"2025-03-14": {"mood": 4}}
    assert texts(imported.problems)[1].endswith(
        'expected a heading of one field (this is of "challenges.letters" or "habits.read"), got "READ"; '
        'it is left out; write --column "READ=challenges.letters"'
    )


def test_a_column_option_overrides_the_heading(folder: Path) -> None:
    imported = read_values(folder, "date,mood,Laune\n2025-03-14,0,4\n", "Laune=mood")
    assert by_day(imported) == {"2025-03-14": {"mood": 4}}
    assert imported.problems[0].column == 2


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("mood;walk\n4;x\n", 'has no column of dates among "mood", "walk"; call one "date"'),
        ("date;mod;b\n2025-03-14;x;y\n", 'has nothing but dates that is known here; write --column "mod=mood"'),
    ],
)
def test_a_table_without_dates_or_without_other_columns_is_rejected(folder: Path, text: str, expected: str) -> None:
    with pytest.raises(UsageError) as refused:
        read_values(folder, text)
    assert str(refused.value).startswith(f'"days.csv" {expected}')


MARCH_4, MARCH_14 = dt.date(2025, 3, 4), dt.date(2025, 3, 14)


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        (["2025-03-14", "2025-3-4"], [MARCH_14, MARCH_4]),
        (["14.3.2025", "4. 3. 2025", "04.03.2025."], [MARCH_14, MARCH_4, MARCH_4]),
        (["4/3/2025", "14/3/2025"], [MARCH_4, MARCH_14]),
        (["3/4/2025", "3/14/2025"], [MARCH_4, MARCH_14]),
        (["3-4-2025", "3-14-2025", "2025/03/04"], [MARCH_4, MARCH_14, MARCH_4]),
        (["3/3/2025", "", "soon"], [dt.date(2025, 3, 3), None, None]),
        (["2025-03-14 00:00:00", "14.3.2025 0:00", "2025-03-14T10:00"], [MARCH_14, MARCH_14, None]),
        (["14.3.25", "14.3/2025", "0025-03-14", "2025-02-30", "20250314"], [None] * 5),
        (["31/2/2025", "14/3/2025"], [None, MARCH_14]),
        (["14 March 2025", "Mar 4th, 2025", "Fr., 14. März 2025 00:00"], [MARCH_14, MARCH_4, MARCH_14]),
        (["Fri, 14. März 2025 00:00", "14/3/2025", "2025-Mar-04"], [MARCH_14, MARCH_14, MARCH_4]),
        (["14 March", "March 2025", "14 Mar 25", "Mon 5 2025", "31 Feb 2025", "14 Mar 2025 10:30"], [None] * 6),
    ],
)
def test_dates_by_the_order_of_their_column(texts: list[str], expected: list[dt.date | None]) -> None:
    order = order_of("t.csv", texts)
    assert [read(text, order) for text in texts] == expected


def test_an_ambiguous_order_must_be_given(folder: Path) -> None:
    text = "date;mood\n3/4/2025;4\n"
    with pytest.raises(UsageError) as refused:
        read_values(folder, text)
    assert str(refused.value) == (
        '"days.csv": "3/4/2025" can be read in two ways, and no other date there says which; '
        "write --dates day-first or --dates month-first"
    )
    assert list(by_day(read_values(folder, text, order="month-first"))) == ["2025-03-04"]
    with pytest.raises(UsageError, match=r'has both "14/3/2025" and "3/14/2025"'):
        read_values(folder, "date;mood\n14/3/2025;4\n3/14/2025;4\n")


@pytest.mark.parametrize(
    ("column", "years", "expected"),
    [
        (["14.3.25", "4.3.25"], [2025], ["2025-03-14", "2025-03-04"]),
        (["3/14/25", "3/4/25"], [2025], ["2025-03-14", "2025-03-04"]),
        (["14.3.25", "1.2.2026", "20.12.2024"], [], ["2025-03-14", "2026-02-01", "2024-12-20"]),
        (["14.3.25"], [], [None]),
        (["14.3.25"], [2023], [None]),
        (["14.3.25", "14.3.24"], [2023, 2026], ["2025-03-14", "2024-03-14"]),
        (["14.3.25"], [1925, 2025], [None]),  # either century
        (["25-03-14", "25-03-04"], [2025], ["2025-03-14", "2025-03-04"]),  # the year comes first
        (["24.3.25"], [2024, 2025], [None]),  # 24 March 2025, or 25 March 2024
        (["24.3.25", "31.3.25"], [2024, 2025], ["2025-03-24", "2025-03-31"]),  # the second one decides
        (["24.3.25", "14.3.25"], [2024, 2025], ["2025-03-24", "2025-03-14"]),
        (["25.3.25"], [2025], ["2025-03-25"]),  # both readings are one day
        (["31.2.25", "14.3.25 0:00", "x.3.25"], [2025], [None, "2025-03-14", None]),
    ],
)
def test_a_two_digit_year_is_read_if_one_reading_remains(
    column: list[str], years: list[int], expected: list[str | None]
) -> None:
    dates = ColumnDates("t.csv", column, years=years)
    assert [str(date) if (date := dates.read(text)) else None for text in column] == expected


def test_a_two_digit_year_with_no_reading_or_several_is_a_clear_problem(folder: Path) -> None:
    text = "date;mood\n14.3.25;4\n"
    assert texts(read_values(folder, text).problems) == [
        (
            'days.csv:2:1: date: expected a date with a four-digit year, got "14.3.25"; write e.g. 2025-03-14; '
            "nothing of the row is taken"
        )
    ]
    assert by_day(read_values(folder, text, years=[2025])) == {"2025-03-14": {"mood": 4}}
    with pytest.raises(UsageError, match=r'"3/4/2025" can be read in two ways'):
        read_values(folder, "date;mood\n3/4/25;4\n", years=[2025])


DATES = st.lists(st.dates(dt.date(2025, 1, 1), dt.date(2025, 12, 31)), min_size=1, max_size=8)


@given(DATES, st.booleans())
def test_the_order_is_the_only_one_that_reads_all_dates(dates: list[dt.date], day_first: bool) -> None:
    """Compared with trying both orders on every date."""
    texts = [f"{d.day}.{d.month}.{d.year}" if day_first else f"{d.month}/{d.day}/{d.year}" for d in dates]
    other = [(d.month, d.day) if day_first else (d.day, d.month) for d in dates]
    differs = [a != (d.day if day_first else d.month) for (a, _), d in zip(other, dates, strict=True)]
    settled = any(max(d.day for d in dates) > 12 for _ in dates)
    if settled or not any(differs):
        order = order_of("t.csv", texts)
        assert [read(text, order) for text in texts] == dates
    else:
        with pytest.raises(UsageError):
            order_of("t.csv", texts)


@pytest.mark.parametrize(
    ("typed", "plain", "counted"),
    [
        ("yes", True, True), ("Y", True, True), ("TRUE", True, True), ("done", True, True), (" X ", True, True),
        ("no", False, False), ("n", False, False), ("False", False, False), ("missed", False, False),
        ("not  done", False, False), ("Rest", "rest", "rest"), ("1", True, 1), ("0", False, 0), ("1.0", True, 1),
        ("12.5", None, 12.5), ("24", None, 24), ("perhaps", None, None), ("24 pages", None, None), ("1e3", None, None),
        ("✓", True, True), ("✔\ufe0f", True, True), (" ✗ ", False, False), ("✘", False, False),
        ("inf", None, None), ("nan", None, None), ("٣", None, None),
    ],
)  # fmt: skip
def test_marks(typed: str, plain: Any, counted: Any) -> None:
    for is_counted, expected in ((False, plain), (True, counted)):
        if expected is None:
            with pytest.raises(Unfit):
                cells.mark(typed, is_counted)
        else:
            imported = cells.mark(typed, is_counted)
            assert (type(imported), imported) == (type(expected), expected)


def test_cells_of_a_day(folder: Path) -> None:
    """Empty cells record nothing. Numbers may have a decimal comma if the separator is not a comma."""
    text = (
        "date;mood;energy;walk;read;gratitude;note;memory;place;high;low;letters\n"
        '2025-03-13;good;3,5;;12,5;"Bread.\n\n Rain. ";Ask.;"Two\r\nlines ";GRAZ;−2;-4,5;x\n'
        "2025-03-14;;;no;0;;;;;;;no\n"
    )
    imported = read_values(folder, text)
    assert not imported.problems
    assert by_day(imported) == {
        "2025-03-13": {
            "mood": 4, "energy": 3.5, "habits.read": 12.5, "gratitude": ["Bread.", "Rain."], "notes": ["Ask."],
            "memory": "Two\nlines", "place": "graz", "weather.high": -2, "weather.low": -4.5,
            "challenges.letters": True,
        },
        "2025-03-14": {"habits.walk": False, "habits.read": 0, "challenges.letters": False},
    }  # fmt: skip


def test_an_invalid_cell_affects_only_itself(folder: Path) -> None:
    text = (
        'date,mood,walk,read,letters\n2025-03-13,so so,maybe,"3,5",later\nsoon,4,x,1,x\n'
        "2025-03-14,4,x,20,x\n14.3.2025,3,,,\n2025-03-17,4,rest,,\n2025-03-18,,,,\n"
    )
    imported = read_values(folder, text)
    assert by_day(imported) == {
        "2025-03-14": {"mood": 4, "habits.walk": True, "habits.read": 20, "challenges.letters": True},
        "2025-03-17": {"habits.walk": "rest"},
    }
    assert texts(imported.problems) == [
        (
            'days.csv:2:2: mood: expected a number from 1 to 5, or "heavy", "low", "even", "good" or "bright", got '
            '"so so"; write one of them'
        ),
        (
            'days.csv:2:3: walk: expected yes, no or rest, got "maybe"; write one of them, or nothing where '
            "nothing was recorded"
        ),
        (
            'days.csv:2:4: read: expected a number, yes, no or rest, got "3,5"; write one of them, or nothing where '
            "nothing was recorded"
        ),
        'days.csv:2:5: letters: expected yes or no, got "later"; write one of them',
        (
            'days.csv:3:1: date: expected a date (day-first), got "soon"; write e.g. 2025-03-14; nothing of the '
            "row is taken"
        ),
        (
            'days.csv:5:1: date: expected one row for 2025-03-14 (line 4 has it), got "14.3.2025"; '
            "bring the two together; the first counts"
        ),
        (
            'days.csv:6:1: date: expected a day up to 2025-03-16, got "2025-03-17"; '
            "see to the date; what cannot be known yet is left out"
        ),
    ]


# Our own CSV. Only a text that begins with an apostrophe and a line break or tab is not restored.
TEXTS = st.text(st.sampled_from("ab'\"=-+@,;|\t\r\n \u3000＝"), max_size=8).filter(
    lambda text: text[:2] not in ("'\t", "'\r", "'\n")
)


@given(TEXTS.filter(lambda text: bool(text.strip())))
def test_the_apostrophes_of_our_own_csv_are_removed(text: str) -> None:
    table = csv_rows.read("t.csv", as_csv(pl.DataFrame({"kind": ["note"], "text": [text]}), "\r\n"), bool)
    assert cells.unguarded(table.rows[0].cells[1]) == text


@settings(max_examples=50)
@given(st.text(st.sampled_from("ab'=-, "), max_size=6))
def test_in_other_tables_only_the_leading_apostrophe_is_removed(text: str) -> None:
    expected = text.strip()
    if expected[:1] == "'" and expected[1:].lstrip(" ")[:1] in ("=", "-"):
        expected = expected[1:]
    assert cells.words(text) == expected
