"""The file that takes the browser in: private, correct, and gone afterwards."""

from __future__ import annotations

import stat
import tempfile
import threading
from pathlib import Path

import html5lib
import pytest

from journal.pages import redirect_file
from journal.pages.redirect_file import RedirectFile

ADDRESS = "http://127.0.0.1:8420/enter"


@pytest.fixture(autouse=True)
def runtime(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    return tmp_path


def test_only_its_owner_reads_it(runtime: Path) -> None:
    file = RedirectFile(ADDRESS, "token", "/week/")
    assert file.path.parent.parent == runtime
    assert stat.S_IMODE(file.path.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.path.parent.stat().st_mode) == 0o700
    assert "token" not in str(file.path)
    file.remove()
    file.remove()
    assert list(runtime.iterdir()) == []


@pytest.mark.parametrize("place", ["", "/no such folder", "/proc/version"])
def test_without_a_folder_of_the_session_it_is_among_the_temporary_files(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, place: str
) -> None:
    monkeypatch.setenv("XDG_RUNTIME_DIR", place)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    file = RedirectFile(ADDRESS, "token", "/week/")
    assert file.path.is_relative_to(tmp_path)
    file.remove()


def test_its_form_posts_the_token_also_without_scripts() -> None:
    file = RedirectFile(ADDRESS, 'to"ken<', "/week/?on=2025-03-13")
    tree = html5lib.HTMLParser(strict=False).parse(file.path.read_text())
    space = "{http://www.w3.org/1999/xhtml}"
    (form,) = tree.iter(f"{space}form")
    assert (form.get("method"), form.get("action")) == ("post", ADDRESS)
    fields = {element.get("name"): element.get("value") for element in form.iter(f"{space}input")}
    assert fields == {"token": 'to"ken<', "to": "/week/?on=2025-03-13"}
    assert [element.text for element in form.iter(f"{space}button")] == ["Open the journal"]
    file.remove()


def test_it_is_removed_after_some_minutes(monkeypatch: pytest.MonkeyPatch, runtime: Path) -> None:
    monkeypatch.setattr(redirect_file, "SECONDS", 0.05)
    file = RedirectFile(ADDRESS, "token", "")
    file._timer.join(5)
    assert not file._timer.is_alive() and list(runtime.iterdir()) == []
    assert all(not isinstance(thread, threading.Timer) for thread in threading.enumerate())


def test_a_failed_write_leaves_nothing(monkeypatch: pytest.MonkeyPatch, runtime: Path) -> None:
    monkeypatch.setattr(redirect_file, "_page", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        RedirectFile(ADDRESS, "token", "")
    assert list(runtime.iterdir()) == []
