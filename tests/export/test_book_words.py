"""The printed book of small documents: hostile and long words, missing glyphs, short years."""

from __future__ import annotations

import datetime as dt
import itertools
import re

import msgspec
import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.charts import kept_drawings, year_pixels
from journal.charts.figure import _finished
from journal.entry import Entry
from journal.export import book, missing_glyphs
from journal.export.document import (
    Chapter,
    Document,
    Facts,
    Grid,
    Picture,
    Reflection,
    ReflectionAnswer,
    Sentences,
    Words,
)
from journal.export.typesetting import Paper
from journal.export.year_document import contents
from tests.export import books
from tests.export.printed import ink, read, tagged
from tests.export.small_documents import memories, of, outside, picture, texts, together

NOWHERE = "\U0010fffd"
"""A letter for private use that no font has."""
SLOVENE = "Črta, žlica, ščurek"


def test_the_same_document_makes_the_same_bytes() -> None:
    days = pl.DataFrame({"date": [dt.date(2025, 1, 1)], "logged": [True], "mood": [3.0]})
    drawn = year_pixels.draw(days, 2025, today=dt.date(2025, 1, 1))
    document = of(Picture(figure=drawn, spread=True), Picture(figure=drawn), memories("One."))
    kept_drawings.keep_in(None)
    first = book.pdf(document)
    _finished.cache_clear()
    assert book.pdf(document) == first
    assert book.pdf(document, paper="a4") != first


def test_markup_is_shown_as_text() -> None:
    said = [
        '#import "x"',
        "#panic()",
        "$x^2$",
        "*bold* _it_ `raw`",
        "</svg><script>",
        "a\\b\\n\\u{41}",
        "<label> @ref",
        "= heading",
        "// /* x */",
        "\"a\" 'b' -- ---",
        "[x] #[y]",
        "~",
        "&amp; %s {0}",
        "http://example.org/x",
    ]
    document = of(memories(*said), Facts(title="$t$", facts=(("#a", "*b*"),)), Picture(figure=picture("#x $y$ <b>")))
    whole = "\n".join(texts(book.pdf(document)))
    assert [text for text in (*said, "$t$", "#a *b*", "#x $y$ <b>") if text not in whole] == []


def test_letters_of_many_scripts_are_kept() -> None:
    said = f"{SLOVENE}, Ελληνικά γράμματα, Привет мир, e\u0301."
    made = book.make(of(memories(said)))
    assert made.missing == ()
    assert said.replace("e\u0301", "é") in "".join(texts(made.data)).replace("e\u0301", "é")
    assert "no font" not in "".join(texts(made.data))


def test_a_missing_glyph_shows_as_its_code_and_is_reported_once() -> None:
    document = of(memories(f"Sewn {NOWHERE}."), Picture(figure=picture(f"Thread {NOWHERE}")), title=f"Spine {NOWHERE}")
    made = book.make(document)
    assert made.missing == (NOWHERE,)
    pages = texts(made.data)
    assert together("Spine [U+10FFFD]") in together(pages[0])
    last = "\n".join(pages[2:])
    assert "Sewn [U+10FFFD]." in last
    assert last.count("Thread [U+10FFFD]") == 2  # the title of the drawing, and the word in it
    assert together(last).count(together(missing_glyphs.warning(made.missing))) == 1
    alts = [str(p["/Alt"]) for p in tagged(read(made.data).trailer["/Root"]["/StructTreeRoot"]) if p["/S"] == "/Figure"]  # type: ignore[index]
    assert alts == ["The word Thread [U+10FFFD]."]


@given(st.text(st.sampled_from("ab -\u0301中\u200d"), max_size=60))
def test_a_long_word_gets_break_points_and_loses_no_letter(text: str) -> None:
    cut = missing_glyphs.breakable(text)
    assert cut.replace(missing_glyphs.BREAK, "") == text
    assert "\u0301" not in [part[:1] for part in cut.split(missing_glyphs.BREAK)[1:]]
    if "\u0301" not in text and "\u200d" not in text:
        runs = itertools.chain.from_iterable(
            re.sub(r"(?<=[ab中]-)(?=[ab])|中", " ", part).split() for part in cut.split(missing_glyphs.BREAK)
        )
        assert max(map(len, runs), default=0) <= missing_glyphs.LONGEST


@pytest.mark.parametrize("paper", ["a5", "a4"])
def test_nothing_runs_over_the_edge(paper: Paper) -> None:
    long = "W" * 120
    document = of(
        memories("x" * 2000, "a word of many " * 140, "https://example.org/" + "abc/" * 80, *["A line of a day."] * 40),
        Facts(title=long, facts=((long, long), ("a", long))),
        Grid(title="A table", header=("Habit", "Longest", "n"), rows=((long, long, "12"),) * 8, numeric=(2,)),
        Grid(
            title="A table of numbers",
            header=("Habit", *"abcdef"),
            rows=((long, *["1,234 of 5,678"] * 6),),
            numeric=tuple(range(1, 7)),
        ),
        Sentences(title=long, sentences=((long, long),)),
        Reflection(title=long, answers=(ReflectionAnswer(prompt=long, text=long),)),
        Words(title=long, paragraphs=(long,), care=True),
        Picture(figure=msgspec.structs.replace(picture("Short"), title=long, subtitle=long)),
        title=long,
    )
    for number, page in enumerate(ink(document, paper), start=1):
        assert outside(page, ppi=24) < 8, number
        assert page.max() > 40, number


@pytest.mark.parametrize(
    "days",
    [
        [],
        [dt.date(2025, 5, 1)],
        [dt.date(2024, 2, 28) + dt.timedelta(days=n) for n in range(3)],
        [dt.date(2025, 11, 20) + dt.timedelta(days=n) for n in range(60)],
    ],
    ids=["empty", "one day", "leap year", "half outside"],
)
def test_short_years(days: list[dt.date]) -> None:
    entries = {day: Entry(mood=3 + day.day % 2, memory=f"Memory of {day}") for day in days}
    document = contents(books.book(entries), min(days, default=dt.date(2025, 1, 1)).year)
    made = texts(book.pdf(document))
    assert all(page.strip() for page in made)
    assert 3 <= len(made) <= 14
    whole = "\n".join(made)
    written = [day for day in days if f"Memory of {day}" in whole]
    assert written == [day for day in days if day.year == document.year]
    assert all(chapter.title in whole for chapter in document.chapters)


def test_each_day_has_a_leaf_on_the_cover() -> None:
    days = [dt.date(2024, 2, 29), dt.date(2024, 12, 31)]
    frame = pl.DataFrame({"date": days, "logged": True, "mood": [2.0, 4.0]})
    drawn = year_pixels.draw(frame, 2024, today=days[-1])
    document = Document(
        title="T",
        subtitle="",
        year=2024,
        chapters=(Chapter(key="year", title="The year", blocks=(Picture(figure=drawn, spread=True),)),),
    )
    cover = ink(document, "a5", ppi=72)[0]
    strip = cover[:, 290:360].max(axis=1) > 40
    rows = np.flatnonzero(strip)
    assert len(rows) <= 6
    assert rows[-1] - rows[0] > 380  # from the end of February to the end of the year, of about 493 points
