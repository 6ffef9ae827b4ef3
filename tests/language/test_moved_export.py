"""The words of exports: each is from the catalogue, German has its plurals and cases, and longer words have room."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import msgspec
import pytest

import journal
from journal import Journal
from journal.errors import ExportError, UsageError
from journal.export import audience, book, html, missing_glyphs, page_previews, sheets, text, write_files
from journal.export import calendar as calendar_file
from journal.export.chapters import methods
from journal.export.document import Document, Facts, Grid, Lines, Photos, Picture, Words
from journal.export.export_cache import Asked, Edition
from journal.export.formats import FORMATS
from journal.export.year_document import contents
from journal.language.languages import GERMAN, LANGUAGES, Language
from journal.language.spoken import speaking
from journal.wording import entries
from tests.export.printed import leaves, read
from tests.language.test_moved_parts import PAGE, PSEUDO, SETTINGS, foreign

TODAY = dt.date(2025, 3, 13)

WHOLE_DAY = """
mood = 4
energy = 2
gratitude = ["Ψωμί."]
memory = "Βιβλίο."
share = true
notes = ["Νήμα."]
place = "λ"
[weather]
sky = "ήλιος"
high = 9
[habits]
"π" = true
"δ" = 12
"τ" = "rest"
[challenges]
"γ" = 2025-03-13
[hours.planned]
"υ" = ["00:00-06:15", "22:30-24:00"]
[hours.actual]
"υ" = ["00:15-06:20", "23:00-24:00"]
[[appointments]]
title = "Χαρτί"
start = "08:30"
end = "09:00"
[[appointments]]
title = "Γιορτή"
[[tasks]]
title = "Κόλλα"
status = "dropped"
since = 2025-03-02
took = 60
[[tasks]]
title = "Πρέσα"
status = "done"
rank = 2
"""
DECISIONS = """
[decisions]
"π" = "keep"
"δ" = "drop"
"""
REVIEW = """
notes = ["Σημείωση."]
[[reflection]]
prompt = "Τι;"
answer = "Αυτό."
[[reflection]]
prompt = ""
answer = ""
"""


@pytest.fixture(scope="module")
def greek(tmp_path_factory: pytest.TempPathFactory) -> Journal:
    """A journal without a Latin word of its own: of two weeks, with every kind of entry."""
    folder = tmp_path_factory.mktemp("greek")
    away = '[[places]]\nkey = "λ"\nname = "Λισαβόνα"\nlatitude = 38.7\nlongitude = -9.1\ntimezone = "Europe/Lisbon"\n'
    settings = SETTINGS.replace("from = 2025-03-12", "from = 2025-03-10").replace("[mood]", away + "[mood]", 1).replace(
        'until = 2025-04-10', 'until = 2025-04-10\nprompts = ["Ένα", "Δύο"]'
    )  # fmt: skip
    pages = {
        "journal": settings,
        "2025-03-13": PAGE,
        "2025-03-12": WHOLE_DAY,
        "2025-03-11": WHOLE_DAY.replace("high = 9", "low = 2").replace("share = true", ""),
        "2025-03-10": WHOLE_DAY.replace("high = 9", "low = 2\nhigh = 9").replace("mood = 4", "mood = 1"),
        "2025-03-09": 'place = "λ"\n[habits]\n"π" = false\n',
        "2025-03-05": "notes = []",
        "2025-03": REVIEW + DECISIONS,
        "2025-W10": REVIEW,
        "2025": REVIEW,
        "undated": '[[tasks]]\ntitle = "Ράφι"\nestimate = 30\nsince = 2025-03-02\n',
    }
    for name, said in pages.items():
        (folder / f"{name}.toml").write_text(said, encoding="utf-8")
    opened = journal.open(folder, today=TODAY, cache=False)
    assert [str(problem) for problem in opened.problems] == []
    return opened


def without_drawings(document: Document) -> Document:
    """The document without drawings, whose words are those of charts."""
    chapters = [
        msgspec.structs.replace(one, blocks=tuple(block for block in one.blocks if not isinstance(block, Picture)))
        for one in document.chapters
    ]
    return msgspec.structs.replace(document, chapters=tuple(chapters))


def shown(part: object) -> Iterator[str]:
    """All texts of a nested structure that a reader sees."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, (list, tuple)):
        for one in part:
            yield from shown(one)
    elif isinstance(part, msgspec.Struct):
        for name in part.__struct_fields__:
            if name not in {"key", "kind", "file", "name", "folder", "date"}:
                yield from shown(getattr(part, name))


def strange(texts: Iterable[str]) -> list[tuple[str, str]]:
    """The words that are not from the catalogue, each with its text."""
    return [(word, one) for one in texts for word in foreign(one)]


def test_text_files_are_from_the_catalogue(greek: Journal) -> None:
    with speaking(PSEUDO):
        files = text.text(greek, dt.date.min, dt.date.max) | text.undated(greek.undated.tasks, greek.settings)
    said = "\n".join(data.decode() for data in files.values())
    assert set(files) == {"2025-03.md", "2025-12.md", "undated.md"}
    assert said.count("##") > 30
    assert strange(said.splitlines()) == []


def test_the_year_is_from_the_catalogue_in_html_and_print(greek: Journal) -> None:
    steps: list[str] = []
    with speaking(PSEUDO):
        document = without_drawings(contents(greek, 2025, steps.append))
        page = html.html(document).decode()
        printed = book.make(document)
        previews = page_previews.leaves("book", printed.words)
    assert len(list(shown(document.chapters))) > 60
    assert strange([*shown(document.chapters), *steps, *(leaf.said for leaf in previews)]) == []
    read_out = re.findall(r'(?:aria-label|alt)="([^"]*)"', page)
    seen = re.sub(r"<[^>]+>", "\n", re.sub(r"(?s)<style>.*?</style>", "", page)).splitlines()
    assert strange([*read_out, *seen]) == []
    assert strange(leaf.text for leaf in leaves(printed.data)) == []


def test_a_year_without_a_page_is_from_the_catalogue(greek: Journal) -> None:
    with speaking(PSEUDO):
        assert strange(shown(contents(greek, 2031).chapters)) == []
