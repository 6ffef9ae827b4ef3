"""An installation without a file of its pages is told in one sentence, before a page is served."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from journal.errors import FolderError
from journal.pages import browser_modules, installation, server
from tests.cli.conftest import PROJECT
from tests.pages.test_browser_modules import LOADED_BY_A_WIDGET


def test_every_widget_is_looked_for() -> None:
    assert {f"{name}.js" for name in browser_modules.WIDGETS} == LOADED_BY_A_WIDGET
    installation.refuse_if_incomplete()


@pytest.mark.parametrize("name", ["evening.py", "evening.js", "elements.js"])
def test_a_missing_file_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    shutil.copytree(PROJECT / "notebooks", tmp_path / "notebooks", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(browser_modules.BROWSER, tmp_path / "browser")
    ((tmp_path / "notebooks" / name) if name.endswith(".py") else (tmp_path / "browser" / name)).unlink()
    monkeypatch.setattr(server, "notebook_folder", lambda: tmp_path / "notebooks")
    monkeypatch.setattr(browser_modules, "BROWSER", tmp_path / "browser")
    monkeypatch.setattr(browser_modules, "module_texts", browser_modules.module_texts.__wrapped__)
    with pytest.raises(FolderError, match=f'{name}", a file of Duskbook, is missing; install Duskbook again$'):
        installation.refuse_if_incomplete()


def test_without_any_file_there_is_still_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(server, "notebook_folder", lambda: tmp_path)
    monkeypatch.setattr(browser_modules, "BROWSER", tmp_path)
    monkeypatch.setattr(browser_modules, "module_texts", browser_modules.module_texts.__wrapped__)
    with pytest.raises(FolderError, match="and 22 more files of Duskbook are missing"):
        installation.refuse_if_incomplete()
