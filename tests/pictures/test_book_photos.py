"""Pictures in the year as a book and as HTML: who sees them, how sharp they are, and which has a page of its own."""

from __future__ import annotations

import datetime as dt
import io
from pathlib import Path
from typing import Any

import pypdf
import pytest

import journal
from journal import Journal
from journal.export import retrospective
from journal.export.audience import Audience
from journal.export.document import Photos
from journal.export.typesetting import Paper
from tests.journals import write
from tests.pictures.drawn import jpeg

TODAY = dt.date(2025, 4, 1)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Journal:
    folder = tmp_path_factory.mktemp("book")
    pages: dict[dt.date, dict[str, Any]] = {
        dt.date(2025, 3, 4): {
            "memory": "Hooks.", "share": True, "pictures": ["IMG_1.jpg", "gone.jpg"],
            "captions": {"IMG_1.jpg": "The new <hooks>."},
        },
        dt.date(2025, 3, 9): {"memory": "The press.", "pictures": ["press.jpg"], "captions": {"press.jpg": "Mine."}},
        dt.date(2025, 3, 14): {"memory": "Spring.", "share": True, "pictures": ["plate.jpg"]},
    }  # fmt: skip
    write(folder, pages)
    for name, width, height in (("IMG_1", 2400, 1800), ("press", 900, 600), ("plate", 1500, 2000)):
        (folder / f"2025/{name}.jpg").write_bytes(jpeg(1, width, height))
    return journal.open(folder, today=TODAY, cache=False)


def made(book: Journal, form: str, reader: Audience, paper: Paper = "a5") -> bytes:
    (data,) = retrospective.files(retrospective.document(book, 2025, reader), form, reader, paper).files.values()
    return data


def sizes(data: bytes) -> list[tuple[int, int]]:
    return [
        image.image.size for page in pypdf.PdfReader(io.BytesIO(data)).pages for image in page.images if image.image
    ]


@pytest.mark.parametrize("paper", ["a5", "a4"])
def test_pictures_are_printed_sharp_and_say_what_there_is_to_see(paper: Paper, book: Journal) -> None:
    data = made(book, "pdf", "me", paper)
    assert sorted(sizes(data)) == [(900, 600), (1500, 2000), (1600, 1200)]
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)
    assert "The new <hooks>." in text and "A picture of this day cannot be shown." in text
    assert b"IMG_1" not in data


def test_a_plate_is_upright_large_and_of_few_words(book: Journal) -> None:
    document = retrospective.document(book, 2025, "me")
    blocks = [block for chapter in document.chapters for block in chapter.blocks if isinstance(block, Photos)]
    assert [(block.plate, [photo.name for photo in block.photos]) for block in blocks] == [
        (False, ["2025-03-04-1.jpg", "2025-03-04-2.jpg", "2025-03-09-1.jpg"]),
        (True, ["2025-03-14-1.jpg"]),
    ]
    assert document.chapters[1].blocks[-1] is blocks[1]  # at the end of the month, so that no page before it has a gap


def test_a_friend_sees_the_pictures_of_shared_memories_and_nobody_else_any(book: Journal) -> None:
    friend = made(book, "html", "friend").decode()
    assert friend.count('<img src="data:image/jpeg') == 2 and "Mine." not in friend
    assert 'alt="The new &lt;hooks&gt;."' in friend and "IMG_1" not in friend
    assert made(book, "html", "me").decode().count("<img ") == 3
    assert "<img " not in made(book, "html", "anyone").decode()
    assert len(sizes(made(book, "pdf", "friend"))) == 2 and sizes(made(book, "pdf", "anyone")) == []


def test_a_year_without_its_folder_has_sentences(tmp_path: Path) -> None:
    folder = write(tmp_path, {dt.date(2025, 3, 4): {"mood": 3, "pictures": ["gone.jpg"]}})
    book = journal.open(folder, today=TODAY, cache=False)
    assert "cannot be shown" in made(book, "html", "me").decode()
    assert made(book, "pdf", "me")
