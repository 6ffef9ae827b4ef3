"""An error of a command that the desktop's menu started: it comes up in the browser, because nobody sees a terminal."""

from __future__ import annotations

import time
import webbrowser
from pathlib import Path
from urllib.parse import unquote, urlparse

import pytest

from tests.cli.conftest import Typed


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Path, str, int]]:
    """The pages that the browser is opened with: path, text and mode."""
    found: list[tuple[Path, str, int]] = []

    def read(address: str) -> bool:
        path = Path(unquote(urlparse(address).path))
        found.append((path, path.read_text(encoding="utf-8"), path.stat().st_mode & 0o777))
        return True

    monkeypatch.setattr(webbrowser, "open", read)
    monkeypatch.setattr(time, "sleep", lambda _: None)
    return found


def test_a_journal_that_is_gone_is_told_in_the_browser(
    typed: Typed, tmp_path: Path, shown: list[tuple[Path, str, int]]
) -> None:
    result = typed("evening", tmp_path / "<i>gone", "--until-closed")
    assert result.exit_code == 2
    ((path, page, mode),) = shown
    assert "The journal does not open" in page
    assert "&#60;i&#62;gone" in page
    assert "<i>" not in page
    assert "<script" not in page
    assert mode == 0o600
    assert not path.parent.exists(), "it is removed once the browser has read it"


def test_a_person_at_a_terminal_reads_it_there(
    typed: Typed, tmp_path: Path, shown: list[tuple[Path, str, int]], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert typed("evening", tmp_path / "gone").exit_code == 2
    monkeypatch.setattr("journal.commands.usage_errors._is_seen", lambda: True)
    assert typed("evening", tmp_path / "gone", "--until-closed").exit_code == 2
    assert shown == []
