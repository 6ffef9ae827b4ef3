"""The PDF of the paper sheets: size, position, tags, and nothing over an edge.

A5 is 148 by 210 mm, A4 210 by 297 (ISO 216). That the outer 5 mm of a sheet may stay bare in a printer, and that lines
to write on are 8 mm apart, is common practice, no source.
"""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from pathlib import Path
from typing import Any

import msgspec
import pytest

import journal
from journal import Journal, periods
from journal.export import day_sheet, month_sheet, sheets
from journal.export.sheets import PaperSheet
from journal.export.typesetting import Paper
from tests import journals
from tests.export.crowded import LONG, crowded
from tests.export.drawn import MILLIMETRE, Shape, shapes
from tests.export.printed import Leaf, fonts, leaves, painted, read, tagged

__all__ = ["crowded"]  # a fixture

THURSDAY, FRIDAY = dt.date(2025, 3, 13), dt.date(2025, 3, 14)
NOWHERE = "\U0010fffd"
"""A letter for private use that no font has."""
PAPERS: tuple[Paper, ...] = ("a5", "a4")


@pytest.fixture(scope="module")
def year() -> Journal:
    return journal.open("example_year", today=THURSDAY, cache=False)


@pytest.fixture(scope="module")
def chosen(year: Journal) -> dict[Paper, list[PaperSheet]]:
    return {paper: sheets.chosen(year, THURSDAY, "all", paper) for paper in PAPERS}


@pytest.fixture(scope="module")
def made(chosen: dict[Paper, list[PaperSheet]]) -> dict[Paper, bytes]:
    return {paper: sheets.make(chosen[paper], paper).data for paper in PAPERS}


@pytest.fixture(scope="module")
def much(crowded: Journal) -> list[Leaf]:
    """The sheets of the crowded journal."""
    return leaves(sheets.make(sheets.chosen(crowded, THURSDAY, "all", "a5")).data)


def texts(data: bytes) -> list[str]:
    return [leaf.text for leaf in leaves(data)]


def whole(data: bytes) -> str:
    return " ".join(" ".join(texts(data)).split())


def drawn(some: list[PaperSheet], paper: Paper = "a5") -> list[list[Shape]]:
    return [shapes(page) for page in read(sheets.make(some, paper).data).pages]


def test_pages_have_their_real_size(made: dict[Paper, bytes]) -> None:
    for paper, size in (("a5", (148, 210)), ("a4", (297, 210))):
        for page in read(made[paper]).pages:  # type: ignore[index]
            assert [float(side) / MILLIMETRE for side in page.mediabox] == pytest.approx([0, 0, *size], abs=0.01)


def test_sheets_come_in_order_two_of_a5_to_an_a4(made: dict[Paper, bytes]) -> None:
    assert [text.split("\n")[0] for text in texts(made["a5"])] == ["Friday", "April 2025", "2025"]
    left, right = texts(made["a4"])
    assert all(word in left for word in ("14 March 2025, week 11", "15 March 2025, week 11"))
    assert all(word in right for word in ("April 2025", "2025", "1 heavy"))


def test_halves_of_a4_equal_a5_and_the_cut_is_in_the_middle(chosen: dict[Paper, list[PaperSheet]]) -> None:
    ((*cuts,), (*alone,)) = (drawn(chosen["a4"][:2], "a4")[0], drawn(chosen["a4"][1:2])[0])
    marks = [shape for shape in cuts if shape.top < 0.01 or shape.bottom > 209.99]
    assert [edge for mark in marks for edge in (mark.left, mark.right)] == pytest.approx([148.5] * 4, abs=0.001)
    right = [shape for shape in cuts if shape.left > 149]
    assert len(right) == len(alone)
    for one, other in zip(right, alone, strict=True):
        assert tuple(one) == pytest.approx(
            tuple(other._replace(left=other.left + 148.5, right=other.right + 148.5)), abs=0.001
        )


def test_only_due_days_have_a_box(year: Journal) -> None:
    (sheet,) = month_sheet.of(year, periods.parse("2025-04", week_starts="monday"))
    full = drawn([sheet])[0]
    others = tuple(box for box in sheet.layout.boxes if box.field != "habits.call")
    bare = msgspec.structs.replace(sheet, layout=msgspec.structs.replace(sheet.layout, boxes=others))
    without = drawn([bare])[0]
    boxes = sorted({shape for shape in full if shape not in without})
    assert len(boxes) == 4  # Sundays: the 6th, 13th, 20th and 27th
    rules = [shape for shape in full if shape.width > 117 and shape.height < 0.01]
    assert len(rules) == 31  # above each of the 30 days, and below the last
    rows = [sum(rule.top < box.top for rule in rules) for box in boxes]
    assert rows == [6, 13, 20, 27]


def test_lines_to_write_on_are_8_mm_apart(chosen: dict[Paper, list[PaperSheet]]) -> None:
    lines = [
        shape.bottom
        for shape in drawn(chosen["a5"][:1])[0]
        if shape.width > 117 and shape.height < 0.2 and shape.top > 100
    ]
    assert len(lines) == 4  # two good things, two lines to remember
    assert [lower - upper for upper, lower in pairwise(lines)] == pytest.approx([8, 8, 8], abs=0.01)


