"""A journal.toml with a slip: what it said before stands in, and it is said. Nothing is told wrongly without it."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

import journal
from journal.evening import form_build
from journal.folder import reading, writing
from tests.cli.conftest import SETTINGS, Typed

NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
CHALLENGE = '\n[[challenges]]\nkey = "letters"\nname = "Letters"\nfrom = 2025-03-01\nuntil = 2025-03-30\n'
SCALE = f"\n[mood]\nlow = 1\nhigh = 10\n{CHALLENGE}"
BROKEN = {
    "a habit": ('key = "walk"', 'key = "walk'),
    "its first day": ('name = "Walk"\nevery', 'name = "Walk\nevery'),
    "a header": ("[mood]", "[mood"),
    "a scale": ("high = 10", "high = 10 x"),
    "a challenge": ('key = "letters"', 'key = letters"'),
    "no text": ("", ""),
}


@pytest.fixture
def folder(small_journal: Path) -> Path:
    (small_journal / "journal.toml").write_text(SETTINGS + SCALE, encoding="utf-8")
    return small_journal


def keep(folder: Path) -> None:
    """Save the settings once, so that their state is kept."""
    writing.save(folder, "settings", writing.look(folder, "settings"), {("clock",): 12}, now=NOW, by="settings")


def slip(folder: Path, what: str) -> None:
    path = folder / "journal.toml"
    right, wrong = (text.encode() for text in BROKEN[what])
    path.write_bytes(path.read_bytes().replace(right, wrong) if what != "no text" else b"\xff\xfe")


@pytest.mark.parametrize("what", BROKEN)
def test_what_was_said_before_stands_in_and_it_is_said(folder: Path, typed: Typed, what: str) -> None:
    keep(folder)
    before = typed("show", "streaks", folder, "--today", "2025-03-16").stdout
    valid = reading.read_settings(folder).settings
    slip(folder, what)
    basis = reading.read_settings(folder)
    assert basis.settings == valid
    assert basis.earlier is not None
    (problem,) = basis.problems
    assert "until then" in problem.remedy
    assert "left out" not in problem.remedy
    shown = typed("show", "streaks", folder, "--today", "2025-03-16")
    assert (shown.exit_code, shown.stdout) == (0, before)
    assert "duskbook: journal.toml is broken; " in shown.stderr
    assert f"the settings of {basis.earlier.since} stand in" in shown.stderr
    said = typed("log", folder, "--date", "2025-03-16", "--habit", "walk", "--mood", "9", "--challenge", "letters")
    assert said.exit_code == 0
    assert typed("check", folder).stdout.count("\n") == 1
    evening = form_build.offer(journal.open(folder, today=dt.date(2025, 3, 16)), dt.date(2025, 3, 16))
    assert [habit.key for habit in evening.habits] == ["walk", "read", "swim"]
    assert [file.part for file in evening.broken] == ["lines"]
    assert evening.broken[0].said == "What cannot be read of it applies as it was before, and is asked as before."


def test_what_was_taken_out_stays_out(folder: Path) -> None:
    keep(folder)
    path = folder / "journal.toml"
    start = path.read_text(encoding="utf-8").index('[[habits]]\nkey = "read"')
    end = path.read_text(encoding="utf-8").index('[[habits]]\nkey = "swim"')
    text = path.read_text(encoding="utf-8")
    path.write_text((text[:start] + text[end:]).replace('key = "walk"', 'key = "walk'), encoding="utf-8")
    assert reading.read_settings(folder).settings.habit_keys == ("walk", "swim")


def test_without_a_kept_state_the_slip_is_told_and_no_value_is_called_wrong(folder: Path, typed: Typed) -> None:
    slip(folder, "a habit")
    shown = typed("show", "streaks", folder, "--today", "2025-03-16")
    assert shown.exit_code == 1
    assert "duskbook: a part of journal.toml is left out: journal.toml:" in shown.stderr
    said = typed("log", folder, "--date", "2025-03-16", "--habit", "walk")
    assert said.exit_code == 2
    assert "--habit walk: it may stand in a part of journal.toml that cannot be read. journal.toml:" in said.stderr
    assert typed("log", folder, "--date", "2025-03-16", "--habit", "read=20").exit_code == 0


@pytest.mark.parametrize("what", ["a header", "a scale", "no text"])
def test_a_mood_on_a_scale_that_cannot_be_read_is_not_wrong(folder: Path, typed: Typed, what: str) -> None:
    page = folder / "2025" / "2025-03-15.toml"
    page.write_text("mood = 9\n", encoding="utf-8")
    slip(folder, what)
    assert typed("log", folder, "--date", "2025-03-16", "--mood", "9").exit_code == 0
    assert "2025-03-15" not in typed("check", folder).stdout


def test_an_unreadable_journal_toml_is_no_empty_answer(folder: Path, typed: Typed) -> None:
    slip(folder, "no text")
    for measure in ("streaks", "rates", "mood"):
        shown = typed("show", measure, folder, "--today", "2025-03-16")
        assert (shown.exit_code, "is left out: journal.toml: expected text in UTF-8" in shown.stderr) == (1, True)
    said = typed("log", folder, "--date", "2025-03-16", "--habit", "walk")
    assert (
        "may stand in a part of journal.toml that cannot be read. journal.toml: expected text in UTF-8" in said.stderr
    )
