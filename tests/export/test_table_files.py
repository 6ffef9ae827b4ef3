"""The tables in files: Parquet round trip, CSV text, and a description of every column."""

from __future__ import annotations

import csv
import datetime as dt
import io
from pathlib import Path

import polars as pl
import pytest

import journal
from journal.entry import Appointment, Clock, Entry
from journal.export import data_dictionary, table_files
from journal.export.column_descriptions import FRAMES
from journal.export.column_docs import NEVER
from journal.settings import Habit
from journal.tables import Tables
from tests.export.books import book
from tests.journals import write

TODAY = dt.date(2025, 12, 31)


@pytest.fixture(scope="module")
def example() -> journal.Journal:
    return journal.open("example_year", today=TODAY, cache=False)


@pytest.fixture(scope="module")
def frames(example: journal.Journal) -> dict[str, pl.DataFrame]:
    return table_files.frames(example)


def test_every_frame_of_the_journal_is_there(frames: dict[str, pl.DataFrame]) -> None:
    recorded = {name for name, kind in Tables.__annotations__.items() if kind == "pl.DataFrame"}
    assert recorded and recorded <= set(frames)
    assert {"states", "occasions", "streaks", "rates_by_month", "mood_by_day", "nights"} <= set(frames)


def test_every_column_is_described_and_no_other(frames: dict[str, pl.DataFrame]) -> None:
    assert {name: list(frame.columns) for name, frame in FRAMES.items()} == {
        name: frame.columns for name, frame in frames.items()
    }


def test_columns_without_nulls_have_none(frames: dict[str, pl.DataFrame]) -> None:
    for name, frame in frames.items():
        for column, described in FRAMES[name].columns.items():
            assert described.meaning.endswith(".") and described.unit and described.null
            if described.null == NEVER:
                assert frame[column].null_count() == 0, f"{name}.{column}"


def test_a_column_without_a_description_is_an_error(frames: dict[str, pl.DataFrame]) -> None:
    with pytest.raises(KeyError, match="new"):
        data_dictionary.columns({"days": frames["days"].with_columns(new=1)})


def test_parquet_reads_back_as_the_same_frame(example: journal.Journal, frames: dict[str, pl.DataFrame]) -> None:
    made = table_files.files(example, "parquet")
    assert set(made) == {f"{name}.parquet" for name in frames} | {"dictionary.md", "dictionary.csv"}
    for name, frame in frames.items():
        again = pl.read_parquet(made[f"{name}.parquet"])
        assert again.schema == frame.schema
        assert again.equals(frame)


def test_csv_has_the_same_rows_and_is_reproducible(example: journal.Journal, frames: dict[str, pl.DataFrame]) -> None:
    made = table_files.files(example, "csv")
    assert made == table_files.files(example, "csv")
    for name, frame in frames.items():
        text = made[f"{name}.csv"].decode()
        assert text.count("\r\n") == frame.height + 1
        again = pl.read_csv(made[f"{name}.csv"], schema=pl.Schema(dict.fromkeys(frame.columns, pl.String)))
        days = [column for column, dtype in frame.schema.items() if dtype == pl.Date]
        assert again.select(pl.col(days).str.to_date()).equals(frame.select(days))
        numbers = [column for column, dtype in frame.schema.items() if dtype.is_numeric()]
        assert again.select(pl.col(c).cast(frame.schema[c]) for c in numbers).equals(frame.select(numbers))
    lines = list(csv.DictReader(io.StringIO(made["lines.csv"].decode(), newline="")))
    assert [row["text"] for row in lines] == frames["lines"]["text"].to_list()  # no line begins like a formula


def test_what_is_no_number_is_no_formula() -> None:
    day = dt.date(2025, 3, 14)
    entry = Entry(mood=3, notes=("-1 day",), appointments=(Appointment(title="=1+1", start=Clock(0)),))
    made = table_files.files(book({day: entry}), "csv")
    assert made["appointments.csv"] == b"date,title,start_minute,end_minute\r\n2025-03-14,'=1+1,0,\r\n"
    assert made["lines.csv"].endswith(b"note,0,'-1 day,false\r\n")


def test_the_dictionary_describes_every_column(example: journal.Journal) -> None:
    made = table_files.files(example, "csv")
    rows = list(csv.DictReader(io.StringIO(made["dictionary.csv"].decode(), newline="")))
    assert len(rows) == sum(len(frame.columns) for frame in FRAMES.values())
    (state,) = [row for row in rows if (row["frame"], row["column"]) == ("states", "state")]
    assert state["type"] == "Enum (not due, rest, done, partial, missed, blank, pending)"
    (low,) = [row for row in rows if (row["frame"], row["column"]) == ("rates_by_month", "low")]
    assert (low["type"], low["unit"], low["null"]) == ("Float64", "share, 0 to 1", "nothing counted was logged")
    written = made["dictionary.md"].decode()
    for row in rows:
        assert f"| `{row['column']}` | {row['type']} | {row['unit']} | {row['null']} | {row['meaning']} |" in written


def test_a_target_of_zero_is_a_target() -> None:
    none = Habit(key="smoke", name="Smoke", start=dt.date(2025, 3, 1), every="FREQ=DAILY", target=0, aim="at most")
    (row,) = table_files.frames(book({}, habits=(none,)))["habits"].select("target", "aim").rows()
    assert row == (0.0, "at most")


@pytest.mark.parametrize("form", ["csv", "parquet"])
def test_an_empty_journal_has_empty_tables(tmp_path: Path, form: table_files.TableFormat) -> None:
    opened = journal.open(write(tmp_path / "new", {}), today=TODAY, cache=False)
    made = table_files.files(opened, form)
    assert len(made) == len(FRAMES) + 2
    read = pl.read_parquet if form == "parquet" else pl.read_csv
    assert read(made[f"marks.{form}"]).height == 0
    assert {name: frame.schema for name, frame in table_files.frames(opened).items()}.keys() == FRAMES.keys()


def test_types_do_not_depend_on_the_values(tmp_path: Path, frames: dict[str, pl.DataFrame]) -> None:
    opened = journal.open(write(tmp_path / "new", {}), today=TODAY, cache=False)
    for name, frame in table_files.frames(opened).items():
        assert frame.schema == frames[name].schema, name
