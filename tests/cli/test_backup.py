"""`duskbook backup` and `duskbook restore`, as they are typed."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import pyrage
import pytest

from journal.backup import age_file
from journal.commands import backup_files, backup_password, clock
from tests.backup.journals import read, write
from tests.cli.conftest import Typed

SMALL = "13 pages, 2025-03-03 to 2025-03-16, and 1 other file"


@pytest.fixture(autouse=True)
def here(tmp_path: Path, small_journal: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(clock, "now", lambda: dt.datetime(2025, 3, 17, 1, tzinfo=dt.UTC))


def test_there_and_back(typed: Typed, small_journal: Path) -> None:
    Path("kept").mkdir()
    result = typed("backup", "kept", "small")
    assert (result.exit_code, result.stdout.splitlines()) == (
        0,
        [
            f"Wrote kept/small-2025-03-16.tar: {SMALL}, 20 kB.",
            "It was read back from disk: every file in it is as in the journal.",
        ],
    )
    result = typed("restore", "kept/small-2025-03-16.tar", "again")
    assert (result.exit_code, result.stdout.splitlines()) == (
        0,
        [
            f"Restored {SMALL} to again. Every file is as it was backed up.",
            "No problems in 13 pages.",
        ],
    )
    assert read(Path("again")) == read(small_journal)


def test_problems_are_counted_after_a_restore(typed: Typed, small_journal: Path) -> None:
    write(small_journal, {"2025/2025-03-16.toml": b"mood = 'x'\n"})
    typed("backup", "b.tar", "small")
    result = typed("restore", "b.tar", "again")
    assert (result.exit_code, result.stdout.splitlines()[1]) == (0, '1 problem. "duskbook check again" tells where.')


def test_as_of_a_day(typed: Typed, small_journal: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def log(day: int, *changes: str) -> None:
        monkeypatch.setattr(clock, "now", lambda: dt.datetime(2025, 3, day, 21, tzinfo=dt.UTC))
        assert typed("log", "small", *changes).exit_code == 0

    log(17, "--mood", "2")
    log(18, "--mood", "5", "--note", "Glue.")
    log(18, "--date", "2025-03-17", "--mood", "1")
    log(19, "--mood", "3")
    typed("backup", "b.tar", "small")
    result = typed("restore", "b.tar", "again", "--as-of", "2025-03-17")
    assert result.exit_code == 0
    assert result.stdout == (
        "Restored 14 pages, 2025-03-03 to 2025-03-17, and 5 other files to again, as of 2025-03-17. 1 page is as it "
        "was then; 2 pages were not there then and are left out; of 14 files no state is kept: as in the backup.\n"
        "No problems in 14 pages.\n"
    )
    assert "mood = 2" in Path("again/2025/2025-03-17.toml").read_text()
    states = typed("history", "again", "2025-03-17", "--format", "csv").stdout.splitlines()
    assert [line.split(",")[2] for line in states[1:]] == ["restore", "log", "log"]
    assert typed("history", "again", "2025-03-18", "--bring-back", "2", "--yes").exit_code == 0
    assert "Glue." in Path("again/2025/2025-03-18.toml").read_text()
    result = typed("restore", "b.tar", "other", "--as-of", "2025-03-01")
    assert (result.exit_code, result.stderr) == (
        2,
        "duskbook: states of pages are kept from 2025-03-17 to 2025-03-19 only; write a day from 2025-03-17 on\n",
    )


def test_an_edit_in_an_editor_before_the_backup_has_its_day(
    typed: Typed, small_journal: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page is logged on the 17th, written in an editor on the 19th and backed up on the 21st."""
    page = small_journal / "2025" / "2025-03-17.toml"
    monkeypatch.setattr(clock, "now", lambda: dt.datetime(2025, 3, 17, 21, tzinfo=dt.UTC))
    assert typed("log", "small", "--mood", "2").exit_code == 0
    page.write_text("mood = 5\n", encoding="utf-8")
    edited = dt.datetime(2025, 3, 19, 12, tzinfo=dt.UTC).timestamp()
    os.utime(page, (edited, edited))
    monkeypatch.setattr(clock, "now", lambda: dt.datetime(2025, 3, 21, 21, tzinfo=dt.UTC))
    typed("backup", "b.tar", "small")
    for day, mood in (("2025-03-18", 2), ("2025-03-19", 5), ("2025-03-20", 5)):
        assert typed("restore", "b.tar", day, "--as-of", day).exit_code == 0
        assert f"mood = {mood}" in Path(day, "2025", "2025-03-17.toml").read_text(encoding="utf-8"), day


def test_a_file_that_is_there_is_asked_about(typed: Typed, monkeypatch: pytest.MonkeyPatch) -> None:
    Path("b.tar").write_bytes(b"mine")
    result = typed("backup", "b.tar", "small")
    assert result.exit_code == 2
    assert 'b.tar" is there already and stays as it is; name another file, or add --yes to replace it' in result.stderr
    monkeypatch.setattr(backup_files, "is_terminal", lambda: True)
    result = typed("backup", "b.tar", "small", answers="n\n")
    assert (result.exit_code, result.stdout) == (
        0,
        '"b.tar" is there already. Replace it? [y/N]: n\nNothing is written.\n',
    )
    assert Path("b.tar").read_bytes() == b"mine"
    assert typed("backup", "b.tar", "small", answers="y\n").exit_code == 0
    before = Path("b.tar").read_bytes()
    assert typed("backup", "b.tar", "small", "--yes").exit_code == 0
    assert Path("b.tar").read_bytes() == before != b"mine"


