"""The printed book of the example year: its text, tags and layout.

PDF/UA is ISO 14289-1, PDF ISO 32000-1.
"""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from journal.export import book
from journal.export.document import Document, Lines, Picture, Sentences
from journal.export.typesetting import Paper
from tests.export.printed import Leaf, Said, fonts, ink, leaves, read, tagged
from tests.export.small_documents import outside, together

pytestmark = pytest.mark.xdist_group("retrospective")

SPREAD = "Mood through 2025; most often 3 even, on 141 days"
PAPERS: tuple[Paper, ...] = ("a5", "a4")
MM = 72 / 25.4
"""Points."""
FOOT, HEAD = 12 * MM, 17 * MM
"""Text nearer to the edges is the page number or the running head."""
HEADING = 12.9
"""Text of this size or larger is a heading."""


@pytest.fixture(scope="module")
def a5(year: Document) -> bytes:
    return book.pdf(year)


@pytest.fixture(scope="module")
def both(year: Document, a5: bytes) -> dict[str, bytes]:
    return {"a5": a5, "a4": book.pdf(year, paper="a4")}


@pytest.fixture(scope="module")
def pages(both: dict[str, bytes]) -> dict[str, list[Leaf]]:
    return {paper: leaves(data) for paper, data in both.items()}


def body(leaf: Leaf) -> list[Said]:
    """The text of a page without its running head and number."""
    return [piece for piece in leaf.said if FOOT < piece.y < leaf.height - HEAD]


def test_the_book_has_a_plausible_number_of_pages(pages: dict[str, list[Leaf]]) -> None:
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


def test_tables_on_a4_use_both_columns(pages: dict[str, list[Leaf]]) -> None:
    (leaf,) = (leaf for leaf in pages["a4"] if "Rates of the year" in leaf.text)
    at = {piece.text: piece for piece in leaf.said if piece.size > HEADING}
    assert {"Rates of the year", "July to December against January to June"} <= set(at)  # one after the other
    top = at["Rates of the year"]
    (note,) = (piece for piece in leaf.said if piece.text.startswith("A habit done today"))
    assert top.x < leaf.width / 2 < note.x
    assert abs(top.y - note.y) < 3


def test_letters_in_drawings_can_be_read(pages: dict[str, list[Leaf]]) -> None:
    assert min(piece.size for paper in PAPERS for leaf in pages[paper] for piece in leaf.said) >= 6.5


def test_text_can_be_extracted(year: Document, pages: dict[str, list[Leaf]]) -> None:
    lines = [block for chapter in year.chapters for block in chapter.blocks if isinstance(block, Lines)]
    said = [line.text for block in lines for line in block.lines]
    assert len(said) > 900
    found = [block for chapter in year.chapters for block in chapter.blocks if isinstance(block, Sentences)]
    assert any(block.note for block in found)
    said += [text for block in found for text in (block.note, *(sentence for sentence, _ in block.sentences))]
    for paper in PAPERS:
        # A line may continue on another page, so heads and numbers are removed.
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


def test_every_font_is_embedded(both: dict[str, bytes]) -> None:
    for data in both.values():
        held = fonts(data)
        assert any("LibertinusSerif" in name for name in held)
        assert all(held.values()), held


def test_the_file_has_no_metadata_but_its_title(a5: bytes) -> None:
    reader = read(a5)
    assert reader.metadata is not None
    assert set(reader.metadata) == {"/Title", "/Creator"}
    assert reader.metadata.title == "Spine and thread 2025"
    metadata: Any = reader.trailer["/Root"]["/Metadata"]  # type: ignore[index]
    assert b"Date>" not in metadata.get_data()
    assert b"creator>" not in metadata.get_data()


@pytest.mark.parametrize("paper", PAPERS)
def test_no_chapter_runs_over_the_edge(paper: Paper, year: Document) -> None:
    # Only the month with the most habits: the others are similar, and rendering them takes seconds.
    kinds = tuple(chapter for chapter in year.chapters if chapter.key[:4] != "2025" or chapter.key == "2025-08")
    for number, page in enumerate(ink(msgspec.structs.replace(year, chapters=kinds), paper, ppi=12), start=1):
        assert outside(page, ppi=12) < 8, number
