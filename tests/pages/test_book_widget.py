"""The year as a book on the year's page: its files, that each is made once, and their audiences."""

from __future__ import annotations

import base64
import datetime as dt
import io
import queue
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import msgspec
import pypdf
import pytest

import journal
from journal import Journal, periods
from journal.entry import Entry, Task
from journal.export import book as books
from journal.export import export_cache, retrospective, sheets
from journal.export.audience import Audience
from journal.export.export_cache import Asked, Edition, ExportFile
from journal.export.formats import FORMATS, RETROSPECTIVE
from journal.export.typesetting import Paper
from journal.pages.book_widget import PAPERS, READERS, YearBook
from journal.pages.forms import JsonObject
from journal.settings import Habit
from tests import journals
from tests.export.books import book

DAY = dt.date(2025, 3, 14)
WALK = Habit(key="walk", name="Walk by the river", start=DAY, every="FREQ=DAILY")
SECRET = "zqsecretzq"


@pytest.fixture(scope="module")
def small() -> Journal:
    entry = Entry(
        mood=4, gratitude=(f"Bread, {SECRET}.",), memory="Sewn.", share=True, habits={"walk": True},
        tasks=(Task(title=f"Quote for {SECRET}"),),
    )  # fmt: skip
    return book({DAY: entry, DAY + dt.timedelta(days=1): Entry(mood=2)}, title="Spine", habits=(WALK,))


class Progress:
    """Records the progress messages, in order."""

    def __init__(self) -> None:
        self.steps: list[str] = []

    def __call__(self, doing: str) -> None:
        self.steps.append(doing)


@pytest.fixture(scope="module")
def edition(small: Journal) -> Edition:
    return Edition(small)


def test_previews_and_files_are_made_once(edition: Edition) -> None:
    asked, first, again = Asked(year=2025, reader="friend"), Progress(), Progress()
    pages, large = edition.leaves(asked, first), edition.large(asked, first)
    assert first.steps[0] == "Counting The year" and first.steps[-2:] == ["Setting the book", "Drawing the pages"]
    pdf = edition.file(asked, again)
    assert edition.leaves(asked, again) is pages and edition.file(asked, again) == pdf and again.steps == []
    assert pdf is not None and len(pypdf.PdfReader(io.BytesIO(pdf.data)).pages) == len(pages) == len(large)
    assert all(leaf.picture.startswith(b"\x89PNG") for leaf in pages) and all(b"<svg" in page for page in large)
    assert [leaf.number for leaf in pages] == list(range(1, len(pages) + 1))
    assert pages[0].said == "Cover" and "Contents" in [leaf.said for leaf in pages]
    # The reading page and the other paper reuse the counts. Another reader needs new ones.
    edition.file(Asked(year=2025, reader="friend", kind="html"), again)
    edition.bound(Asked(year=2025, reader="friend", paper="a4"), again)
    assert not [doing for doing in again.steps if doing.startswith("Counting")]
    edition.document(Asked(year=2025, reader="anyone"), again)
    assert [doing for doing in again.steps if doing.startswith("Counting")]


@pytest.mark.parametrize("kind", ["html", "pdf"])
def test_a_file_equals_that_of_the_command(edition: Edition, small: Journal, kind: str) -> None:
    document = retrospective.document(small, 2025, "friend")
    expected = retrospective.files(document, kind, "friend").files
    file = edition.file(Asked(year=2025, reader="friend", kind=kind), Progress())
    assert file is not None and {file.name: file.data} == expected


@pytest.mark.parametrize("reader", get_args(Audience))
def test_only_the_owner_s_book_has_secrets(edition: Edition, reader: Audience) -> None:
    page = edition.file(Asked(year=2025, reader=reader, kind="html"), Progress())
    captions = " ".join(leaf.said for leaf in edition.leaves(Asked(year=2025, reader=reader), Progress()))
    assert page is not None and (SECRET.encode() in page.data) == (reader == "me")
    assert SECRET not in captions and SECRET not in page.name


