"""A broken place of journal.toml is mended in its place: all other bytes stay, and nothing is made worse."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from journal.errors import UsageError, WriteError
from journal.folder import history, mending, reading
from journal.folder.writing import Saved
from tests.journals import HOME
from tests.writing.test_saving import NOW

HABIT = '[[habits]]\nkey = "walk"\nname = "Walk\nevery = "FREQ=DAILY"\nfrom = 2025-01-01\n'
BROKEN = f"""\
# Mine.
title = "Kept"
clock = 12 h   # or 24

{HOME}
{HABIT}
[mood
low = 0

# The end.
[day]
ranked_tasks = 2
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "journal.toml").write_text(BROKEN, encoding="utf-8", newline="")
    return tmp_path


def mend(folder: Path, number: int, text: str, *, rehearse: bool = False, now: dt.datetime = NOW) -> Saved:
    basis = reading.read_settings(folder)
    return mending.mend(folder, basis.base, basis.broken[number], text, now=now, rehearse=rehearse)


def text(folder: Path) -> str:
    return (folder / "journal.toml").read_bytes().decode()


def test_places_are_mended_one_by_one_and_all_other_bytes_stay(folder: Path) -> None:
    new = [("clock = 12     # or 24", "clock = 12 h   # or 24"), ('name = "Walk"', 'name = "Walk'), ("[mood]", "[mood")]
    expected = BROKEN
    for line, old in new:
        place = reading.read_settings(folder).broken[0]
        result = mend(folder, 0, place.text.replace(old, line))
        assert result.before is not None
        assert [state.data for state in history.states(folder, "settings")][-2] == expected.encode()
        expected = expected.replace(old + "\n", line + "\n")
        assert text(folder) == expected
    basis = reading.read_settings(folder)
    assert (basis.problems, basis.broken) == ((), ())
    assert (basis.settings.clock, basis.settings.habit_keys, basis.settings.mood.low) == (12, ("walk",), 0)


def test_line_ends_a_byte_order_mark_and_a_missing_last_line_end_stay(folder: Path) -> None:
    path = folder / "journal.toml"
    path.write_bytes(b'\xef\xbb\xbftitle = "Kept\r\nclock = 12\r\ntemperature = F')
    mend(folder, 0, 'title = "Kept"\n# and\n')
    assert path.read_bytes() == b'\xef\xbb\xbftitle = "Kept"\r\n# and\r\nclock = 12\r\ntemperature = F'
    mend(folder, 0, 'temperature = "F"')
    assert path.read_bytes() == b'\xef\xbb\xbftitle = "Kept"\r\n# and\r\nclock = 12\r\ntemperature = "F"'


def test_an_empty_text_takes_the_lines_out(folder: Path) -> None:
    mend(folder, 2, "")
    assert text(folder) == BROKEN.replace("[mood\nlow = 0\n", "")


@pytest.mark.parametrize(
    ("number", "lines", "message"),
    [
        (0, "clock = 12 o", r"journal\.toml:3:9: expected a value"),
        (0, "clock = 13", r"journal\.toml:3:9: clock: expected"),
        (0, "clok = 12", r'journal\.toml:3:1: clok: expected a key .*; write "clock"'),
        (0, "clock = [12,", r'journal\.toml:3:9: expected a "\]" for the list'),
        (0, 'title = """', r"journal\.toml:3:\d+: expected three quotes at the end"),
        (1, '[day]', r'journal\.toml:14:1: expected lines of the same table, got "\[day\]"; put a table'),
        (0, 'title = "A"', r'journal\.toml:3:1: expected each key and table once'),
        (2, '[mood]\nlow = 0\n[day]', r'journal\.toml:23:2: expected each key and table once'),
        (1, '[energy]', r'journal\.toml:14:1: expected lines of the same table, got "\[energy\]"; put a table'),
        (2, "[mood]\nlow = 0\nlow = 1", r"journal\.toml:20:1: expected each key and table once"),
    ],
)  # fmt: skip
def test_lines_that_do_not_mend_it_are_refused(folder: Path, number: int, lines: str, message: str) -> None:
    with pytest.raises(WriteError, match=message) as refused:
        mend(folder, number, lines)
    assert refused.value.typed == lines
    assert refused.value.problems
    assert text(folder) == BROKEN
    assert not (folder / ".cache" / "before").exists()


def test_a_rehearsal_writes_nothing(folder: Path) -> None:
    result = mend(folder, 0, "clock = 12", rehearse=True)
    assert (result.written, result.before, text(folder)) == (False, None, BROKEN)


def test_a_file_changed_elsewhere_is_merged_where_the_lines_are_the_same(folder: Path) -> None:
    basis = reading.read_settings(folder)
    changed = BROKEN.replace("# Mine.", "# Mine,\n# and hers.")
    (folder / "journal.toml").write_text(changed, encoding="utf-8")
    result = mending.mend(folder, basis.base, basis.broken[0], "clock = 12", now=NOW)
    assert result.merged
    assert text(folder) == changed.replace("clock = 12 h   # or 24", "clock = 12")
    with pytest.raises(WriteError, match="changed elsewhere"):
        mending.mend(folder, basis.base, basis.broken[0], "clock = 24", now=NOW)
    assert text(folder) == changed.replace("clock = 12 h   # or 24", "clock = 12")
    assert mending.mend(folder, basis.base, basis.broken[1], 'name = "Walk"', now=NOW).written


def test_a_place_of_another_file_is_none(folder: Path) -> None:
    basis = reading.read_settings(folder)
    (folder / "journal.toml").write_text("x\n" + BROKEN, encoding="utf-8")
    with pytest.raises(UsageError, match="no such broken lines"):
        mending.mend(folder, reading.read_settings(folder).base, basis.broken[0], "clock = 12", now=NOW)
