"""First sights that were drawn: kept while the files, the day and the closed boxes are the same, and not for longer."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from journal.folder import dismissed_boxes
from journal.pages import page_params
from journal.pages.kept_sights import KeptSights
from tests import journals

DAY = "2025/2025-03-13.toml"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = journals.write(tmp_path / "journal", {dt.date(2025, 3, 13): {"mood": 3}})
    monkeypatch.setenv(page_params.FOLDER, str(folder))
    monkeypatch.setenv(page_params.TODAY, "2025-03-14")
    return folder


def test_an_answer_is_given_while_nothing_differs(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = KeptSights()

    def is_given() -> bool:
        return kept.given("month", "", kept.state("month")) is not None

    def keep() -> None:
        kept.keep("month", "", kept.state("month"), b"drawn")

    keep()
    assert is_given()
    assert kept.given("month", "month=2025-02", kept.state("month")) is None
    assert kept.given("week", "", kept.state("week")) is None
    for name in (DAY, "journal.toml", "undated.toml", "2025/2025-03.toml"):
        text = (folder / name).read_text(encoding="utf-8") if (folder / name).exists() else ""
        (folder / name).write_text(f"{text}\n# written\n", encoding="utf-8")
        assert not is_given(), name
        keep()
    dismissed_boxes.add(folder, {"mood": dt.date(2025, 3, 14)})
    assert not is_given()
    keep()
    monkeypatch.setenv(page_params.TODAY, "2025-03-15")
    assert not is_given()


def test_a_page_that_shows_the_time_is_kept_for_a_minute(folder: Path) -> None:
    kept = KeptSights()
    assert [kept.state("day") == kept.state("month"), kept.state("evening") == kept.state("month")] == [False, True]


def test_without_a_journal_nothing_is_given(folder: Path) -> None:
    kept = KeptSights()
    (folder / "journal.toml").unlink()
    kept.keep("month", "", kept.state("month"), b"drawn")
    assert kept.given("month", "", kept.state("month")) is None


def test_the_oldest_answer_makes_room(folder: Path) -> None:
    kept, state = KeptSights(), 1
    for number in range(20):
        kept.keep("month", str(number), state, b"drawn")
        kept.keep("month", "0", state, b"again")
    assert [number for number in range(20) if kept.given("month", str(number), state)] == [0, *range(9, 20)]
