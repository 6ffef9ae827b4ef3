"""A journal without a Latin word of its own, with every kind of entry, and what is seen of its exports."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import msgspec
import polars as pl
import pytest
from PIL import Image

import journal
from journal import Journal
from journal.export.document import Document, Picture
from tests.export.small_documents import picture
from tests.language.test_moved_parts import PAGE, SETTINGS

TODAY = dt.date(2025, 3, 13)

WHOLE_DAY = """
mood = 4
energy = 2
gratitude = ["Ψωμί."]
memory = "Βιβλίο."
share = true
notes = ["Νήμα."]
place = "λ"
pictures = ["PICTURE"]
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
TRIAL = """
[[rests]]
from = 2025-04-07
until = 2025-04-08
[[trials]]
key = "ζ"
question = "Βοηθά;"
habit = "π"
outcome = "mood"
from = 2025-02-17
days = 24
block = 2
seed = 7
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
    settings = SETTINGS + TRIAL
    for before, after in (
        ("from = 2025-03-12", 'from = 2025-03-10\nprompts = ["Ένα", "Δύο"]'),
        ("[mood]", f"{away}[mood]"),
        ('every = "FREQ=DAILY"\nfrom = 2025-03-01', 'every = "FREQ=DAILY"\nfrom = 2025-02-17'),
    ):
        settings = settings.replace(before, after, 1)
    other_day = WHOLE_DAY.replace('pictures = ["PICTURE"]', "")
    Image.new("RGB", (40, 30)).save(folder / "2025-03-12.jpg")
    pages = {
        "journal": settings,
        "2025-03-13": PAGE,
        "2025-03-12": WHOLE_DAY.replace("PICTURE", "2025-03-12.jpg"),
        "2025-03-11": other_day.replace("high = 9", "low = 2").replace("share = true", ""),
        "2025-03-10": other_day.replace("high = 9", "low = 2\nhigh = 9").replace("mood = 4", "mood = 1"),
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


def with_one_drawing(document: Document) -> Document:
    """The document with a drawing whose words are Greek in place of the others, and without reports of trials."""
    figure = msgspec.structs.replace(
        picture("Λέξη"), alt="Λέξη.", table=pl.DataFrame({"state": ["partial"], "n_missed": [1]})
    )
    kept = without_drawings(document)
    chapters = [one for one in kept.chapters if one.key != "lot"]
    first = msgspec.structs.replace(chapters[0], blocks=(*chapters[0].blocks, Picture(figure=figure)))
    return msgspec.structs.replace(kept, chapters=(first, *chapters[1:]))


def shown(part: object) -> Iterator[str]:
    """All texts of a nested structure that a reader sees."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, (list, tuple)):
        for one in part:
            yield from shown(one)
    elif isinstance(part, msgspec.Struct):
        for name in part.__struct_fields__:
            if name not in {"key", "kind", "file", "name", "folder", "date", "figure"}:
                yield from shown(getattr(part, name))
