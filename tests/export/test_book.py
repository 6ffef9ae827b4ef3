"""The printed book: what a reader, a screen reader and a printer find in it. PDF/UA is ISO 14289-1, PDF ISO 32000-1."""

from __future__ import annotations

import datetime as dt
import itertools
from typing import Any

import msgspec
import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

import journal
from journal.charts import year_pixels
from journal.charts.figure import Figure, _finished
from journal.charts.sheet import Sheet
from journal.entry import Entry
from journal.export import book, letters
from journal.export.contents import contents
from journal.export.document import (
    Answer,
    Block,
    Chapter,
    Document,
    Facts,
    Grid,
    Line,
    Lines,
    Picture,
    Reflection,
    Sentences,
    Words,
)
from tests.export import books
from tests.export.printed import Leaf, Said, fonts, ink, leaves, read, tagged

# One process makes the books of the example year; they take two seconds, nearly all of it for their drawings.
pytestmark = pytest.mark.xdist_group("book")

NOWHERE = "\U0010fffd"
"""A letter for private use that no font has."""
SLOVENE = "Črta, žlica, ščurek"
SPREAD = "Mood through 2025; most often 3 even, on 141 days"
PAPERS: tuple[book.Paper, ...] = ("a5", "a4")
MM = 72 / 25.4
"""Points."""
FOOT, HEAD = 12 * MM, 17 * MM
"""What stands nearer to the edges is the number of the page and its running head."""
HEADING = 12.9
"""Letters of this size and more are a heading's."""


@pytest.fixture(scope="module")
def year() -> Document:
    return contents(journal.open("example_year", today=dt.date(2026, 1, 4), cache=False), 2025)


@pytest.fixture(scope="module")
def a5(year: Document) -> bytes:
    return book.pdf(year)


@pytest.fixture(scope="module")
def both(year: Document, a5: bytes) -> dict[str, bytes]:
    return {"a5": a5, "a4": book.pdf(year, paper="a4")}


@pytest.fixture(scope="module")
def pages(both: dict[str, bytes]) -> dict[str, list[Leaf]]:
    return {paper: leaves(data) for paper, data in both.items()}


def of(*blocks: Block, title: str = "Spine and thread", chapter: str = "March 2025") -> Document:
    chapters = (Chapter(key="2025-03", title=chapter, blocks=blocks),)
    return Document(title=title, subtitle="2025", year=2025, chapters=chapters)


def memories(*said: str) -> Lines:
    lines = tuple(Line(date=dt.date(2025, 3, 1 + nth % 28), text=text) for nth, text in enumerate(said))
    return Lines(title="To remember", kind="memory", lines=lines)


def picture(word: str) -> Figure:
    sheet = Sheet(340)
    sheet.texts([{"x": 10, "y": 20, "text": word}])
    drawn = sheet.drawing(40)
    return Figure(
        key="word", title=word, subtitle="", alt=f"The word {word}.", wide=drawn, narrow=drawn, table=pl.DataFrame()
    )


def texts(data: bytes) -> list[str]:
    return [leaf.text for leaf in leaves(data)]


def body(leaf: Leaf) -> list[Said]:
    """What stands on a page beside its running head and its number."""
    return [piece for piece in leaf.said if FOOT < piece.y < leaf.height - HEAD]


def together(text: str) -> str:
    """The letters alone: where a line ends is the page's affair."""
    return "".join(text.split())


def test_the_year_is_a_book_of_some_pages(pages: dict[str, list[Leaf]]) -> None:
    assert 70 <= len(pages["a5"]) <= 130
    assert 35 <= len(pages["a4"]) <= 70
    sizes = {paper: {(round(leaf.width / MM), round(leaf.height / MM)) for leaf in pages[paper]} for paper in pages}
    assert sizes == {"a5": {(148, 210)}, "a4": {(210, 297)}}


@pytest.mark.parametrize("paper", PAPERS)
def test_no_page_is_empty_and_no_heading_last(paper: str, pages: dict[str, list[Leaf]]) -> None:
    for number, leaf in enumerate(pages[paper][1:], start=2):
        said = body(leaf)
        assert said, number
        middle = leaf.width / 2
        columns = [said] if paper == "a5" else [[p for p in said if p.x < middle], [p for p in said if p.x >= middle]]
        for column in filter(None, columns):
            lowest = min(piece.y for piece in column)
            last = [piece for piece in column if piece.y < lowest + 1]
            assert max(piece.size for piece in last) < HEADING, (number, last)


