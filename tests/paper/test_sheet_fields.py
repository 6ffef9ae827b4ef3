"""From marks to values: what the boxes of a field say together, and what is asked. Small tables, by hand."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import journal
from journal.paper import number_boxes, sheet_fields, sheet_import
from journal.paper.box_marks import MarkKind
from journal.paper.layout import PaperBox, SheetLayout
from journal.paper.picture_file import PictureFile
from journal.paper.sheet_fields import FieldRead
from journal.paper.sheet_reader import BoxRead, SheetRead
from tests import journals

DATE = dt.date(2025, 4, 2)
KINDS: dict[str, MarkKind] = {"_": "empty", "-": "stroke", "/": "half", "#": "filled"}
YES_NO = (True,)
MOOD = (1, 2, 3, 4, 5)
PAGES = (5.0, 10.0, 20.0)
LIMIT = (0.0, 10.0, 20.0, 40.0)


def boxes(values: tuple[bool | float, ...], signs: str, field: str = "", date: dt.date = DATE) -> list[BoxRead]:
    """Boxes with these values and marks; a "?" behind a sign makes its box unsure."""
    marks = [(sign, f"{signs} "[nth + 1] == "?") for nth, sign in enumerate(signs) if sign != "?"]
    assert len(marks) == len(values)
    return [
        BoxRead(
            PaperBox(field=field, date=date, value=value, x=0, y=0), KINDS[sign], 0.8 if unsure else 1, (0, 0, 9, 9)
        )
        for value, (sign, unsure) in zip(values, marks, strict=True)
    ]


@pytest.mark.parametrize(
    ("field", "values", "signs", "value", "doubt"),
    [
        ("mood", MOOD, "_____", None, ""),
        ("mood", MOOD, "___#_", 4, ""),
        ("mood", MOOD, "__##_", None, "3 filled, 4 filled"),
        ("mood", MOOD, "__#_?_", None, "3 filled, 4 perhaps empty"),
        ("mood", MOOD, "__/__", None, "3 half"),
        ("mood", MOOD, "__-__", None, "3 stroke"),
        ("habits.walk", YES_NO, "_", None, ""),
        ("habits.walk", YES_NO, "#", True, ""),
        ("habits.walk", YES_NO, "-", "rest", ""),
        ("habits.walk", YES_NO, "/", None, "half"),
        ("habits.walk", YES_NO, "#?", None, "perhaps filled"),
        ("habits.walk", YES_NO, "_?", None, "perhaps empty"),
        ("challenges.letters", YES_NO, "#", True, ""),
        ("challenges.letters", YES_NO, "-", None, "stroke"),
        ("challenges.letters", YES_NO, "/", None, "half"),
        ("habits.read", PAGES, "___", None, ""),
        ("habits.read", PAGES, "#_#", 25, ""),
        ("habits.read", PAGES, "###", 35, ""),
        ("habits.read", PAGES, "/__", 2.5, ""),
        ("habits.read", PAGES, "_-_", "rest", ""),
        ("habits.read", PAGES, "---", "rest", ""),
        ("habits.read", PAGES, "#-_", None, "5 filled, 10 stroke"),
        ("habits.read", PAGES, "#_?_", None, "5 filled, 10 perhaps empty"),
        ("habits.screen", LIMIT, "#___", 0, ""),
        ("habits.screen", LIMIT, "##__", None, "0 filled, 10 filled"),
        ("habits.screen", LIMIT, "/___", None, "0 half"),
        ("habits.screen", LIMIT, "_##_", 30, ""),
    ],
)  # fmt: skip
def test_what_boxes_say_together(
    field: str, values: tuple[bool | float, ...], signs: str, value: Any, doubt: str
) -> None:
    found, why = sheet_fields.value_of(field, boxes(values, signs))
    assert (found, type(found), why) == (value, type(value), doubt)


@given(st.sampled_from((1.0, 3.0, 20.0, 30.0, 0.5, 10_000.0)), st.integers(1, 7))
def test_filled_number_boxes_add_up_to_every_multiple(target: float, chosen: int) -> None:
    values = number_boxes.values(target, "at least")
    signs = "".join("#" if chosen >> nth & 1 else "_" for nth in range(3))
    found, doubt = sheet_fields.value_of("habits.read", boxes(values, signs))
    assert doubt == "" and found == pytest.approx(chosen * values[0])


def field(signs: str, photo: str = "a.jpg", date: dt.date = DATE) -> FieldRead:
    read = boxes(MOOD, signs, "mood", date)
    value, doubt = sheet_fields.value_of("mood", read)
    return FieldRead(field="mood", date=date, photo=photo, boxes=tuple(read), value=value, doubt=doubt)


def test_two_prints_of_a_sheet_are_one_and_differing_ones_are_asked() -> None:
    for signs, value, doubt in (
        (("___#_", "_____"), 4, ""),
        (("_____", "___#_"), 4, ""),
        (("___#_", "___#?_"), 4, ""),
        (("_____", "___#?_"), None, "4 perhaps filled"),
        (("___#_", "__#__"), None, "4 in a.jpg, 3 in b.jpg"),
    ):
        (one,) = sheet_fields.joined([field(signs[0]), field(signs[1], "b.jpg")])
        assert (one.value, one.doubt) == (value, doubt)


def test_days_come_in_order_and_a_place_without_a_box_counts_if_it_is_marked() -> None:
    later = dt.date(2025, 4, 3)
    every = boxes(YES_NO, "#", "habits.walk", later)
    for field, kind, mark in (("call", "off", "filled"), ("swim", "off", "empty"), ("read", "rest", "empty")):
        box = PaperBox(field=f"habits.{field}", date=DATE, value=True, x=0, y=0, kind=kind)
        every.append(BoxRead(box, KINDS["#"] if mark == "filled" else "empty", 1, (0, 0, 9, 9)))
    layout = SheetLayout(kind="month", first=DATE.replace(day=1), part=0, digest=0, boxes=())
    sheet = SheetRead(PictureFile("a.jpg", b"", 9, 9), layout, every)
    assert [(one.date, one.field) for one in sheet_fields.of(sheet)] == [(DATE, "habits.call"), (later, "habits.walk")]


def test_a_day_to_come_can_have_rest_only(tmp_path: Path) -> None:
    book = journal.open(journals.write(tmp_path, {}), today=DATE, cache=False)
    ahead = dt.date(2025, 4, 9)
    walk = boxes(YES_NO, "-", "habits.walk", ahead)
    rest = FieldRead(field="habits.walk", date=ahead, photo="a.jpg", boxes=tuple(walk), value="rest")
    found = sheet_import.imported(book, "a.jpg", [field("___#_"), field("___#_", date=ahead), rest])
    assert [(one.key, one.path, one.value) for one in found.values] == [
        ("2025-04-02", ("mood",), 4),
        ("2025-04-09", ("habits", "walk"), "rest"),
    ]
    (problem,) = map(str, found.problems)
    assert problem.startswith('a.jpg: mood of 2025-04-09: expected a day up to 2025-04-02, got "4"; it is left out')
