"""Texts of sheets of paper: all of them are in the catalogue, and sheets printed in German are read as English ones."""

from __future__ import annotations

import datetime as dt
import io
import random
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

import journal
from journal import Journal, periods
from journal.errors import UsageError
from journal.export import day_sheet, month_sheet, year_sheet
from journal.importing.model import Unfit
from journal.language.languages import LANGUAGES
from journal.language.spoken import speaking
from journal.paper import (
    day_plan,
    doubts,
    field_lines,
    handwriting,
    month_plan,
    paper_form,
    photographs,
    picture_file,
    sheet_fields,
    sheet_import,
    sheet_lookup,
    sheet_pictures,
    sheet_reader,
    swatch_colours,
)
from journal.paper.day_plan import PaperTask
from journal.paper.field_names import FieldNames
from journal.paper.layout import PaperBox
from journal.paper.picture_file import PictureFile
from journal.paper.sheet_fields import FieldRead
from journal.paper.sheet_reader import BoxRead, PictureRead, SheetRead
from journal.settings import Settings
from tests.language.test_moved_data import problem_texts, told, unknown_words
from tests.language.test_moved_parts import PAGE, PSEUDO, SETTINGS
from tests.paper import colouring, simulated
from tests.paper.camera import Shot

GERMAN = LANGUAGES["de"]
TODAY = dt.date(2025, 3, 13)
NOW = dt.datetime(2025, 3, 13, 22, tzinfo=dt.UTC)
GREEK = (
    SETTINGS
    + '[[habits]]\nkey = "η"\nname = "Οθόνη"\nevery = "FREQ=DAILY"\nfrom = 2025-03-01\ntarget = 30\n'
    + ('unit = "λ"\naim = "at most"\n')
)


@pytest.fixture
def book(tmp_path: Path) -> Journal:
    (tmp_path / "journal.toml").write_text(GREEK, encoding="utf-8")
    (tmp_path / "2025-03-13.toml").write_text(PAGE, encoding="utf-8")
    return journal.open(tmp_path, today=TODAY, cache=False)


def field(name: str, *values: bool | float, date: dt.date = TODAY, **more: Any) -> FieldRead:
    boxes = tuple(box(name, value, "empty") for value in values or (True,))
    return FieldRead(field=name, date=date, photo="α", boxes=boxes, **more)


def box(name: str, value: bool | float, mark: Any, certainty: float = 1.0) -> BoxRead:
    return BoxRead(PaperBox(field=name, date=TODAY, value=value, x=0, y=0), mark, certainty, (0, 0, 9, 9))


FIELDS = ("mood", "energy", "habits.π", "habits.δ", "challenges.γ", "hours.actual.υ 06:30", "tasks.0")


def words_of_fields(settings: Settings) -> Iterator[str]:
    """What is asked about fields, and what they say."""
    fields = [field(name, *((5.0, 10.0) if name == "habits.δ" else ())) for name in FIELDS]
    names = FieldNames(settings)
    for one in fields:
        yield doubts.choices(one, settings)
        yield from (said for _code, said in doubts.listed(one, settings))
        yield names.of(one)
        with pytest.raises(Unfit) as caught:
            doubts.answered(one, "Νέφος", settings)
        yield from (caught.value.expected, caught.value.remedy)
    with pytest.raises(Unfit) as caught:
        doubts.answered(fields[0], "9", settings)
    yield from (caught.value.expected, caught.value.remedy)
    for value in (True, False, "rest", 12.5, None, "done", "carried", "open"):
        yield sheet_fields.words(value)
    for mark in ("empty", "filled", "half", "stroke"):
        for certainty in (1.0, 0.6):
            yield sheet_fields.value_of("mood", [box("mood", 2, mark, certainty), box("mood", 3, "half")])[1]
        yield sheet_fields.value_of("tasks.0", [box("tasks.0 done", True, mark), box("tasks.0 carried", True, "half")])[
            1
        ]
    task = PaperTask(title="Κόλλα")
    of_day = [
        field("mood", doubt="α"), field("habits.π", value=True), field("habits.δ", value="rest"),
        field("hours.actual.υ 06:30", value=True), field("hours.actual.υ 07:00", doubt="α"),
        *(field("tasks.0", value=value, task=task) for value in ("done", "carried")),
        field("tasks.1", doubt="α"),
    ]  # fmt: skip
    yield from field_lines.of_day(TODAY, of_day)
    yield from names.day(of_day)
    yield sheet_fields.joined([field("mood", value=3), field("mood", value=4)])[0].doubt
    for kind in ("day", "month", "year"):
        yield from (sheet_reader.words((kind, TODAY, part)) for part in (0, 1))


def words_of_columns(book: Journal) -> Iterator[str]:
    """What the sheets have of journal.toml, with words of ours."""
    for column in month_plan.columns(book, periods.month(TODAY)):
        yield from (column.name, column.detail)
    for habit in day_plan.of(book, TODAY).habits:
        yield from (habit.name, habit.detail)