def test_letters_in_drawings_can_be_read(pages: dict[str, list[Leaf]]) -> None:
    assert min(piece.size for paper in PAPERS for leaf in pages[paper] for piece in leaf.said) >= 6.5


def test_words_can_be_read_out_of_it(year: Document, pages: dict[str, list[Leaf]]) -> None:
    lines = [block for chapter in year.chapters for block in chapter.blocks if isinstance(block, Lines)]
    said = [line.text for block in lines for line in block.lines]
    assert len(said) > 900
    for paper in PAPERS:
        # A line may run on to another page, so heads and numbers are left out.
        whole = together("".join(piece.text for leaf in pages[paper] for piece in body(leaf)))
        assert [text for text in said if together(text) not in whole] == []
        assert together("Mrs Štefka salted the stairs before any of us was up.") in whole


def test_a_bookmark_leads_to_each_chapter(year: Document, a5: bytes, pages: dict[str, list[Leaf]]) -> None:
    reader = read(a5)
    top: list[Any] = [mark for mark in reader.outline if not isinstance(mark, list)]
    assert [mark.title for mark in top] == [SPREAD, "Contents", *(chapter.title for chapter in year.chapters)]
    told = next(leaf.text for leaf in pages["a5"] if leaf.text.startswith("Contents"))
    for mark in top:
        number = reader.get_destination_page_number(mark)
        assert number is not None
        assert together(mark.title) in together(pages["a5"][number].text)
        assert mark.title == "Contents" or f"{mark.title} {number + 1}" in told


def test_the_spread_is_on_facing_pages(pages: dict[str, list[Leaf]]) -> None:
    for paper in PAPERS:
        left, right = (leaf.text for leaf in pages[paper][1:3])
        assert "Jan" in left and "Jul" not in left
        assert "Jul" in right and "Jan" not in right


def test_it_is_tagged_for_screen_readers(year: Document, both: dict[str, bytes]) -> None:
    shown = [block for chapter in year.chapters for block in chapter.blocks if isinstance(block, Picture)]
    for data in both.values():
        root: Any = read(data).trailer["/Root"]
        assert root["/MarkInfo"]["/Marked"].value is True
        assert root["/Lang"] == "en"
        assert root["/ViewerPreferences"]["/DisplayDocTitle"].value is True
        assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data()
        parts = list(tagged(root["/StructTreeRoot"]["/K"]))
        pictures = [part for part in parts if part["/S"] == "/Figure"]
        assert len(pictures) == len(shown) + 1  # the spread is two
        assert all(str(part["/Alt"]).strip() for part in pictures)
        kinds = {str(part["/S"]) for part in parts}
        assert {"/H1", "/H2", "/P", "/L", "/LI", "/Lbl", "/LBody", "/Table", "/THead", "/TH", "/TR", "/TD"} <= kinds
        assert "/H3" not in kinds


def test_every_font_is_inside(both: dict[str, bytes]) -> None:
    for data in both.values():
        held = fonts(data)
        assert any("LibertinusSerif" in name for name in held)
        assert all(held.values()), held


def test_the_file_tells_nothing_but_its_title(a5: bytes) -> None:
    reader = read(a5)
    assert reader.metadata is not None
    assert set(reader.metadata) == {"/Title", "/Creator"}
    assert reader.metadata.title == "Spine and thread 2025"
    metadata: Any = reader.trailer["/Root"]["/Metadata"]  # type: ignore[index]
    assert b"Date>" not in metadata.get_data()
    assert b"creator>" not in metadata.get_data()


def test_the_same_document_makes_the_same_bytes() -> None:
    days = pl.DataFrame({"date": [dt.date(2025, 1, 1)], "logged": [True], "mood": [3.0]})
    drawn = year_pixels.draw(days, 2025, today=dt.date(2025, 1, 1))
    document = of(Picture(figure=drawn, spread=True), Picture(figure=drawn), memories("One."))
    first = book.pdf(document)
    _finished.cache_clear()
    assert book.pdf(document) == first
    assert book.pdf(document, paper="a4") != first


def test_what_looks_like_markup_is_text() -> None:
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