def test_weekends_show_without_colour(chosen: dict[Paper, list[PaperSheet]], made: dict[Paper, bytes]) -> None:
    corners = [one for one in drawn(chosen["a5"][2:])[0] if (round(one.width, 1), round(one.height, 1)) == (1.5, 1.5)]
    weekends = [(dt.date(2025, 1, 1) + dt.timedelta(days=nth)).weekday() >= 5 for nth in range(365)]
    assert len(corners) == sum(weekends) == 104
    assert all(texts(made["a5"])[1].count(name) == 4 for name in ("Sat", "Sun"))  # of April 2025


def test_hours_show_without_colour(chosen: dict[Paper, list[PaperSheet]], made: dict[Paper, bytes]) -> None:
    text = texts(made["a5"])[0]
    assert all(name in text for name in ("Sleep", "Morning", "Workshop", "Outside", "Music", "Errands"))


def test_it_is_tagged_for_screen_readers(chosen: dict[Paper, list[PaperSheet]], made: dict[Paper, bytes]) -> None:
    for paper, data in made.items():
        root: Any = read(data).trailer["/Root"]
        assert (str(root["/MarkInfo"]["/Marked"]), root["/Lang"]) == ("True", "en")
        assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data()
        parts = list(tagged(root["/StructTreeRoot"]["/K"]))
        alts = [str(part["/Alt"]) for part in parts if part["/S"] == "/Figure"]
        assert alts == [sheet.alt for sheet in chosen[paper]]
        assert {"/H1", "/H2", "/P"} <= {str(part["/S"]) for part in parts}
    day, grid, colours = (sheet.alt for sheet in chosen["a5"])
    assert "Workshop 09:00 to 12:30" in day and "14:00 to 14:30 Delivery of boards" in day
    assert "Call home: due on 6, 13, 20 and 27;" in grid and "See an exhibition: twice a month;" in grid
    assert colours.startswith("The 365 days of 2025")


def test_every_font_is_embedded_and_the_file_has_no_date(made: dict[Paper, bytes]) -> None:
    for data in made.values():
        assert all(fonts(data).values())
        assert set(read(data).metadata or {}) == {"/Title", "/Creator"}


def test_the_same_journal_makes_the_same_bytes(year: Journal, made: dict[Paper, bytes]) -> None:
    assert sheets.make(sheets.chosen(year, THURSDAY, "all", "a5"), "a5").data == made["a5"]


def _framed(page: Any, paper: Paper, ppi: int) -> int:
    """The darkest pixel in the margins: 7 mm at the edges, 15 mm at the left of each sheet."""
    dot = ppi / 25.4
    bare = page.copy()
    for left in (0, 148.5) if paper == "a4" else (0,):
        bare[round(7 * dot) : -round(7 * dot), round((left + 15) * dot) : round((left + 141) * dot)] = 0
    if paper == "a4":
        bare[:, round(147.5 * dot) : round(149.5 * dot)] = 0  # the cut marks
    return int(bare.max())


def test_nothing_runs_over_an_edge(crowded: Journal, chosen: dict[Paper, list[PaperSheet]]) -> None:
    for paper, some in (*chosen.items(), ("a5", sheets.chosen(crowded, THURSDAY, "all", "a5"))):
        for number, page in enumerate(painted("sheets", sheets.data(some, paper, frozenset()), 25), start=1):
            assert _framed(page, paper, 25) < 8, (paper, number)
            assert page.max() > 60, (paper, number)


def test_nothing_is_lost_on_crowded_sheets(crowded: Journal, much: list[Leaf]) -> None:
    squeezed = "".join("".join(page.text for page in much).split())
    habits = [habit.name for sheet in day_sheet.of(crowded, FRIDAY) for habit in sheet.words.habits]
    for title in (
        "Quote for the choir folders " * 7,
        "W" * 150,
        "Task 7",
        "Paper merchant " * 12,
        "5:00 pm",
        "all day",
    ):
        assert "".join(title.split()) in squeezed, title
    assert len(habits) == 20 and all("".join(name.split()) in squeezed for name in habits)
    assert "SleepWorkHomePeople" in squeezed  # each category has its row, planned or not
    assert "51to70°F" in squeezed and "noon" in squeezed
    # A name that does not fit the grid is in full on the next page.
    grid, names = ("".join(page.text.split()) for page in much[4:6])
    assert "…" in grid and f"Infull:{''.join(LONG.split())}0;" in names


def test_no_page_is_empty_and_letters_can_be_read(much: list[Leaf], made: dict[Paper, bytes]) -> None:
    for page in (*much, *leaves(made["a5"]), *leaves(made["a4"])):
        assert page.text.strip()
        # pypdf reports no size for rotated text.
        assert min(piece.size for piece in page.said if piece.size > 0) >= 6.9


def test_markup_is_shown_as_text_and_missing_glyphs_as_codes(tmp_path: Path) -> None:
    titles = ['#import "x"', "*bold* _it_", "$x$ <label> @ref", "= heading // x"]
    page = {
        "tasks": [{"title": title} for title in titles],
        "appointments": [{"title": f"Sewn {NOWHERE}", "start": "08:00"}],
    }
    book = journal.open(journals.write(tmp_path / "odd", {FRIDAY: page}), today=THURSDAY, cache=False)
    made = sheets.make(sheets.chosen(book, THURSDAY, "day", "a5"))
    text = whole(made.data)
    assert [title for title in titles if title not in text] == []
    assert made.missing == (NOWHERE,)
    assert "Sewn [U+10FFFD]" in text and "1 letter has no font on this machine" in text