def words_of_sheets(book: Journal) -> Iterator[str]:
    """What is told of a sheet of a day: tasks and hours that cannot be written, marks of days to come."""
    (sheet, *_more) = day_sheet.of(book, TODAY)
    gone = field("tasks.0", value="done", task=PaperTask(title="Άλλο"))
    later = TODAY + dt.timedelta(days=5)
    fields = [
        gone,
        field("mood", value=3, date=later),
        field("hours.actual.υ 06:30", doubt="α", date=TODAY),
        field("tasks.0", value="carried", task=PaperTask(title="Χαρτί"), date=TODAY - dt.timedelta(days=1)),
    ]
    values = sheet_import.imported(book, "α", fields)
    yield from problem_texts(values.problems)
    yield from (problem.where for problem in values.problems)
    unknown = msgspec.structs.replace(sheet.layout, tasks=None)
    boxes = [
        BoxRead(one, "filled" if one.field == "tasks.0 done" else "empty", 1.0, (0, 0, 9, 9)) for one in unknown.boxes
    ]
    read = SheetRead(PictureFile("α", b"", 9, 9), unknown, boxes)
    found = sheet_fields.of(read)
    yield from photographs._changed_since(read, found, [])
    yield from photographs._changed_since(read, [], ["mood"])
    yield from photographs._changed_since(read, [], ["mood", "energy"])
    twice = ("hours.actual.α 06:30", "hours.actual.β 06:30")
    yield from (one.doubt for one in sheet_fields._once_a_time([field(name, value=True) for name in twice]))
    lines = {TODAY: sheet_pictures.jpeg(Image.new("RGB", (40, 30)))}
    for _again in range(2):
        yield from handwriting.keep(book, lines, now=NOW)
    captions = book.files.again().pages.current(TODAY.isoformat()).values["captions"]
    assert captions
    yield from captions.values()
    packed = paper_form._packed(
        [field("mood", 1, 2, doubt="α"), field("habits.π", value=True), field("energy", value=9)]
    )
    raw = {"read": [packed], "answers": {f"{TODAY}/mood/": "Νέφος"}}
    offer = paper_form.look(book, raw, now=NOW)
    yield from (offer.said, *(trouble.message for trouble in offer.problems), *(one.title for one in offer.asked))
    yield paper_form.look(book, {"read": []}, now=NOW).said
    yield paper_form.save(book, {"read": [paper_form._packed([field("habits.π", value=True)])]}, now=NOW).said
    yield paper_form.save(book, {"read": [paper_form._packed([field("habits.κ", value=True)])]}, now=NOW).said


def words_of_pictures() -> Iterator[str]:
    """What is told of files that are no pictures of sheets."""
    tiny = png(np.full((40, 40), 255, np.uint8))
    acts: list[Callable[[], object]] = [
        partial(picture_file.of, "α", b"walk"),
        partial(picture_file.of, "α", b"%PDF-1.7"),
        partial(picture_file.of, "α", tiny),
        partial(picture_file.of, "α", b"\0\0\0\x18ftypheic" + bytes(20)),
        partial(picture_file.read, Path("/α.jpg")),
        partial(paper_form.read, None, {"name": "α", "data": "?"}),  # type: ignore[arg-type]
        partial(paper_form.look, None, {"read": 3}, now=NOW),  # type: ignore[arg-type]
    ]
    yield from map(told, acts)
    yield str(picture_file.too_large("α"))
    for levels in (
        np.full((450, 450), 200, np.uint8),
        np.zeros((450, 450), np.uint8),
        np.random.default_rng(1).integers(0, 255, (450, 450)).astype(np.uint8),
    ):
        yield sheet_reader._why_nothing(levels, 0)
    yield sheet_reader._why_nothing(levels, 1)
    paper = (100.0, 0.0, 0.0)
    for steps, seen in (
        ((1.0, 2.0), (paper, paper)),
        ((1.0, 2.0), ((30.0, 9.0, 9.0),) * 2),
        ((float("nan"),), (paper,)),
    ):
        boxes = [PaperBox(field="key", date=TODAY, value=step, x=0, y=0) for step in steps]
        with pytest.raises(UsageError) as caught:
            swatch_colours.nearest(boxes, np.array(seen))
        yield str(caught.value)


KEYS = {"mood", "energy", "hours", "actual", "toml", "jpg", "handwriting", "pip", "install", "pillow", "heif", "or"}
"""Keys and commands; "or" is of `journal.folder`."""


def test_what_is_said_is_from_the_catalogue(book: Journal) -> None:
    with speaking(PSEUDO):
        texts = [
            *words_of_fields(book.settings), *words_of_columns(book), *words_of_sheets(book), *words_of_pictures(),
        ]  # fmt: skip
    assert len(set(texts)) > 100
    assert [(word, text) for text in texts for word in unknown_words(text) if word not in KEYS] == []


