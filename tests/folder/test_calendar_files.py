"""The calendar files of a journal: in its folder, named in its settings, and unreadable ones."""

from __future__ import annotations

import os
import socket
import sys
from pathlib import Path

import pytest

from journal.folder.calendar_files import SIZE_LIMIT, read
from tests.folder.journals import no_permission, put

TEXT = b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A journal with calendars at several depths, and beside it a folder that another program keeps."""
    inside = tmp_path / "journal"
    for path in ("work.ics", "2025/March/fair.ICS", "2025/note.txt", ".cache/old.ics", ".hidden.ics"):
        (inside / path).parent.mkdir(parents=True, exist_ok=True)
        (inside / path).write_bytes(TEXT)
    (tmp_path / "sync" / "club").mkdir(parents=True)
    (tmp_path / "sync" / "home.ics").write_bytes(TEXT + b" ")
    (tmp_path / "sync" / "club" / "club.ics").write_bytes(TEXT)
    return inside


def test_calendar_files_at_any_depth(folder: Path) -> None:
    calendars = read(folder)
    assert [(file.path, file.data) for file in calendars.files] == [("work.ics", TEXT), ("2025/March/fair.ICS", TEXT)]
    assert calendars.problems == []


def test_calendar_files_named_in_the_settings(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(folder.parent))
    calendars = read(folder, ["../sync/home.ics", "~/sync/", str(folder / "2025/note.txt")])
    assert [file.path for file in calendars.files][2:] == [
        "../sync/home.ics",
        "~/sync/club/club.ics",
        str(folder / "2025/note.txt"),
    ]
    assert calendars.problems == []


def test_each_file_once(folder: Path) -> None:
    (folder / "again.ics").symlink_to(folder / "work.ics")
    (folder / "2025" / "up").symlink_to(folder)
    calendars = read(folder, ["work.ics", "./2025/../work.ics"])
    assert [file.path for file in calendars.files] == ["again.ics", "2025/March/fair.ICS"]


# From Python 3.14 on, asking for a file of too long a name is no error: there is none.
TOO_LONG = (
    ("an existing calendar file", "see how it is spelt")
    if sys.version_info >= (3, 14)
    else ("the name of a file", "name a file")
)


@pytest.mark.parametrize(
    ("name", "expected", "remedy"),
    [
        ("missing.ics", "an existing calendar file", "see how it is spelt"),
        ("", "an existing calendar file", "take it out"),
        ("https://example.org/work.ics", "a file", "save the calendar as a file"),
        ("webcal://example.org/work.ics", "a file", "fetches nothing"),
        ("file:///tmp/work.ics", "a file", "save the calendar as a file"),
        ("no\0name\n.ics", "an existing calendar file", "see how it is spelt"),
        ("~nobody-here/work.ics", "the name of a file", "name a file"),
        ("x" * 5000, *TOO_LONG),
    ],
)
def test_a_name_that_is_not_a_file(folder: Path, name: str, expected: str, remedy: str) -> None:
    calendars = read(folder, ["../sync/home.ics", name])
    assert len(calendars.files) == 3
    (problem,) = calendars.problems
    assert (problem.path, problem.where, problem.expected) == ("journal.toml", "calendars[1]", expected)
    assert remedy in problem.remedy
    assert str(problem).isprintable() and len(str(problem)) < 250


def test_a_large_file_is_not_read(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, size in (("large.ics", 50_000_000), ("just.ics", SIZE_LIMIT), ("over.ics", SIZE_LIMIT + 1)):
        with (folder / name).open("wb") as file:
            file.truncate(size)  # a sparse file: it takes no space
    opened: list[str] = []
    usual = os.open

    def noted(path: Path, *args: int) -> int:
        opened.append(path.name)
        return usual(path, *args)

    monkeypatch.setattr(os, "open", noted)
    calendars = read(folder)
    assert sorted(opened) == ["fair.ICS", "just.ics", "work.ics"]
    assert [str(problem) for problem in calendars.problems] == [
        "large.ics: expected a calendar of at most 10 MB, got 50 MB; export the last year or two only, or move it away",
        "over.ics: expected a calendar of at most 10 MB, got 10 MB; export the last year or two only, or move it away",
    ]


def test_irregular_and_unreadable_files(folder: Path) -> None:
    os.mkfifo(folder / "pipe.ics")
    (folder / "gone.ics").symlink_to(folder / "nothing")
    (folder / "folder.ics").mkdir()
    with socket.socket(socket.AF_UNIX) as unix:
        unix.bind(os.path.relpath(folder / "socket.ics"))  # a path of a socket may have about 100 bytes
        calendars = read(folder)
    assert len(calendars.files) == 2
    assert {(problem.path, problem.got) for problem in calendars.problems} == {
        ("pipe.ics", "a pipe"),
        ("gone.ics", "a link to nothing"),
        ("socket.ics", "a socket"),
    }


def test_files_without_read_permission(open_path: Path) -> None:
    for path in ("work.ics", "2025/fair.ics"):
        put(open_path, path, "BEGIN:VCALENDAR")
    for hidden, read_still in (("work.ics", "2025/fair.ics"), ("2025", "work.ics")):
        with no_permission(open_path / hidden):
            calendars = read(open_path)
        assert [file.path for file in calendars.files] == [read_still]
        assert [(problem.path, problem.got) for problem in calendars.problems] == [(hidden, "no permission")]


def test_a_link_to_a_folder_elsewhere_is_followed_only_if_it_is_named(folder: Path) -> None:
    (folder / "club").symlink_to("../sync/club")
    (folder / "home.ics").symlink_to("../sync/home.ics")
    calendars = read(folder)
    assert [file.path for file in calendars.files] == ["home.ics", "work.ics", "2025/March/fair.ICS"]
    (problem,) = calendars.problems
    assert (problem.path, problem.got) == ("club", "a link that is not followed")
    named = read(folder, ["club", "club/club.ics"])
    assert [file.path for file in named.files[3:]] == ["club/club.ics"]
