"""Broken lines of journal.toml on the settings page: shown with those around them, and mended one place at a time."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
import pytest

from journal.setup import mend_settings, save_settings, settings_form
from tests.setup.forms import NOW, opened

BROKEN = 'format = 1\r\ntitle = "Spine\r\nclock = 12\r\n\r\n[day]\r\nturns = "04:00\r\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "journal.toml").write_bytes(BROKEN.encode())
    return tmp_path


def offered(folder: Path) -> dict[str, Any]:
    return dict(msgspec.to_builtins(settings_form.offer(opened(folder))))


def mend(folder: Path, offer: dict[str, Any], first: int, text: object) -> Any:
    raw = {"base": offer["base"], "first": first, "last": first, "text": text}
    return mend_settings.mend(opened(folder), raw, now=NOW)


def test_broken_lines_are_shown_and_the_rest_applies(folder: Path) -> None:
    offer = offered(folder)
    assert [(one["first"], one["last"], one["text"].strip()) for one in offer["broken"]] == [
        (2, 2, 'title = "Spine'),
        (6, 6, 'turns = "04:00'),
    ]
    assert [line["number"] for line in offer["broken"][0]["before"] + offer["broken"][0]["after"]] == [1, 3, 4]
    assert "quote" in offer["broken"][0]["message"]
    assert offer["closed"]
    assert opened(folder).settings.clock == 12


def test_each_place_is_mended_by_itself(folder: Path) -> None:
    offer, path = offered(folder), folder / "journal.toml"
    wrong = mend(folder, offer, 2, "title = Spine")
    assert [problem.field for problem in wrong.problems] == ["broken.2"]
    assert wrong.problems[0].message.startswith("Line 2: expected a value")
    assert path.read_bytes() == BROKEN.encode()
    assert mend(folder, offer, 2, 'title = "Spine"').said == "Mended and saved to journal.toml at 9:04 pm."
    assert path.read_bytes() == BROKEN.replace('"Spine', '"Spine"').encode()
    assert mend(folder, offer, 6, 'turns = "04:00"').saved, "also from the page as it was before"
    assert path.read_bytes() == BROKEN.replace('"Spine', '"Spine"').replace('"04:00', '"04:00"').encode()
    assert offered(folder)["broken"] == []
    assert mend(folder, offer, 2, "").problems, "it is not broken any more"


@pytest.mark.parametrize("raw", [None, {}, {"base": 3}, {"first": 2, "last": 2, "text": "a = 1"}])
def test_anything_else_is_rejected(folder: Path, raw: Any) -> None:
    assert mend_settings.mend(opened(folder), raw, now=NOW).problems
    base = offered(folder)["base"]
    for first, text in ((1, "a = 1"), ("2", "a = 1"), (2, 7)):
        answer = mend_settings.mend(opened(folder), {"base": base, "first": first, "last": 2, "text": text}, now=NOW)
        assert answer.problems
    assert (folder / "journal.toml").read_bytes() == BROKEN.encode()


def test_settings_are_not_saved_over_a_broken_file(folder: Path) -> None:
    raw = {"base": offered(folder)["base"], "singles": {"title": "Mine"}}
    assert save_settings.save(opened(folder), raw, now=NOW).problems[0].field == ""
    assert (folder / "journal.toml").read_bytes() == BROKEN.encode()