def test_the_sheets_start_after_today_and_are_for_the_owner(tmp_path: Path) -> None:
    written = journal.open(journals.write(tmp_path, {DAY: {"mood": 4}}), today=DAY, cache=False)
    edition = Edition(written)
    asked = Asked(year=2025, kind="sheets", paper="a4", reader="friend")
    file = edition.file(asked, Progress())
    expected = sheets.make(sheets.chosen(written, DAY, "all", "a4"), "a4").data
    assert file is not None and (file.name, file.data) == ("pages-2025-03-15.pdf", expected)
    again = Progress()
    captions = [leaf.said for leaf in edition.leaves(Asked(year=2025, what="sheets", paper="a4"), again)]
    assert captions[-1] == "April 2025; 2025" and again.steps == ["Drawing the pages"]


def test_pictures_are_one_file_and_empty_years_have_none(edition: Edition) -> None:
    pictures = edition.file(Asked(year=2025, kind="png"), Progress())
    assert pictures is not None and pictures.name == "retrospective-2025-pictures.zip"
    assert zipfile.ZipFile(io.BytesIO(pictures.data)).namelist() == [
        "retrospective-2025-pictures/2025-03.png",
        "retrospective-2025-pictures/year-in-pixels.png",
    ]
    for kind in ("png", "calendar"):
        assert edition.file(Asked(year=2031, kind=kind), Progress()) is None


def test_the_cache_is_limited(small: Journal) -> None:
    edition = Edition(small)
    for year in range(2031, 2031 + export_cache.KEPT + 1):
        edition.document(Asked(year=year), Progress())
    assert len(edition._kept) == export_cache.KEPT


def test_packing_is_reproducible() -> None:
    files = {"b.md": b"two", "a.md": b"one" * 100}
    again = export_cache.packed("text", dict(sorted(files.items())))
    assert export_cache.packed("text", files) == again
    archive = zipfile.ZipFile(io.BytesIO(again))
    assert [(entry.filename, entry.date_time[0]) for entry in archive.infolist()] == [
        ("text/a.md", 1980),
        ("text/b.md", 1980),
    ]
    assert {name: archive.read(f"text/{name}") for name in files} == files


class RecordingForm(YearBook):
    """The form, with its messages recorded."""

    def __init__(self, read: Journal) -> None:
        self.sent: queue.Queue[tuple[JsonObject, list[bytes] | None]] = queue.Queue()
        super().__init__(read, periods.parse("2025", week_starts="monday"))

    def send(self, content: Any, buffers: Any = None) -> None:
        self.sent.put((content, buffers))

    def ask(self, what: str, **of: Any) -> tuple[JsonObject, bytes | None]:
        self._receive(self, {"id": 1, "ask": what, "of": of}, [])
        while True:
            answer, buffers = self.sent.get(timeout=60)
            if "working" not in answer:
                return answer, buffers[0] if buffers else None


def close(form: RecordingForm) -> None:
    """Let go of a form's widget, as at the end of a session."""
    assert form.widget is not None
    form.widget.close()


@pytest.fixture(scope="module")
def form(small: Journal) -> Iterator[RecordingForm]:
    form = RecordingForm(small)
    yield form
    close(form)


def test_every_reader_paper_and_file_is_offered(form: RecordingForm) -> None:
    offer = form.offer
    assert [choice["value"] for choice in offer["readers"]] == list(READERS) == list(get_args(Audience))
    assert [choice["value"] for choice in offer["papers"]] == list(PAPERS) == list(get_args(Paper))
    assert [choice["kind"] for choice in offer["files"]] == list(FORMATS)
    assert [choice["kind"] for choice in offer["files"] if choice["book"]] == list(RETROSPECTIVE)
    assert offer["habits"] == [{"value": "walk", "name": "Walk by the river"}] and offer["year"] == 2025
    assert "months of {year}" not in str(offer) and "{" not in "".join(choice["said"] for choice in offer["files"])