def test_an_answer_is_a_word_of_any_language(book: Journal) -> None:
    for language in (LANGUAGES["en"], GERMAN):
        with speaking(language):
            answers = [
                doubts.answered(field("tasks.0"), text, book.settings) for text in ("done", "Verschoben", "offen")
            ]
            assert answers == ["done", "carried", "open"]
            assert doubts.answered(field("habits.π"), "Nein", book.settings) is False


@pytest.mark.parametrize(("code", "typed"), [("en", "1,234"), ("de", "1.234")])
def test_a_number_that_could_be_thousands_is_asked_again(book: Journal, code: str, typed: str) -> None:
    counted = field("habits.δ", 5.0, 10.0)
    with speaking(LANGUAGES[code]):
        with pytest.raises(Unfit) as caught:
            doubts.answered(counted, typed, book.settings)
        assert typed in caught.value.remedy and "1234" in caught.value.remedy
        assert doubts.answered(counted, "12,5", book.settings) == 12.5


def test_german_sentences() -> None:
    with speaking(GERMAN):
        assert sheet_reader.words(("day", TODAY, 1)) == "Blatt des Tages 2025-03-13, Teil 2"
        half = [box("habits.read", 2.5, "half"), box("habits.read", 5, "filled", 0.6)]
        assert sheet_fields.value_of("habits.read", half)[1] == "2,5 halb gefüllt, 5 vielleicht gefüllt"
        assert month_plan.labels((0.5, 2000.0)) == ("0,5", "2000")
        cut_off = picture_file._first_line(OSError("image file is truncated (36 bytes not processed)"))
        assert cut_off == "die Bilddatei ist abgeschnitten (36 Byte unverarbeitet)"


def png(levels: NDArray[np.uint8]) -> bytes:
    out = io.BytesIO()
    Image.fromarray(levels).save(out, "PNG", compress_level=1)
    return out.getvalue()


def read(page: NDArray[np.float32]) -> PictureRead:
    """Read a print as it would be scanned without any fault, at 150 dots an inch."""
    (picture,) = picture_file.of("α", png(np.asarray(Image.fromarray((page * 255).astype(np.uint8)).reduce(2))))
    return sheet_reader.read(picture, partial(sheet_lookup.layout, simulated.book()))


def values(found: PictureRead) -> dict[str, Any]:
    (sheet,) = found.sheets
    fields = sheet_fields.of(sheet)
    assert [one.doubt for one in fields if one.doubt] == []
    return {f"{one.date.day} {one.field}": one.value for one in fields if one.value is not None}


def test_sheets_printed_in_german_are_read() -> None:
    with speaking(GERMAN):
        april = month_sheet.of(simulated.book(), periods.parse("2025-04", week_starts="monday"))[0]
        marks = {
            3: {"mood": "__#__", "habits.walk": "#", "habits.read": "#_#"},
            4: {"mood": "#____", "habits.stretch": "-"},
        }
        found = values(read(simulated.written(april, simulated.printed(april), marks)))
        assert found == {
            "3 mood": 3, "3 habits.walk": True, "3 habits.read": 25, "4 mood": 1, "4 habits.stretch": "rest",
        }  # fmt: skip
        friday = day_sheet.of(simulated.book(), dt.date(2025, 3, 14))[0]
        page = simulated.written(friday, simulated.printed(friday), {14: {"mood": "___#_", "energy": "_#___"}})
        day = read(page)
    assert values(day) == {"14 mood": 4, "14 energy": 2}
    assert has_lines(day) is False


def has_lines(found: PictureRead) -> bool:
    """Whether a sheet of a day is taken for one with lines that are written by hand."""
    (sheet,) = found.sheets
    assert sheet.lies is not None
    return handwriting.crop(sheet_pictures.straight(sheet.picture, sheet.lies), sheet.layout) is not None


def test_a_year_printed_in_german_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    with speaking(GERMAN):
        sheet = year_sheet.of(simulated.book().settings, periods.year(2025))
        monkeypatch.setattr(colouring, "year", lambda: (sheet.layout, simulated.printed(sheet)))
        page, steps = colouring.coloured(random.Random(3), colouring.PALETTES[0])
        (picture,) = picture_file.of("a.jpg", colouring.photographed(page, Shot(megapixels=2, quality=70), 1))
        (read_sheet,) = sheet_reader.read(picture, partial(sheet_lookup.layout, simulated.book())).sheets
    fields = sheet_fields.of(read_sheet)
    wrong = [one.date for one, step in zip(fields, steps, strict=True) if not one.doubt and one.value != step]
    assert (wrong, sum(bool(one.doubt) for one in fields) < 12) == ([], True)
