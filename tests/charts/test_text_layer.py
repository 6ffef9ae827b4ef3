"""Texts put back into a drawing: the result must equal Vega's drawing of the whole, byte for byte."""

from __future__ import annotations

import json
import string
from collections.abc import Iterable
from itertools import product
from typing import Any
from xml.etree import ElementTree

import pytest
import vl_convert
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.charts.canvas import Canvas, Drawing, text_width
from journal.charts.text_layer import _AS_WIDE, _KNOWN, AT_MOST, Lifted, lettered, lifted
from tests.charts import frames

WIDTH, HEIGHT = 200, 60
ALIGNS = ("left", "center", "right")
KNOWN = [letter for letter in map(chr, range(0x3000)) if _KNOWN.fullmatch(letter)]
NAMES = ["Walk by the river", "Practise the accordion", "Ž", "n of m", "WWWW", "%%%%", "rrrrrr & more", "@@@@@@", "&&&"]
OTHERS = [
    "",
    " ",
    " ends",
    "ends ",
    "a\nb",
    "æ",
    "Ж",
    "中文",
    "🧵",
    "a\u0301",
    "\u05e9\u05dc",
    "\ufffd",
    "<b>",
    "&amp;",
    7,
    None,
]


def by_vega(spec: Drawing) -> ElementTree.Element:
    return ElementTree.fromstring(vl_convert.vegalite_to_svg(json.dumps(spec)))


def by_us(parts: Lifted) -> ElementTree.Element:
    root = by_vega(parts.spec)
    lettered(root, parts.words)
    return root


def assert_same(spec: Drawing) -> None:
    as_given = json.dumps(spec)
    assert ElementTree.tostring(by_us(lifted(spec))) == ElementTree.tostring(by_vega(spec))
    assert json.dumps(spec) == as_given


def drawn(rows: Iterable[tuple[float | None, float | None, Any, str, float, bool, float]]) -> Drawing:
    sheet = Canvas(WIDTH)
    sheet.rects([{"x": 0, "y": 0, "x2": 9, "y2": 9, "label": "a box"}])
    for nth, (x, y, text, align, size, bold, limit) in enumerate(rows):
        row = {"x": x, "y": y, "text": text} | ({"label": f"{nth}: {text}"} if nth % 2 else {})
        sheet.texts([row], align=align, size=size, bold=bold, limit=limit, name="titles" if nth % 3 else "")
    return sheet.drawing(HEIGHT)


texts = st.sampled_from(NAMES) | st.sampled_from(OTHERS) | st.text(KNOWN, min_size=1, max_size=30)
places = st.floats(-20, WIDTH + 20) | st.sampled_from([0, WIDTH, WIDTH / 2, None])
rows = st.tuples(
    places, st.sampled_from([-30, 0, 5, 30, HEIGHT, HEIGHT + 30, None]), texts, st.sampled_from(ALIGNS),
    st.sampled_from([11.5, 12.5, 30]), st.booleans(), st.sampled_from([0, 20, 60, 160]),
)  # fmt: skip


@settings(max_examples=25)
@given(st.lists(rows, min_size=1, max_size=12))
def test_any_text_at_any_place(some: list[tuple[Any, ...]]) -> None:
    assert_same(drawn(some))


@pytest.mark.parametrize("bold", [False, True])
def test_no_known_letter_is_wider_than_the_bound(bold: bool) -> None:
    """Each letter is placed where it just fits by our measure. If Vega measured it wider, the drawing would grow."""
    assert len(KNOWN) > 290 and set(string.printable.strip()) <= set(KNOWN)
    size = 100.0
    sheet = Canvas(1000)
    for letter in filter(str.strip, KNOWN):
        across = AT_MOST * text_width(letter.translate(_AS_WIDE), size)
        sheet.texts([{"x": 1000 - across, "y": 100, "text": letter}], size=size, bold=bold)
    spec = sheet.drawing(200)
    assert None not in lifted(spec).words
    assert by_vega(spec).get("viewBox") == "0 0 1000 200"


def test_only_texts_that_certainly_fit_are_lifted() -> None:
    spec = drawn([
        (0, 9, "Walk", "left", 12, False, 0), (-1, 9, "Walk", "left", 12, False, 0),
        (WIDTH, 9, "Walk", "right", 12, False, 0), (WIDTH, 9, "Walk", "left", 12, False, 0),
        (WIDTH / 2, 9, "Walk", "center", 12, False, 60), (3, 9, "Walk", "center", 12, False, 0),
        (0, 9, "Walk", "left", 12, False, 20), (None, 9, "Walk", "left", 12, False, 0),
        (0, 9, "中", "left", 12, True, 0),
    ])  # fmt: skip
    took = lifted(spec)
    assert sorted(word or "" for word in took.words) == [""] * 5 + ["Walk"] * 3
    left = frames.words(ElementTree.tostring(by_vega(took.spec), encoding="unicode"))
    assert left.count("Walk") == 3 and "中" in left
    assert_same(spec)


def test_a_title_is_left_to_vega() -> None:
    spec = drawn([(x, 9, "Walk", align, 12, False, 0) for x, align in product((0, WIDTH / 2, WIDTH), ALIGNS)])
    assert_same({**spec, "title": {"text": ["Walk", "by the river"], "subtitle": ["Walk"], "anchor": "start"}})


def test_a_specification_not_made_by_a_canvas_is_left_whole() -> None:
    mine = drawn([(0, 9, "Walk", "left", 12, False, 0)])
    named = {**mine, "datasets": {"a": []}, "layer": [{**layer, "data": {"name": "a"}} for layer in mine["layer"]]}
    assert lifted(named) == (named, ())