def test_pages_come_as_small_pictures_and_one_large(form: RecordingForm) -> None:
    answer, data = form.ask("show", year=2025, reader="friend")
    assert data is None and answer["missing"] == "" and answer["pages"][0]["said"] == "Cover"
    head, _, picture = answer["pages"][0]["picture"].partition(",")
    assert head == "data:image/png;base64" and base64.b64decode(picture).startswith(b"\x89PNG")
    large, _ = form.ask("leaf", year=2025, reader="friend", page=1)
    head, _, picture = large["picture"].partition(",")
    assert head == "data:image/svg+xml;base64" and b"<svg" in base64.b64decode(picture)


def test_a_file_comes_with_its_name_and_size(form: RecordingForm) -> None:
    answer, data = form.ask("file", year=2025, reader="anyone", named=["walk"], kind="html")
    assert data is not None and b"Walk by the river" in data
    assert answer["name"] == "retrospective-2025-for-anyone.html" and answer["media"] == "text/html"
    answer, data = form.ask("file", year=2025, reader="anyone", kind="html")
    assert data is not None and b"Walk by the river" not in data and b"Habit A" in data


def test_a_missing_glyph_is_reported(form: RecordingForm, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Edition, "file", lambda *_: ExportFile("a.pdf", "application/pdf", b"%PDF", ("\U0010fff0",)))
    answer, _ = form.ask("file", year=2025, kind="pdf")
    assert answer["missing"].startswith("1 letter has no font on this machine") and answer["size"] == "4 bytes"


@pytest.mark.parametrize(
    ("what", "of", "message"),
    [
        ("file", {"kind": "exe"}, 'this is not offered: there is no format "exe"'),
        ("show", {"reader": "nobody"}, "this is not offered: Invalid enum value 'nobody' - at `$.reader`"),
        ("show", {"year": 0}, "this is not offered: Expected `int` >= 1 - at `$.year`"),
        ("leaf", {"page": 99}, "there is no such page in this book of "),
        ("show", {"reader": "anyone", "named": ["wlak"]}, 'there is no habit "wlak" to name; write "walk"'),
    ],
)
def test_an_invalid_request_fails_with_one_line(
    form: RecordingForm, what: str, of: dict[str, Any], message: str
) -> None:
    answer, _ = form.ask(what, **({"year": 2025, "reader": "friend"} | of))
    assert answer["failed"].startswith(message)


def test_an_empty_file_is_reported(form: RecordingForm) -> None:
    answer, data = form.ask("file", year=2031, kind="calendar")
    message = "No appointment is written and no hours are planned in 2031; no file was made."
    assert (answer, data) == ({"id": 1, "nothing": message}, None)


def test_an_edited_journal_has_a_new_offer_and_new_files(small: Journal, monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[str] = []
    make = books.make

    def counted(*given: Any, **named: Any) -> Any:
        calls.append("made")
        return make(*given, **named)

    monkeypatch.setattr(books, "make", counted)
    form = RecordingForm(small)
    form.follow(small, periods.parse("2025", week_starts="monday"))
    assert form.sent.empty(), "nothing changed"
    for _ in range(2):
        form.ask("file", year=2025, reader="friend", kind="pdf")
    assert calls == ["made"]
    form.follow(msgspec.structs.replace(small), periods.parse("2025", week_starts="monday"))
    assert form._edition is None, "results of the previous files are discarded"
    news, _ = form.sent.get(timeout=20)
    assert news["news"] and news["offer"]["number"] == 1
    form.ask("file", year=2025, reader="friend", kind="pdf")
    assert calls == ["made", "made"]
    form.follow(small, periods.parse("2024", week_starts="monday"))
    assert form.sent.get(timeout=20)[0]["offer"]["year"] == 2024
    close(form)
