"""The page of a day under a broken journal.toml: its valid lines apply, as on the evening."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

import journal
from journal.planning import day_offer
from tests.journals import write

DAY = dt.date(2025, 3, 14)
NOW = dt.datetime(2025, 3, 14, 12, 0, tzinfo=dt.UTC)


@pytest.mark.parametrize(("end", "names"), [(b"", 3), (b"clock = \n", 3), (b"# \xff\n", 1)])
def test_the_weather_is_asked_while_the_lines_apply(tmp_path: Path, end: bytes, names: int) -> None:
    """The temperatures have their unit in journal.toml; the sky has none."""
    settings = write(tmp_path / "small", {}) / "journal.toml"
    settings.write_bytes(settings.read_bytes() + end)
    book = journal.open(settings.parent, today=DAY, cache=False)
    assert len(day_offer.offer(book, DAY, now=NOW).fields) == names
