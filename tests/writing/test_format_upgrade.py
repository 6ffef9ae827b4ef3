"""The way up from format 1, tried with two formats of the tests: what changes, what stays, and an upgrade stopped."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

import journal
from journal.errors import WriteError
from journal.folder import atomic_write, check_settings, format_upgrade, history, reading, writing
from journal.folder.format_upgrade import FormatStep
from tests.cli.conftest import SETTINGS, Typed, typed

__all__ = ["typed"]

NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
PAGES = {
    "2025/2025-03-13.toml": b"# Thursday\r\nmood = 3   # even\r\n\r\n[weather]\r\nhigh = 11\r\n",
    "2025/2025-03-14.toml": b'\xef\xbb\xbfmemory = "Sewn."\n\nmood = 4\n[odd]\nkept = true # a key of hers\n',
    "2025/2025-W11.toml": b'notes = ["Two books."]\n',
    "undated.toml": b"# None.\n",
}
UPGRADED = {
    "2025/2025-03-13.toml": b'# Thursday\r\nmood = 30   # even\r\n\r\n[weather]\r\nhigh = 11\r\nunit = "C"\r\n',
    "2025/2025-03-14.toml": b'\xef\xbb\xbfmemory = "Sewn."\n\nmood = 40\n[odd]\nkept = true # a key of hers\n',
}


def tenfold(key: str, values: dict[str, Any]) -> dict[str, Any]:
    """Format 2 of this test: a mood is counted in tenths."""
    mood = values.get("mood")
    return values | {"mood": mood * 10} if isinstance(mood, int) and mood < 10 else values


def with_unit(key: str, values: dict[str, Any]) -> dict[str, Any]:
    """Format 3 of this test: the weather names its unit."""
    return values | {"weather": {"unit": "C"} | values["weather"]} if "weather" in values else values


STEPS = (FormatStep(2, tenfold), FormatStep(3, with_unit))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "2025").mkdir()
    (tmp_path / "journal.toml").write_text(f"# Mine.\n{SETTINGS}", encoding="utf-8")
    for path, data in PAGES.items():
        (tmp_path / path).write_bytes(data)
    return tmp_path


@pytest.fixture
def third(monkeypatch: pytest.MonkeyPatch) -> None:
    """A Duskbook whose format is 3."""
    monkeypatch.setattr(check_settings, "FORMAT", 3)
    monkeypatch.setattr(format_upgrade, "STEPS", STEPS)


@pytest.mark.usefixtures("third")
def test_a_journal_of_format_1_is_brought_up_and_nothing_else_of_it_changes(folder: Path) -> None:
    assert format_upgrade.upgrade(folder, now=NOW, steps=STEPS) == [*UPGRADED, "journal.toml"]
    for path, data in PAGES.items():
        assert (folder / path).read_bytes() == UPGRADED.get(path, data), path
    assert (folder / "journal.toml").read_text(encoding="utf-8") == f"format = 3\n# Mine.\n{SETTINGS}"
    day = writing.look(folder, "2025-03-14")
    states = history.states(folder, day.key, day.data)
    assert [(state.by, state.data) for state in states][-1] == ("upgrade", UPGRADED[day.path])
    assert states[0].data == PAGES[day.path]
    assert reading.read_settings(folder).other_format is None
    assert format_upgrade.upgrade(folder, now=NOW, steps=STEPS) == []
    assert isinstance(writing.save(folder, day.key, day, {("memory",): "Bound."}, now=NOW), writing.Saved)


@pytest.mark.usefixtures("third")
def test_nothing_is_written_to_an_earlier_format_before_it_is_brought_up(folder: Path, typed: Typed) -> None:
    told = (
        "journal has format 1, and this Duskbook knows format 3: it reads what it can and saves nothing; "
        'bring it there with "duskbook upgrade"'
    )
    assert journal.open(folder, today=NOW.date(), cache=False).read_only == f"This {told}."
    with pytest.raises(WriteError, match=told):
        writing.save(folder, "2025-03-14", writing.look(folder, "2025-03-14"), {("mood",): 5}, now=NOW)
    refused = typed("log", folder, "--date", "2025-03-14", "--note", "x")
    assert (refused.exit_code, told in refused.stderr) == (2, True)
    assert {path: (folder / path).read_bytes() for path in PAGES} == PAGES


@pytest.mark.usefixtures("third")
def test_an_upgrade_that_is_stopped_is_made_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    replace, written = atomic_write.replace, list[Path]()

    def failing(path: Path, data: bytes, before: bytes | None) -> None:
        if path.parent.name == "2025" and len(written) == 1:
            raise OSError(28, "No space left on device")
        written.append(path)
        replace(path, data, before)

    monkeypatch.setattr(atomic_write, "replace", failing)
    with pytest.raises(WriteError, match="2025-03-14"):
        format_upgrade.upgrade(folder, now=NOW, steps=STEPS)
    assert reading.read_settings(folder).other_format == 1
    monkeypatch.setattr(atomic_write, "replace", replace)
    assert format_upgrade.upgrade(folder, now=NOW, steps=STEPS) == ["2025/2025-03-14.toml", "journal.toml"]
    assert {path: (folder / path).read_bytes() for path in PAGES} == PAGES | UPGRADED


@pytest.mark.usefixtures("third")
def test_a_page_that_cannot_be_read_stops_it_before_anything_is_written(folder: Path) -> None:
    (folder / "2025" / "2025-03-15.toml").write_text('memory = "Sewn.\n', encoding="utf-8")
    with pytest.raises(WriteError, match=r"2025-03-15\.toml:1:16: expected a closing quote"):
        format_upgrade.upgrade(folder, now=NOW, steps=STEPS)
    assert {path: (folder / path).read_bytes() for path in PAGES} == PAGES


def test_without_a_newer_format_nothing_is_to_be_done(folder: Path, typed: Typed) -> None:
    result = typed("upgrade", folder)
    assert "has format 1, which this Duskbook writes. Nothing is changed." in result.output
    assert typed("--version").output == f"duskbook {journal.__version__}, journals of format 1\n"
    assert {path: (folder / path).read_bytes() for path in PAGES} == PAGES
