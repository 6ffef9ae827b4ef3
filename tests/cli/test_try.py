"""`duskbook try`: a copy of the example year as of its last day, which is removed or kept, and never written over."""

from __future__ import annotations

import contextlib
import datetime as dt
import filecmp
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import journal
from journal.commands import example_copy
from journal.pages import server
from tests.cli.conftest import PROJECT, Typed

EXAMPLE = PROJECT / "example_year"


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[Path]]:
    """The folders that were served, each looked at while it is."""
    folders: list[Path] = []

    def serve(folder: Path, page: str, **options: Any) -> None:
        assert (page, options["today"], options["open_browser"]) == ("evening", dt.date(2025, 12, 31), False)
        assert folder.stat().st_mode & 0o077 == 0
        same = filecmp.dircmp(EXAMPLE, folder, ignore=[".cache", ".history", "pictures"])
        assert not (same.left_only or same.right_only or same.diff_files)
        names = [{path.name for path in (place / "2025").iterdir()} for place in (EXAMPLE, folder)]
        assert names[0] == names[1] and len(names[0]) > 400  # with the pictures of its days
        folders.append(folder)

    monkeypatch.setattr(server, "serve", serve)
    yield folders


def test_the_copy_is_removed_at_the_end(typed: Typed, served: list[Path]) -> None:
    result = typed("try", "--no-browser")
    assert result.exit_code == 0, result.output
    assert "It is removed when you end this" in result.output
    assert not served[0].exists() and not served[0].parent.exists()


def test_the_copy_is_removed_while_a_page_still_writes(typed: Typed, monkeypatch: pytest.MonkeyPatch) -> None:
    """A page that is drawn at the end keeps its figures in .cache."""
    folders: list[Path] = []

    def write() -> None:
        ended = time.monotonic() + 0.5
        while time.monotonic() < ended:
            with contextlib.suppress(OSError):
                folders[0].parent.mkdir(exist_ok=True)
                (folders[0].parent / "kept").write_bytes(b"figure")

    def serve(folder: Path, *_: Any, **__: Any) -> None:
        folders.append(folder)
        threading.Thread(target=write, daemon=True).start()

    monkeypatch.setattr(server, "serve", serve)
    assert typed("try", "--no-browser").exit_code == 0
    time.sleep(0.1)
    assert not folders[0].parent.exists()


def test_in_a_folder_it_stays_and_nothing_is_written_over(typed: Typed, served: list[Path], tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "example"
    assert typed("try", folder, "--no-browser").exit_code == 0
    assert journal.open(folder, today=example_copy.LAST_DAY, cache=False).problems == ()
    (folder / "undated.toml").write_text("# mine\n", encoding="utf-8")
    again = typed("try", folder, "--no-browser")
    assert (again.exit_code, served) == (2, [folder])
    assert f'"{folder}" is there already; name a new folder, or none' in again.stderr
    assert (folder / "undated.toml").read_text(encoding="utf-8") == "# mine\n"


def test_an_installation_without_the_example_says_so(
    typed: Typed, served: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(example_copy, "__file__", str(tmp_path / "journal" / "commands" / "example_copy.py"))
    result = typed("try", "--no-browser")
    assert result.exit_code != 0 and served == []
    assert "is missing; install Duskbook again" in result.stderr
