"""Lines of a day that are written by hand: kept once as a picture of the day, by the command and from a page."""

from __future__ import annotations

import base64
import datetime as dt
import random
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

import journal
from journal.commands import clock
from journal.paper import paper_form
from tests.cli.conftest import PROJECT, Typed
from tests.paper import camera, hand, simulated
from tests.paper.camera import Shot
from tests.paper.test_handwriting import DATE, written_on

NOW = dt.datetime(2025, 3, 15, 8, 0, tzinfo=dt.UTC)
NAME = "2025-03-14-handwriting.jpg"


@pytest.fixture
def photo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(clock, "now", lambda: NOW)
    page = written_on(simulated.day(str(DATE))[1], random.Random(1), hand.TOOLS[0])
    path = tmp_path / "day.jpg"
    path.write_bytes(camera.photograph(page, simulated.DOTS_A_MM, Shot(tilt=6, shadow=0.2), 1))
    (tmp_path / "journal" / "2025").mkdir(parents=True)
    shutil.copy(PROJECT / "example_year" / "journal.toml", tmp_path / "journal")
    return path


def page_of(folder: Path) -> dict[str, Any]:
    path = folder / "2025" / f"{DATE}.toml"
    return tomllib.loads(path.read_text(encoding="utf-8")) if path.exists() else {}


def test_lines_are_kept_when_they_are_asked_for_and_once(typed: Typed, photo: Path) -> None:
    folder = photo.parent / "journal"
    typed("read", photo, folder, "--yes")
    typed("read", photo, folder, "--keep-lines", "--dry-run")
    assert page_of(folder) == {}
    result = typed("read", photo, folder, "--yes", "--keep-lines")
    assert result.stdout.splitlines()[-1] == f"{DATE}: its lines are kept as {NAME}"
    assert page_of(folder) == {
        "pictures": [NAME],
        "captions": {NAME: "Written by hand on the sheet of Friday 14 March"},
    }
    with Image.open(folder / "2025" / NAME) as kept:
        assert kept.size == (716, 198)
    again = typed("read", photo, folder, "--yes", "--keep-lines")
    assert again.stdout.splitlines()[-1] == f"{DATE}: its lines are kept already"
    assert len(list((folder / "2025").glob("*.jpg"))) == 1


def test_lines_are_kept_from_a_page_where_the_box_is_ticked(photo: Path) -> None:
    folder = photo.parent / "journal"
    book = journal.open(folder, today=DATE, cache=False)
    offer = paper_form.read(book, {"name": "day.jpg", "data": base64.b64encode(photo.read_bytes()).decode()})
    (sheet,) = offer.sheets
    assert (sheet.date, sheet.lines[:23]) == (str(DATE), "data:image/jpeg;base64,")
    assert paper_form.save(book, {"read": [offer.read]}, now=NOW).said == "Nothing to save: it is there already."
    kept = paper_form.save(book, {"read": [offer.read], "lines": {sheet.date: sheet.lines}}, now=NOW)
    assert (kept.saved, kept.said) == (True, f"{DATE}: its lines are kept as {NAME}.")
    assert page_of(folder)["pictures"] == [NAME]
    for sent in ({str(DATE): "data:,%"}, {"2025-02-30": sheet.lines}):
        assert not paper_form.save(book, {"read": [offer.read], "lines": sent}, now=NOW).saved
    other = paper_form.save(
        book, {"read": [offer.read], "lines": {"2025-03-15": base64.b64encode(b"x").decode()}}, now=NOW
    )
    assert "2025-03-15: its lines are not kept: expected a picture" in other.said