def test_letters_of_many_scripts_stay() -> None:
    said = f"{SLOVENE}, Ελληνικά γράμματα, Привет мир, e\u0301."
    made = book.make(of(memories(said)))
    assert made.missing == ()
    assert said.replace("e\u0301", "é") in "".join(texts(made.data)).replace("e\u0301", "é")
    assert "no font" not in "".join(texts(made.data))


def test_a_letter_without_a_font_stands_as_its_code_and_is_told_once() -> None:
    document = of(memories(f"Sewn {NOWHERE}."), Picture(figure=picture(f"Thread {NOWHERE}")), title=f"Spine {NOWHERE}")
    made = book.make(document)
    assert made.missing == (NOWHERE,)
    pages = texts(made.data)
    assert together("Spine [U+10FFFD]") in together(pages[0])
    last = "\n".join(pages[2:])
    assert "Sewn [U+10FFFD]." in last
    assert last.count("Thread [U+10FFFD]") == 2  # the title of the drawing, and the word in it
    assert together(last).count(together(letters.told(made.missing))) == 1
    alts = [str(p["/Alt"]) for p in tagged(read(made.data).trailer["/Root"]["/StructTreeRoot"]) if p["/S"] == "/Figure"]  # type: ignore[index]
    assert alts == ["The word Thread [U+10FFFD]."]


@given(st.text(st.sampled_from("ab -\u0301中\u200d"), max_size=60))
def test_a_long_word_gets_places_to_break_and_loses_no_letter(text: str) -> None:
    cut = letters.breakable(text)
    assert cut.replace(letters.BREAK, "") == text
    assert "\u0301" not in [part[:1] for part in cut.split(letters.BREAK)[1:]]
    if "\u0301" not in text and "\u200d" not in text:
        runs = itertools.chain.from_iterable(part.replace("中", " ").split() for part in cut.split(letters.BREAK))
        assert max(map(len, runs), default=0) <= letters.LONGEST


def outside(page: NDArray[np.uint8], ppi: int) -> int:
    """The darkest that the outer 7 mm of a page are, on all four sides."""
    edge = round(7 / 25.4 * ppi)
    framed = page.copy()
    framed[edge:-edge, edge:-edge] = 0
    return int(framed.max())


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_runs_over_the_edge(paper: book.Paper) -> None:
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
        Reflection(title=long, answers=(Answer(prompt=long, text=long),)),
        Words(title=long, paragraphs=(long,), care=True),
        Picture(figure=msgspec.structs.replace(picture("Short"), title=long, subtitle=long)),
        title=long,
    )
    for number, page in enumerate(ink(document, paper), start=1):
        assert outside(page, ppi=24) < 8, number
        assert page.max() > 40, number


@pytest.mark.parametrize("paper", PAPERS)
def test_no_chapter_of_the_year_runs_over_the_edge(paper: book.Paper, year: Document) -> None:
    # Of the months the one with the most habits; all others are like it, and painting them takes seconds.
    kinds = tuple(chapter for chapter in year.chapters if chapter.key[:4] != "2025" or chapter.key == "2025-08")
    for number, page in enumerate(ink(msgspec.structs.replace(year, chapters=kinds), paper, ppi=12), start=1):
        assert outside(page, ppi=12) < 8, number


@pytest.mark.parametrize(
    ("days", "pages"),
    [
        ([], 3),
        ([dt.date(2025, 5, 1)], 6),
        ([dt.date(2024, 2, 28) + dt.timedelta(days=n) for n in range(3)], 7),
        ([dt.date(2025, 11, 20) + dt.timedelta(days=n) for n in range(60)], 10),
    ],
    ids=["empty", "one day", "leap year", "half outside"],
)
def test_years_of_few_pages(days: list[dt.date], pages: int) -> None:
    entries = {day: Entry(mood=3 + day.day % 2, memory=f"Memory of {day}") for day in days}
    document = contents(books.book(entries), min(days, default=dt.date(2025, 1, 1)).year)
    made = texts(book.pdf(document))
    assert len(made) >= 3
    assert abs(len(made) - pages) <= 4
    assert all(page.strip() for page in made)
    whole = "\n".join(made)
    assert all(f"Memory of {day}" in whole for day in days if day.year == document.year)


def test_a_day_has_its_leaf_on_the_cover() -> None:
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
