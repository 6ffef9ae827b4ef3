"""A figure is drawn once, and again where what is kept is not exactly it."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from journal.charts import figure, kept_drawings
from journal.charts.canvas import Canvas, Drawing
from journal.folder import sealed_files
from journal.pages import page_params
from tests.journals import write

PLAIN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path fill="var(--ink)" d="M0,0" /></svg>'


@pytest.fixture(autouse=True)
def place(tmp_path: Path) -> Iterator[Path]:
    kept_drawings.keep_in(tmp_path)
    yield tmp_path / ".cache" / kept_drawings.BELOW
    kept_drawings.keep_in(None)


def drawing(text: str = "Walk") -> Drawing:
    sheet = Canvas(100)
    sheet.texts([{"x": 0, "y": 9, "text": text}])
    return sheet.drawing(20)


def drawn(text: str = "Walk", key: str = "a", alt: str = "A word.") -> str:
    """A drawing, not out of this process's memory."""
    figure._finished.cache_clear()
    return figure.svg(drawing(text), key=key, alt_text=alt)


def test_it_is_drawn_once(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = drawn()
    assert len(list(place.iterdir())) == 2  # it and its key
    with monkeypatch.context() as once:
        once.setattr(figure, "_vega", lambda *_: pytest.fail("drawn again"))
        assert drawn() == first
    drawn("Read"), drawn(key="b"), drawn(alt="Another.")
    assert len(list(place.iterdir())) == 5
    (place / "seal").unlink()
    assert drawn() == first


@pytest.mark.parametrize(
    "hostile",
    [
        PLAIN.replace("<path", "<script").replace("path>", "script>"),
        PLAIN.replace("<path", '<path onclick="alert(1)"'),
        PLAIN.replace("<path", '<image href="x" /><path'),
        PLAIN.replace("var(--ink)", "url(http://x.example/a)"),
        PLAIN.replace("var(--ink)", "url(&#34;http://x.example/a)"),
        PLAIN.replace("<path", '<path style="background:url(x)"'),
        PLAIN.replace("</svg>", "</svg></svg>"),
        PLAIN.replace("<path", "<!-- --><path"),
        PLAIN.replace("<path", "<foreignObject /><path"),
        PLAIN + "<p>",
        "<p>" + PLAIN,
        "<svg >" + "a" * 100_000 + "<",
        "",
        "\0",
    ],
)
def test_what_no_drawing_has_is_not_used(place: Path, hostile: str) -> None:
    """Not even with a valid seal."""
    assert kept_drawings.is_plain(PLAIN)
    kept_drawings.save(["parts"], hostile)
    assert not place.exists()
    sealed_files.save(place.parents[1], place.name, kept_drawings.name_of(["parts"]), hostile.encode())
    assert kept_drawings.load(["parts"]) is None


def test_each_journal_keeps_its_own(place: Path) -> None:
    """A thread without a journal keeps nothing, and opening a page says which it is."""
    other = threading.Thread(target=drawn)
    other.start()
    other.join()
    assert not place.exists()
    folder = place.parents[1] / "journal"
    folder.mkdir()
    write(folder, {dt.date(2025, 3, 14): {"mood": 4}})
    page_params.opened(folder, dt.datetime(2025, 3, 14, 22, tzinfo=dt.UTC))
    drawn()
    assert not place.exists() and len(list((folder / ".cache" / kept_drawings.BELOW).iterdir())) == 2
