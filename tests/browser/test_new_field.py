"""Fields declared only in journal/entry.py are on the evening page and can be saved."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import NewPage, Served
from tests.browser.evenings import SETTINGS, TODAY, Evening, day
from tests.new_field.test_new_field import with_fields

PROJECT = Path(__file__).parents[2]

pytestmark = pytest.mark.xdist_group("evening")


@pytest.fixture
def served_with_fields(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Served]:
    """A journal without pages, served by a copy of the package with the new fields."""
    code = with_fields(tmp_path / "code")
    shutil.copytree(PROJECT / "notebooks", code / "notebooks", ignore=shutil.ignore_patterns("__pycache__"))
    folder, home = tmp_path / "journal", tmp_path / "home"
    folder.mkdir()
    home.mkdir()
    (folder / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    with monkeypatch.context() as patch:
        patch.chdir(code)  # the server imports the package from its working folder
        served = Served(folder, TODAY, home)
    yield served
    served.end()


def test_a_new_field_is_on_the_form_and_saved(served_with_fields: Served, new_page: NewPage) -> None:
    page, folder = new_page(served_with_fields), served_with_fields.folder
    page.goto(served_with_fields.opening("evening"))
    evening = Evening(page)
    evening.field("Steps").fill("-5")
    evening.field("Worn").fill("the grey coat")
    evening.choose("Hope", "5 bright")
    evening.save("Not saved")
    expect(page.get_by_text("Expected a number, 0 or more, got -5; write e.g. 0.")).to_be_visible()
    expect(evening.field("Steps")).to_have_attribute("aria-invalid", "true")
    evening.field("Steps").fill("8000")
    evening.save("Saved to")
    assert day(folder, TODAY).startswith('steps = 8000\nwore = "the grey coat"\n')
    assert day(folder, "2025-03-14").startswith("hope = 5\n")
    page.reload()
    expect(evening.field("Steps")).to_have_value("8000")
    expect(evening.option("Hope", "5 bright")).to_be_checked()
