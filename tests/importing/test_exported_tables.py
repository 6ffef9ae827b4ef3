"""Round trip of `export tables`: a journal's tables are imported into an empty one, and both tables compared."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path
from typing import Any

import polars as pl
import pytest

import journal
from journal import tables
from journal.entry import Entry, Page, Review
from journal.errors import UsageError
from journal.export import table_files as exported
from journal.folder import reading, typed_values, writing
from journal.folder.applied_changes import changed
from journal.importing import apply_plan, planning, spreadsheet
from journal.importing.model import ImportedValues
from journal.tables import Tables
from tests.importing.tables import NOW, SETTINGS
from tests.journals import write

EXAMPLE = Path(__file__).parents[2] / "example_year"
BACK = ("days", "marks", "ticks", "lines", "pictures", "hours", "appointments", "tasks", "reflections", "decisions")
"""The tables with recorded values."""

MARCH_14, MARCH_15, MARCH_16 = (dt.date(2025, 3, day) for day in (14, 15, 16))


def recorded(of: Tables, name: str) -> pl.DataFrame:
    """A table without the names of pictures' files: exports have others, since a camera's name has its date."""
    frame: pl.DataFrame = getattr(of, name)
    return frame.drop("file", strict=False)


def read_back(folder: Path, made: dict[str, bytes], into: Path, today: dt.date) -> dict[str, ImportedValues]:
    """The values of each of the tables for a journal, by table name."""
    basis = reading.read_settings(into)
    imported = {}
    for name in BACK:
        file = folder / f"{name}.csv"
        file.write_bytes(made[file.name])
        imported[name] = spreadsheet.read(file, basis, today=today)
        assert imported[name].problems == [], name
    return imported


@pytest.fixture
def written(tmp_path: Path) -> Path:
    """A journal of a few days with every key of a page, and texts that a spreadsheet would run."""
    days: dict[dt.date, dict[str, Any]] = {
        MARCH_14: {
            "mood": 4.5, "energy": 3, "gratitude": ["=SUM(A1)", "Bread.", "Bread."], "memory": "'-1, \"it's\"\n+2\n",
            "share": True, "notes": ["\t-ish", " blanks "], "place": "graz",
            "weather": {"sky": "-", "high": -1.5, "low": -3}, "habits": {"walk": True, "read": 12.5},
            "challenges": {"letters": MARCH_16},
            "hours": {"planned": {"sleep": ["00:00-06:15", "22:30-24:00"], "work": ["09:00-12:30"]},
                      "actual": {"sleep": ["00:15-06:20"]}},
            "pictures": ["bench.jpg", "=hooks.png", "page.webp"],
            "captions": {"bench.jpg": "=The bench.", "page.webp": "It's a page."},
            "appointments": [{"title": "Merchant", "start": "08:30", "end": "09:00"}, {"title": "=Fair"},
                             {"title": "Tea", "start": "23:00", "end": "24:00"}],
            "tasks": [{"title": "@Fold", "status": "carried", "rank": 2, "estimate": 45, "took": 60.5,
                       "since": dt.date(2025, 3, 11), "id": "t7k2"}, {"title": "Sew"}, {"title": "Sew"}],
        },
        MARCH_15: {"habits": {}},
        MARCH_16: {"habits": {"walk": False, "read": "rest"}, "challenges": {"letters": False}},
        dt.date(2025, 3, 18): {"habits": {"walk": "rest"}, "place": "graz", "notes": ["Take the glue."],
                               "tasks": [{"title": "Pack", "rank": 1}]},
    }  # fmt: skip
    folder = write(tmp_path / "small", days, **SETTINGS)
    (folder / "2025" / "2025-W11.toml").write_text(
        'notes = ["Rain."]\n[[reflection]]\nprompt = "What carried?"\nanswer = "=Bread"\n'
        '[[reflection]]\nprompt = "What may go?"\n',
        encoding="utf-8",
    )
    (folder / "2025" / "2025-03.toml").write_text(
        '[decisions]\nread = "keep"\nwalk = "rest"\n[decision_dates.walk]\nfrom = 2025-04-01\nuntil = 2025-04-30\n',
        encoding="utf-8",
    )
    return folder


@pytest.mark.parametrize("backwards", [False, True])
def test_all_recorded_values_come_back(written: Path, tmp_path: Path, backwards: bool) -> None:
    """One file after the other, in either order; a repetition has nothing to write."""
    before = journal.open(written, today=MARCH_16)
    assert not before.problems
    empty = write(tmp_path / "empty", {}, **SETTINGS)
    imported = read_back(tmp_path, exported.files(before, "csv"), empty, MARCH_16)
    known = reading.read_settings(empty).known
    for again in (False, True):
        for name in reversed(BACK) if backwards else BACK:
            plan = planning.plan(empty, imported[name], known, now=NOW)
            assert (plan.problems, plan.kept) == ([], [])
            assert not again or not plan.pages
            apply_plan.write(empty, plan.pages, now=NOW)
    after = journal.open(empty, today=MARCH_16)
    assert not after.problems
    for name in BACK:
        assert recorded(after.tables, name).rows() == recorded(before.tables, name).rows(), name


def test_the_example_year_comes_back(tmp_path: Path) -> None:
    """The 422 pages are made in memory, as `writing` would make them."""
    today = dt.date(2025, 12, 31)
    before = journal.open(EXAMPLE, today=today)
    shutil.copy(EXAMPLE / "journal.toml", tmp_path)
    basis = reading.read_settings(tmp_path)
    imported = read_back(tmp_path, exported.files(before, "csv"), tmp_path, today)
    values = [value for name in BACK for value in imported[name].values]
    plan = planning.plan(tmp_path, ImportedValues("all", values, []), basis.known, now=NOW)
    assert (plan.problems, plan.kept, plan.left) == ([], [], [])
    pages = []
    for planned in plan.pages:
        key, kind = planned.base.key, writing.file_of(planned.base.key, planned.base.path).kind
        values_of = changed({}, planned.changes)
        content = typed_values.typed(values_of, Entry) if kind == "day" else typed_values.typed(values_of, Review)
        pages.append(Page(path=planned.base.path, kind=kind, key=key, content=content))
    after = tables.build(tables.record(pages), basis.settings, today)
    for name in BACK:
        assert recorded(after, name).equals(recorded(before.tables, name)), name


def test_a_table_of_marks_by_hand(tmp_path: Path) -> None:
    """The required columns of our own tables are enough; any words for a mark are accepted."""
    folder = write(tmp_path / "small", {}, **SETTINGS)
    file = tmp_path / "m.csv"
    file.write_text(
        "Datum;Habit;Mark\n14.3.2025;walk;x\n14.3.2025;read;24\n15.3.2025;wlak;yes\n15.3.2025;walk;perhaps\n"
        "15.3.2025;walk;\n14.3.2025;walk;no\n17.3.2025;walk;x\n17.3.2025;read;rest\n",
        encoding="utf-8",
    )
    basis = reading.read_settings(folder)
    imported = spreadsheet.read(file, basis, today=MARCH_16, columns=["Datum=date"])
    plan = planning.plan(folder, imported, basis.known, now=NOW)
    assert {page.base.key: page.changes for page in plan.pages} == {
        "2025-03-14": {("habits", "walk"): True, ("habits", "read"): 24, ("asked",): False},
        "2025-03-17": {("habits", "read"): "rest", ("asked",): False},
    }
    assert [(p.line, p.where, p.expected, p.remedy) for p in plan.problems] == [
        (4, "Habit", "a habit of journal.toml", 'write "walk"'),
        (5, "Mark", "yes, no or rest", "write one of them, or nothing where nothing was recorded"),
        (7, "Mark", "one row for it on 2025-03-14 (line 2 has it)", "the first counts"),
        (8, "Datum", "a day up to 2025-03-16", "see to the date; what cannot be known yet is left out"),
    ]


def test_invalid_periods(tmp_path: Path) -> None:
    folder = write(tmp_path / "small", {}, **SETTINGS)
    file = tmp_path / "d.csv"
    file.write_text(
        "period,habit,decision\n2025-03,walk,keep\n2025-03-14,walk,keep\n2025-W11,walk,keep\n2025-04,walk,held\n",
        encoding="utf-8",
    )
    basis = reading.read_settings(folder)
    plan = planning.plan(folder, spreadsheet.read(file, basis, today=MARCH_16), basis.known, now=NOW)
    assert [(page.base.path, page.changes) for page in plan.pages] == [
        ("2025/2025-03.toml", {("decisions", "walk"): "keep"})
    ]
    assert [(p.line, p.where, p.expected) for p in plan.problems] == [
        (3, "period", "a week, month or year"),
        (4, "habit", "decisions on the page of a month"),
        (5, "decision", '"keep", "change", "rest" or "drop"'),
    ]


def test_unknown_columns_of_our_own_tables(tmp_path: Path) -> None:
    folder = write(tmp_path / "small", {}, **SETTINGS)
    file = tmp_path / "m.csv"
    file.write_text("date,habit,mark,vlaue,kept\n2025-03-14,read,24,25,x\n", encoding="utf-8")
    basis = reading.read_settings(folder)
    imported = spreadsheet.read(file, basis, today=MARCH_16, columns=["kept=-"])
    assert [(value.path, value.value) for value in imported.values] == [(("habits", "read"), 24)]
    assert [str(problem) for problem in imported.problems] == [
        'm.csv:1:4: expected a column of marks, got "vlaue"; it is left out; write "value"'
    ]
    with pytest.raises(UsageError, match='--column "kept=vlaue": there is no field "vlaue"; write "value"'):
        spreadsheet.read(file, basis, today=MARCH_16, columns=["kept=vlaue"])


def test_pictures_are_told_by_their_places_and_a_caption_stays(written: Path, tmp_path: Path) -> None:
    """Exports have other names for pictures, so a page that has them keeps its own."""
    made = exported.files(journal.open(written, today=MARCH_16), "csv")
    page = {"pictures": ["a.jpg", "b.png"], "captions": {"a.jpg": "Mine."}}
    folder = write(tmp_path / "other", {MARCH_14: page}, **SETTINGS)
    values = read_back(tmp_path, made, folder, MARCH_16)["pictures"]
    plan = planning.plan(folder, values, reading.read_settings(folder).known, now=NOW)
    assert plan.kept == ['2025-03-14: the caption of a.jpg stays "Mine.", the file has "=The bench."']
    apply_plan.write(folder, plan.pages, now=NOW)
    after = writing.look(folder, str(MARCH_14)).values
    assert after["pictures"] == ["a.jpg", "b.png", "2025-03-14-3.jpg"]
    assert after["captions"] == {"a.jpg": "Mine.", "2025-03-14-3.jpg": "It's a page."}
