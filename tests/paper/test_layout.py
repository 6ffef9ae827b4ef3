"""The corner codes and the layout of sheets: against the standard's example, another reader, and the printed PDF."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

import journal
from journal import Journal, periods
from journal.export import day_sheet, month_sheet, sheets, year_sheet
from journal.paper import frame, month_layout, month_plan, number_boxes, sheet_code
from journal.paper.layout import SheetLayout
from journal.paper.sheet_code import KINDS, CornerCode, PaperKind
from journal.settings import Scale
from tests.export.drawn import shapes
from tests.export.printed import read

Drawn = NDArray[np.float64]
"""The left and upper edge and the width of each shape of a page."""


@pytest.fixture(scope="module")
def year() -> Journal:
    return journal.open("example_year", today=dt.date(2025, 3, 13), cache=False)


def test_codewords_are_those_of_the_standard() -> None:
    """ISO/IEC 16022, annex O: "123456" in 10 by 10 modules, codewords 142 164 186 114 25 5 88 102 (from memory).

    `_placed` draws these codewords by the module placement of annex F, which is from memory too; all modules agree.
    """
    made = np.asarray(
        zxingcpp.create_barcode("123456", zxingcpp.BarcodeFormat.DataMatrix).to_image(scale=1, add_quiet_zones=False)
    )
    assert made.shape == (10, 10)
    assert ((made < 128) == _placed([142, 164, 186, 114, 25, 5, 88, 102], 8)).all()


def _placed(codewords: list[int], size: int) -> NDArray[np.bool_]:
    """The symbol of codewords: the module placement of ISO/IEC 16022, annex F, inside of its finder pattern."""
    inside: dict[tuple[int, int], bool] = {}

    def module(row: int, column: int, word: int, bit: int) -> None:
        if row < 0:
            row, column = row + size, column + 4 - (size + 4) % 8
        if column < 0:
            row, column = row + 4 - (size + 4) % 8, column + size
        inside[row, column] = bool(codewords[word] >> (7 - bit) & 1)

    def utah(row: int, column: int, word: int) -> None:
        steps = [(-2, -2), (-2, -1), (-1, -2), (-1, -1), (-1, 0), (0, -2), (0, -1), (0, 0)]
        for bit, (down, across) in enumerate(steps):
            module(row + down, column + across, word, bit)

    row, column, word = 4, 0, 0
    while row < size or column < size:
        while True:
            if row < size and column >= 0 and (row, column) not in inside:
                utah(row, column, word)
                word += 1
            row, column = row - 2, column + 2
            if not (row >= 0 and column < size):
                break
        row, column = row + 1, column + 3
        while True:
            if row >= 0 and column < size and (row, column) not in inside:
                utah(row, column, word)
                word += 1
            row, column = row + 2, column - 2
            if not (row < size and column >= 0):
                break
        row, column = row + 3, column + 1
    assert word == len(codewords)
    symbol = np.zeros((size + 2, size + 2), bool)
    symbol[:, 0] = symbol[-1, :] = True
    symbol[0, ::2] = symbol[1::2, -1] = True
    for (row, column), dark in inside.items():
        symbol[row + 1, column + 1] = dark
    return symbol


@given(
    st.integers(0, 3),
    st.sampled_from(KINDS),
    st.integers(0, 7),
    st.dates(dt.date(1950, 1, 1), dt.date(2149, 11, 1)),
    st.integers(0, 511),
)
def test_a_corner_says_what_was_written_into_it(
    corner: int, kind: PaperKind, part: int, first: dt.date, piece: int
) -> None:
    code = CornerCode(corner, kind, part, first, piece)
    assert sheet_code.read(sheet_code.text(code)) == code


@given(st.text(max_size=12))
def test_other_codes_are_no_corners(text: str) -> None:
    code = sheet_code.read(text)
    assert code is None or sheet_code.text(code) == text


def test_another_reader_reads_the_modules() -> None:
    digits = sheet_code.text(CornerCode(3, "day", 1, dt.date(2025, 3, 14), 300))
    dark = np.array(sheet_code.modules(digits))
    picture = np.where(np.kron(np.pad(dark, 2), np.ones((5, 5), bool)), 0, 255).astype(np.uint8)
    assert [code.text for code in zxingcpp.read_barcodes(picture)] == [digits]


def test_number_boxes_reach_the_target_and_are_round() -> None:
    for target in (1, 2, 3, 5, 8, 10, 12, 20, 30, 45, 90, 400, 8000, 0.5, 2.5):
        values = number_boxes.values(target, "at least")
        assert values[0] <= max(1, target) and target <= sum(values)
        assert values[1] == 2 * values[0] and values[2] == 4 * values[0]
        assert f"{values[0]:e}"[0] in "125"


def test_the_pdf_has_its_boxes_codes_and_dots_where_the_layout_says(year: Journal) -> None:
    (month,) = month_sheet.of(year, periods.parse("2025-04", week_starts="monday"))
    whole = year_sheet.of(year.settings, periods.year(2025))
    (day,) = day_sheet.of(year, dt.date(2025, 3, 14))
    pages = read(sheets.make([month, whole, day]).data).pages
    for page, layout in zip(pages, (month.layout, whole.layout, day.layout), strict=True):
        drawn = np.array([(one.left, one.top, one.width) for one in shapes(page)])
        for box in layout.boxes:
            assert not box.is_printed or _near(drawn, box.x, box.y, box.width), box
        for point in (point for points in frame.dots().values() for point in points):
            assert _near(drawn, point.x - frame.DOT / 2, point.y - frame.DOT / 2, frame.DOT), point
        for corner, digits in zip(frame.codes(), layout.codes(), strict=True):
            foot = frame.MODULES - 1
            assert all(sheet_code.modules(digits)[foot])
            assert _near(drawn, corner.x, corner.y + foot * frame.MODULE, frame.CODE)


def _near(drawn: Drawn, *place: float) -> bool:
    return bool((abs(drawn - np.array(place)).max(axis=1) < 0.02).any())


def test_boxes_keep_clear_of_each_other_and_of_the_frame(year: Journal) -> None:
    book = journal.open("example_year", today=dt.date(2025, 3, 13), cache=False)
    for key in ("2025-03", "2025-05", "2025-12"):
        for sheet in month_sheet.of(book, periods.parse(key, week_starts="monday")):
            _is_clear(sheet.layout)
    _is_clear(year_sheet.of(book.settings, periods.year(2024)).layout)
    for day in (dt.date(2025, 3, 14), dt.date(2025, 9, 6)):
        _is_clear(day_sheet.of(book, day)[0].layout, apart=0.4)  # half hours are nearer to each other


def _is_clear(layout: SheetLayout, apart: float = 0.6) -> None:
    edges = np.array([(box.x, box.y, box.x + box.width, box.y + box.height) for box in layout.boxes])
    assert edges[:, 0].min() > frame.LEFT + frame.DOT + 1 and edges[:, 2].max() < frame.RIGHT - frame.DOT - 1
    assert edges[:, 3].max() < frame.BOTTOM - frame.CODE
    left, top, right, bottom = (edges[:, nth] for nth in range(4))
    meets = (left[:, None] < right + apart) & (left < right[:, None] + apart)
    meets &= (top[:, None] < bottom + apart) & (top < bottom[:, None] + apart)
    assert meets.sum() == len(edges)  # each only itself


def test_the_digest_is_of_keys_and_kinds_not_of_names_or_days(year: Journal) -> None:
    april, may = (periods.parse(key, week_starts="monday") for key in ("2025-04", "2025-06"))
    columns = month_plan.columns(year, april)
    one = month_layout.of(columns, april, 0, prompted=False).digest
    assert one == month_layout.of(columns, may, 0, prompted=False).digest
    assert one != month_layout.of(columns[::-1], april, 0, prompted=False).digest
    mood = next(month_plan.mood(Scale(low=1, high=6), april))
    assert one != month_layout.of((mood, *columns[1:]), april, 0, prompted=False).digest