def test_what_is_left_out_is_told(typed: Typed, small_journal: Path) -> None:
    (small_journal / "undated.toml").symlink_to("../elsewhere")
    result = typed("backup", "b.tar", "small")
    assert result.exit_code == 1
    assert result.stderr == (
        "duskbook: undated.toml: expected a plain file, got a link, which is not in the backup; put what it leads to "
        "in its place\n"
    )


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("backup", 'TARGET is missing; write e.g. "duskbook backup ../my-journal.tar"'),
        ("backup small/b.tar small", 'b.tar" is in the journal itself; name a place outside, best on another disk'),
        ("backup no/b.tar small", 'no"; name one that is there'),
        ("backup b.tar nowhere", 'there is no folder "nowhere"'),
        ("restore small/journal.toml again", 'is no backup of a journal; name a file that "duskbook backup" wrote'),
        ("restore b.tar small", '"small" has files, which stay as they are; name a new folder, e.g. "restored"'),
        ("restore b.tar", 'FOLDER is missing; write e.g. "duskbook restore my-journal"'),
    ],
)
def test_wrong_usage_is_one_line(typed: Typed, line: str, said: str) -> None:
    before = read(Path())
    result = typed(*line.split())
    assert (result.exit_code, result.stdout, result.stderr.count("\n")) == (2, "", 1)
    assert said in result.stderr
    assert read(Path()) == before


class TestWithAPassword:
    """Each password takes a second as it is meant, so these take a quick one."""

    @pytest.fixture(autouse=True)
    def quick(self, monkeypatch: pytest.MonkeyPatch) -> None:
        assert age_file.WORK == 18
        monkeypatch.setattr(age_file, "WORK", 4)
        monkeypatch.setattr(backup_password, "is_terminal", lambda: True)

    def test_it_is_asked_for_twice_and_then_once(self, typed: Typed, small_journal: Path) -> None:
        result = typed("backup", ".", "small", "--password", answers="\nGlue\nglue\nGlue\nGlue\n")
        assert result.exit_code == 0
        assert "It was read back from disk and opened with the password" in result.stdout
        assert "Glue" not in result.output
        backup = Path("small-2025-03-16.tar.age")
        assert b"mood" not in backup.read_bytes()
        assert pyrage.passphrase.decrypt(backup.read_bytes(), "Glue")[:8] == b"MANIFEST"
        result = typed("restore", backup, "again", answers="Glue\n")
        assert (result.exit_code, "No problems in 13 pages." in result.stdout) == (0, True)
        assert read(Path("again")) == read(small_journal)

    def test_it_is_taken_from_a_file(self, typed: Typed, small_journal: Path) -> None:
        Path("password").write_text("Glue, and thread\r\nof no use\n")
        assert typed("backup", "b.age", "small", "--password-file", "password").exit_code == 0
        assert typed("restore", "b.age", "again", "--password-file", "password").exit_code == 0
        assert read(Path("again")) == read(small_journal)
        first = Path("b.age").read_bytes()
        assert typed("backup", "b.age", "small", "--password-file", "password", "--yes").exit_code == 0
        assert len(Path("b.age").read_bytes()) == len(first)
        assert Path("b.age").read_bytes() != first

    def test_what_is_wrong_is_told_in_one_line_and_nothing_is_written(
        self, typed: Typed, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        for name, text in {"right": b"Glue", "wrong": b"glue", "empty": b"\nGlue", "bytes": b"\xff"}.items():
            Path(name).write_bytes(text)
        typed("backup", "b.age", "small", "--password-file", "right")
        data = Path("b.age").read_bytes()
        Path("cut").write_bytes(data[:-100])
        Path("flipped").write_bytes(data[:-100] + b"\0" + data[-99:])
        before = read(Path())
        monkeypatch.setattr(backup_password, "is_terminal", lambda: False)
        for line, said in WRONG.items():
            result = typed(*line.split())
            assert (result.exit_code, result.stdout, result.stderr) == (2, "", f"duskbook: {said}\n")
            assert read(Path()) == before


ANOTHER = "take another copy of the backup"
WRONG = {
    "restore b.age again --password-file wrong": 'the password is wrong: it does not open "b.age"; if it is the right '
    "one, the file is damaged at its beginning",
    "restore b.age again": "a password is needed and there is no terminal to ask on; name a file with --password-file",
    "restore cut again --password-file right": f'"cut" is damaged or cut off; {ANOTHER}',
    "restore flipped again --password-file right": f'"flipped" is damaged or cut off; {ANOTHER}',
    "backup c.age small --password": "a password is needed and there is no terminal to ask on; name a file with "
    "--password-file",
    "backup c.age small --password-file empty": '--password-file: the first line of "empty" is empty; write the '
    "password there",
    "backup c.age small --password-file bytes": '--password-file: "bytes" is not UTF-8 text; write the password on its '
    "first line",
    "backup c.age small --password-file none": '--password-file: "none" cannot be read (No such file or directory); '
    "name another",
    "backup c.age small --password --password-file right": "--password and --password-file do not go together; leave "
    "one out",
}
