"""Imported values compared with the pages: existing values stay, and added values cause no problems."""

from __future__ import annotations

import datetime as dt
import itertools
import re
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from journal.errors import WriteError
from journal.folder import reading, toml_read, writing
from journal.folder.identity import is_same
from journal.importing import apply_plan, planning
from journal.importing.model import ImportedValue, ImportedValues, SourceCell
from tests.importing.tables import NOW, imported, journal_in, planned, texts
from tests.writing import documents

MARCH_14 = dt.date(2025, 3, 14)
PAGE = """\
# Friday, at the bench
mood = 4   # better than it sounds
gratitude = [
    "Bread.",  # still warm
]
memory = "Sewn."
mystery = 1

[weather]
sky = "grey"

[habits]
walk = false   # rain

[hours.planned]
sleep = ["00:00-06:15"]

[[tasks]]
title = "Fold"
rank = 1
id = "f1"

[[appointments]]
title = "Merchant"
start = "08:30"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return journal_in(tmp_path / "small", {MARCH_14: {}})


def page_of(folder: Path, text: str | None = None, day: dt.date = MARCH_14) -> str:
    path = folder / str(day.year) / f"{day}.toml"
    if text is not None:
        path.write_text(text, encoding="utf-8", newline="")
    return path.read_text(encoding="utf-8")


def test_existing_values_stay_and_missing_ones_are_added(folder: Path) -> None:
    page_of(folder, PAGE)
    plan = imported(
        folder,
        "date;mood;energy;memory;gratitude;gratitude 2;note;walk;read;sky;high;letters\n"
        "2025-03-14;3;2;Shut.;Bread.;Rain.;Ask.;yes;24;grey;11;x\n",
    )
    assert not plan.problems
    assert plan.kept == [
        "2025-03-14: mood stays 4, the file has 3",
        '2025-03-14: memory stays "Sewn.", the file has "Shut."',
        "2025-03-14: habits.walk stays false, the file has true",
    ]
    changed = (
        PAGE.replace("mood = 4   # better than it sounds\n", "mood = 4   # better than it sounds\nenergy = 2\n")
        .replace('    "Bread.",  # still warm\n', '    "Bread.",  # still warm\n    "Rain.",\n')
        .replace('memory = "Sewn."\n', 'memory = "Sewn."\nnotes = ["Ask."]\n')
        .replace('sky = "grey"\n', 'sky = "grey"\nhigh = 11\n')
        .replace("walk = false   # rain\n", "walk = false   # rain\nread = 24\n\n[challenges]\nletters = true\n")
    )
    assert page_of(folder) == changed


def test_a_repeated_import_has_nothing_to_write(folder: Path) -> None:
    text = "date;mood;gratitude;walk\n2025-03-14;3.0;Bread.;yes\n2025-03-15;4;;rest\n"
    assert [page.is_new for page in imported(folder, text).pages] == [False, True]
    again = planned(folder, text)
    assert (again.pages, again.left, again.kept, again.problems) == ([], ["2025-03-14", "2025-03-15"], [], [])


def test_duplicate_lines_are_counted(folder: Path) -> None:
    page_of(folder, 'notes = ["a", "b", "a"]\n')
    imported(folder, 'date;note\n2025-03-14;"a\nb\nb\nc"\n')
    assert tomllib.loads(page_of(folder)) == {"notes": ["a", "b", "a", "b", "c"]}


def test_a_value_that_would_be_a_problem_is_skipped_and_reported_at_its_cell(folder: Path) -> None:
    page_of(folder, "[weather]\nlow = 5\n")
    plan = planned(
        folder,
        "date,mood,energy,place,walk,read,high,letters\n2025-03-14,9,2,gratz,1,-2,3,x\n2025-03-02,4,,,x,20,,x\n"
        "2025-02-28,4,,,,,,x\n",
    )
    assert [page.changes for page in plan.pages] == [
        {("mood",): 4, ("asked",): False},
        {("mood",): 4, ("challenges", "letters"): True, ("asked",): False},
        {("energy",): 2, ("habits", "walk"): True, ("challenges", "letters"): True, ("asked",): False},
    ]
    reported = [(problem.line, problem.column, problem.where, problem.expected) for problem in plan.problems]
    assert reported == [
        (2, 2, "mood", "a number from 1 to 5"),
        (2, 4, "place", "a place of journal.toml"),
        (2, 6, "read", "a number from 0 up"),
        (2, 7, "high", "at least the low of 5"),
        (3, 5, "walk", "a day on which it holds (from 2025-03-03)"),
        (3, 6, "read", "a day on which it holds (from 2025-03-03)"),
        (4, 8, "letters", "a day on which it holds (from 2025-03-01 to 2025-03-30)"),
    ]
    assert texts(plan.problems)[1].endswith('got "gratz"; write "graz"')


def test_tasks_appointments_and_hours_are_merged_with_those_of_a_page(folder: Path) -> None:
    page_of(folder, PAGE)
    plan = imported(
        folder,
        "date,position,id,title,status,rank,estimate,took,since\n"
        "2025-03-14,0,f1,Fold,done,1,45,,\n2025-03-14,1,,Sew,open,1,,,\n2025-03-14,2,,Cut,dropped,2,1.5,,2025-03-11\n"
        "2025-03-14,3,, ,,,,,\n2025-03-14,4,,Press,open,1.5,,,\n",
        name="tasks.csv",
    )
    assert plan.kept == [
        '2025-03-14: task "Fold": status stays "open", the file has "done"',
        '2025-03-14: task "Fold": estimate stays unsaid, the file has 45',
    ]
    assert [(p.line, p.where, p.expected) for p in plan.problems] == [
        (3, "rank", 'a rank that no other task has ("Fold" has it)'),
        (5, "title", "something in this cell"),
        (6, "rank", "a whole number"),
    ]
    cut = '\n[[tasks]]\ntitle = "Cut"\nstatus = "dropped"\nrank = 2\nestimate = 1.5\nsince = 2025-03-11\n'
    assert page_of(folder) == PAGE.replace('id = "f1"\n', f'id = "f1"\n{cut}')
    plan = imported(
        folder,
        "date,title,start_minute,end_minute\n2025-03-14,Merchant,510,540\n2025-03-14,Merchant,900,\n2025-03-14,Fair,,\n"
        "2025-03-14,Tea,2000,\n2025-03-14,Late,900,600\n",
        name="appointments.csv",
    )
    assert plan.kept == ['2025-03-14: appointment "Merchant": end stays unsaid, the file has "09:00"']
    assert [(p.line, p.where, p.expected) for p in plan.problems] == [
        (5, "start_minute", "a minute of the day, 0 to 1440"),
        (6, "end_minute", "an end after 15:00"),
    ]
    assert tomllib.loads(page_of(folder))["appointments"] == [
        {"title": "Merchant", "start": "08:30"}, {"title": "Merchant", "start": "15:00"}, {"title": "Fair"},
    ]  # fmt: skip
    plan = imported(
        folder,
        "date,layer,category,start_minute,end_minute\n2025-03-14,planned,sleep,0,360\n2025-03-14,actual,sleep,0,400\n"
        "2025-03-14,actual,work,390,450\n2025-03-14,actual,work,450,500\n2025-03-14,actual,werk,500,501\n"
        "2025-03-14,actual,home,500,500\n2025-03-14,then,home,500,600\n",
        name="hours.csv",
    )
    assert plan.kept == ["2025-03-14: hours.planned stays as it is, the file has other hours"]
    assert [(p.line, p.where, p.expected) for p in plan.problems] == [
        (4, "start_minute", "hours that are not taken yet (from 06:40 on)"),
        (6, "category", "a category of journal.toml"),
        (7, "end_minute", "an end after 08:20"),
        (8, "layer", '"planned" or "actual"'),
    ]
    assert tomllib.loads(page_of(folder))["hours"] == {
        "planned": {"sleep": ["00:00-06:15"]}, "actual": {"sleep": ["00:00-06:40"], "work": ["07:30-08:20"]},
    }  # fmt: skip


LINES = "date,kind,position,text,shared\n2025-03-14,memory,0,Sewn.,true\n"


@pytest.mark.parametrize(
    ("page", "after"),
    [
        ("", 'memory = "Sewn."\nshare = true\n'),
        ('memory = "Sewn."\n', 'memory = "Sewn."\n'),  # it exists, and is private
        ('memory = "Mine."\n', 'memory = "Mine."\n'),
    ],
)
def test_share_is_imported_only_with_its_memory(folder: Path, page: str, after: str) -> None:
    page_of(folder, page)
    imported(folder, LINES, name="lines.csv")
    assert page_of(folder) == after


def test_an_unreadable_page_is_not_written(folder: Path) -> None:
    page_of(folder, "mood = \n")
    plan = imported(folder, "date,mood,walk\n2025-03-14,4,x\n2025-03-15,3,x\n")
    assert [page.base.key for page in plan.pages] == ["2025-03-15"]
    assert [(problem.path, problem.line) for problem in plan.problems] == [("2025/2025-03-14.toml", 1)]
    assert page_of(folder) == "mood = \n"


def test_values_in_another_form_stay(folder: Path) -> None:
    text = 'mood = "good"\ngratitude = "Bread."\nhabits = 3\ntasks = ["Fold"]\n\n[hours]\nplanned = "all day"\n'
    page_of(folder, text)
    plan = imported(folder, "date,mood,gratitude,walk\n2025-03-14,4,Rain.,x\n")
    plan.kept.extend(imported(folder, "date,title,status\n2025-03-14,Cut,open\n", name="tasks.csv").kept)
    hours = "date,layer,category,start_minute,end_minute\n2025-03-14,planned,sleep,0,360\n"
    plan.kept.extend(imported(folder, hours, name="hours.csv").kept)
    assert plan.kept == [
        '2025-03-14: mood stays "good", the file has 4',
        "2025-03-14: gratitude stays as it is, for the page has it in another form",
        "2025-03-14: habits.walk stays as it is, for the page has habits in another form",
        "2025-03-14: tasks stay as they are, for the page has them in another form",
        "2025-03-14: hours.planned stays as it is, for the page has it in another form",
    ]
    assert page_of(folder) == text


def holds(new: Any, old: Any) -> bool:
    """Whether the new value contains the old one: all keys by name, all items first."""
    if isinstance(old, dict):
        return isinstance(new, dict) and all(name in new and holds(new[name], value) for name, value in old.items())
    if isinstance(old, list):
        return isinstance(new, list) and len(new) >= len(old) and all(map(holds, new, old))
    return is_same(new, old)


def remarks(text: str) -> Counter[str]:
    return Counter(re.findall(r"# remark \d+", text))


def fills_empty(page: Any, path: tuple[str, ...]) -> bool:
    """Whether a value at this path is put in an empty list or table of the page."""
    for name in path:
        page = page.get(name) if isinstance(page, dict) else None
        if page in ([], {}):
            return True
    return False


CELL = SourceCell(2, 1, "x", "x")
VALUES = st.lists(
    st.one_of(
        st.tuples(st.sampled_from([("mood",), ("energy",)]), st.sampled_from([1, 2.5, 9])),
        st.tuples(st.sampled_from([("gratitude",), ("notes",)]), documents.texts),
        st.tuples(st.just(("memory",)), documents.texts),
        st.tuples(st.sampled_from([("habits", "walk"), ("habits", "read")]), st.sampled_from([True, 4, "rest"])),
        st.tuples(st.just(("habits",)), st.just({})),
        st.tuples(st.sampled_from([("weather", "high"), ("weather", "low")]), st.sampled_from([-3, 11])),
        st.tuples(st.just(("hours", "actual", "sleep")), st.sampled_from(["00:00-06:00", "05:00-07:00"])),
        st.tuples(st.just(("tasks",)), st.fixed_dictionaries({"title": st.just("Fold"), "rank": st.integers(1, 4)})),
        st.tuples(st.just(("appointments",)), st.fixed_dictionaries({"title": st.sampled_from(["Fold", "Tea"])})),
    ),
    max_size=6,
)


@pytest.fixture(scope="module")
def some_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return journal_in(tmp_path_factory.mktemp("journal") / "small", {MARCH_14: {}})


@settings(max_examples=100)
@given(documents.pages(), VALUES)
@example(
    ("mood = 1\r\nhabits = {\r\n}\r\nhours = {\r\n}", {"mood": 1, "habits": {}, "hours": {}}),
    [(("habits", "walk"), True)],
)
@example(("\r\n", {}), [(("mood",), 1)])
def test_no_existing_value_is_lost_and_no_problem_is_added(
    some_folder: Path, page: tuple[str, dict[str, Any]], values: list[tuple[Any, Any]]
) -> None:
    """Pages in every notation, with comments and invalid values in odd places."""
    text, before = page
    page_of(some_folder, text)
    imported_values = ImportedValues(
        "f", [ImportedValue(key="2025-03-14", path=path, value=value, cell=CELL) for path, value in values], []
    )
    known = reading.read_settings(some_folder).known
    plan = planning.plan(some_folder, imported_values, known, now=NOW)
    if not plan.pages:
        return
    (planned,) = plan.pages
    result = writing.save(some_folder, "2025-03-14", planned.base, planned.changes, now=NOW, rehearse=True)
    assert isinstance(result, writing.Saved)
    after = result.base.text
    assert holds(toml_read.values("page", after), before)
    assert remarks(after) == remarks(text)
    # An empty list or table that is filled can become a section, further down. All other text stays in order.
    if not any(fills_empty(before, path) for path, _ in values):
        left = iter(after)
        assert all(character in left for character in text), "every character is there, in order"
    file = writing.file_of("2025-03-14", planned.base.path)
    was = {(p.where, p.expected, p.got) for p in reading.check(file, text, known)}
    assert {(p.where, p.expected, p.got) for p in reading.check(file, after, known)} <= was


class Stopped(Exception):
    """An interruption, as by a kill."""


@pytest.mark.parametrize("error", [Stopped, WriteError])
def test_an_interrupted_and_repeated_import_gives_the_same_result(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: type[Exception]
) -> None:
    text = "date,mood,gratitude,walk\n" + "".join(f"2025-03-{day},4,Bread.,x\n" for day in (12, 13, 14, 15))
    real = writing.save
    ends = []
    for stop_at in range(5):
        folder = journal_in(tmp_path / str(stop_at), {MARCH_14: {"mood": 2, "gratitude": ["Rain."]}})
        writes = itertools.count()

        def failing(*given: Any, rehearse: bool = False, _at: int = stop_at, _count: Any = writes, **more: Any) -> Any:
            if not rehearse and next(_count) == _at:
                raise error("the disk is full")
            return real(*given, rehearse=rehearse, **more)

        monkeypatch.setattr(writing, "save", failing)
        if stop_at < 4:
            with pytest.raises(error) as stopped:
                imported(folder, text)
            if error is WriteError:
                pages = "1 page is" if stop_at == 1 else f"{stop_at} pages are"
                assert str(stopped.value) == f"the disk is full ({pages} written; the same again goes on from there)"
            monkeypatch.setattr(writing, "save", real)
            assert not reading.read_pages(folder, [], reading.read_settings(folder).known)[1]
        imported(folder, text)
        ends.append({path.name: path.read_text(encoding="utf-8") for path in sorted((folder / "2025").iterdir())})
    assert all(end == ends[0] for end in ends)
    assert ends[0]["2025-03-14.toml"] == 'mood = 2\ngratitude = ["Rain.", "Bread."]\n\n[habits]\nwalk = true\n'


def test_a_page_changed_meanwhile_keeps_the_change(folder: Path) -> None:
    plan = planned(folder, "date,mood\n2025-03-14,4\n2025-03-15,3\n")
    page_of(folder, "mood = 2\n")
    written = apply_plan.write(folder, plan.pages, now=NOW)
    assert (written.paths, written.changed) == (["2025/2025-03-15.toml"], ["2025/2025-03-14.toml"])
    assert page_of(folder) == "mood = 2\n"


def test_a_page_in_another_folder_is_written_there(folder: Path) -> None:
    (folder / "away").mkdir()
    (folder / "away" / "2025-03-15.toml").write_text("mood = 4\n", encoding="utf-8")
    imported(folder, "date,energy\n2025-03-15,3\n")
    assert (folder / "away" / "2025-03-15.toml").read_text(encoding="utf-8") == "mood = 4\nenergy = 3\n"
    assert not (folder / "2025" / "2025-03-15.toml").exists()
