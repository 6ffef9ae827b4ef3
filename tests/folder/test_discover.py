"""Discovery of a journal's pages: page names, names that resemble one, and unreadable folders."""

from __future__ import annotations

import os
import socket
from pathlib import Path

import pytest

from journal.folder import discover, folder_walk
from tests.folder.journals import no_permission, put


def keys(folder: Path) -> list[str]:
    return [file.key for file in discover.find(folder).pages]


def lines(folder: Path) -> list[str]:
    return [str(problem) for problem in sorted(discover.find(folder).problems)]


def test_pages_at_any_depth_sorted_by_path(tmp_path: Path) -> None:
    for path in ("2025/2025-03-14.toml", "2025.toml", "a/b/c/2025-W11.toml", "2025/2025-03.toml", "2024-12-31.toml"):
        put(tmp_path, path, "mood = 4")
    for path in ("journal.toml", "undated.toml", ".cache/2025-01-01.toml", ".git/x.toml", ".2025-01-02.toml.swp"):
        put(tmp_path, path, "mood = 4")
    for path in (
        "README.md",
        "2025/photo.jpg",
        "2025/2025-03-14.toml.bak",
        "2025/2025-03-14.toml~",
        "2025/2025-03-14-bench.jpg",
        "2025/2025-03-14.md",
        "2025/2025-03.pdf",
        ".2025-01-03.toml",
    ):
        put(tmp_path, path, "mood = 4")
    discovery = discover.find(tmp_path)
    assert discovery.problems == []
    assert [(file.path, file.kind, file.key) for file in discovery.pages] == [
        ("2024-12-31.toml", "day", "2024-12-31"),
        ("2025.toml", "year", "2025"),
        ("2025/2025-03-14.toml", "day", "2025-03-14"),
        ("2025/2025-03.toml", "month", "2025-03"),
        ("a/b/c/2025-W11.toml", "week", "2025-W11"),
    ]


def test_size_and_times_are_those_of_the_file(tmp_path: Path) -> None:
    path = put(tmp_path, "2025-03-14.toml", "mood = 4\n")
    os.utime(path, ns=(1, 1_700_000_000_123_456_789))
    (file,) = discover.find(tmp_path).pages
    status = path.stat()
    assert (file.size, file.content_ns, file.state_ns) == (9, status.st_mtime_ns, status.st_ctime_ns)


NAMED = "expected a page named by its period alone"
ANY = 'expected a page named by its period, e.g. "2025-03-14.toml"'
ANY_REMEDY = "name it so, give it another ending, or move it out of the journal"


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("2025-02-30", "an existing day|2025-02 has days 01 to 28: name it by its day"),
        ("2025-13-01", "an existing day|months go from 01 to 12: name it by its day"),
        ("2025-00-01", "an existing day|months go from 01 to 12: name it by its day"),
        ("2024-02-30", "an existing day|2024-02 has days 01 to 29: name it by its day"),
        ("2025-13", "an existing month|months go from 01 to 12: name it by its month"),
        ("2025-W60", "an existing week|2025 has weeks W01 to W52: name it by its week"),
        ("2020-W54", "an existing week|2020 has weeks W01 to W53: name it by its week"),
        ("2025-W00", "an existing week|2025 has weeks W01 to W52: name it by its week"),
        ("9999-01-01", "a year from 1583 to 2999|name it by its year"),
        ("0000-01-01", "a year from 1583 to 2999|name it by its year"),
        ("0001", "a year from 1583 to 2999|name it by its year"),
        ("9999-W52", "a year from 1583 to 2999|name it by its year"),
        ("2025-03-14 (conflicted copy)", f'{NAMED[9:]}|name it "2025-03-14.toml"'),
        ("2025-03-14-1", f'{NAMED[9:]}|name it "2025-03-14.toml"'),
        ("2025-03-14.sync-conflict-20250315-101010-ABCDEFG", f'{NAMED[9:]}|name it "2025-03-14.toml"'),
        ("2025-W11 copy", f'{NAMED[9:]}|name it "2025-W11.toml"'),
        ("2025 (1)", f'{NAMED[9:]}|name it "2025.toml"'),
        ("2025-3-4", f'{NAMED[9:]}|name it "2025-03-04.toml"'),
        ("20250304", f'{NAMED[9:]}|name it "2025-03-04.toml"'),
        ("2025-w11", f'{NAMED[9:]}|name it "2025-W11.toml"'),
        ("notes", f"{ANY[9:]}|{ANY_REMEDY}"),
        ("2025-W11-1", f'{NAMED[9:]}|name it "2025-W11.toml"'),
        ("２０２５-03-14", f'{NAMED[9:]}|name it "2025-03-14.toml"'),
        ("", ""),
    ],
)
def test_a_misnamed_page_is_reported(tmp_path: Path, name: str, message: str) -> None:
    put(tmp_path, f"2025/{name}.toml", "mood = 4")
    assert keys(tmp_path) == []
    if not name:  # ".toml" is a hidden file
        assert lines(tmp_path) == []
        return
    expected, remedy = message.split("|")
    assert lines(tmp_path) == [f'2025/{name}.toml: expected {expected}, got "{name}.toml"; {remedy}']


def test_uppercase_endings_and_second_settings_files_are_reported(tmp_path: Path) -> None:
    put(tmp_path, "2025-03-14.TOML", "mood = 4")
    put(tmp_path, "old/journal.toml", "mood = 4")
    put(tmp_path, "old/undated.toml", "mood = 4")
    assert lines(tmp_path) == [
        f'2025-03-14.TOML: {NAMED}, got "2025-03-14.TOML"; name it "2025-03-14.toml"',
        (
            "old/journal.toml: expected journal.toml at the top of the journal only, got another one here; "
            "move it there, or out of the journal"
        ),
        (
            "old/undated.toml: expected undated.toml at the top of the journal only, got another one here; "
            "move it there, or out of the journal"
        ),
    ]


@pytest.mark.parametrize(
    ("paths", "read"),
    [
        (["2025-03-14.toml", "2025/2025-03-14.toml"], "2025/2025-03-14.toml"),
        (["2024/2025-03-14.toml", "x/2025/03/2025-03-14.toml"], "x/2025/03/2025-03-14.toml"),
        (["a/2025-03-14.toml", "b/2025-03-14.toml"], "a/2025-03-14.toml"),
        (["2025/a/2025-W11.toml", "2025/2025-W11.toml", "2025-W11.toml"], "2025/2025-W11.toml"),
    ],
)
def test_of_two_pages_for_one_period_the_one_under_its_year_is_read(
    tmp_path: Path, paths: list[str], read: str
) -> None:
    for path in paths:
        put(tmp_path, path, "mood = 4")
    assert [file.path for file in discover.find(tmp_path).pages] == [read]
    key = read.rsplit("/", maxsplit=1)[-1].removesuffix(".toml")
    assert lines(tmp_path) == [
        f'{path}: expected one page for {key}, got a second beside "{read}", which is the one that is read; '
        'merge it on any page of the journal, or with "duskbook merge"'
        for path in sorted(paths)
        if path != read
    ]


def test_a_link_to_a_folder_above_adds_nothing(tmp_path: Path) -> None:
    put(tmp_path, "2025/2025-03-14.toml", "mood = 4")
    (tmp_path / "loop").symlink_to(tmp_path)
    (tmp_path / "2025" / "up").symlink_to("..")
    (tmp_path / "2025" / "self").symlink_to("self")
    # The link sorts before the folder, but the page keeps the path of its own folder.
    (tmp_path / "0").symlink_to("2025")
    assert [file.path for file in discover.find(tmp_path).pages] == ["2025/2025-03-14.toml"]
    assert lines(tmp_path) == []


def test_links_out_of_the_journal_are_told_and_not_walked(tmp_path: Path) -> None:
    put(tmp_path, "elsewhere/2025-03-14.toml", "mood = 4")
    put(tmp_path, "page.txt", "mood = 3")
    put(tmp_path, "journal/.old/2025-03-13.toml", "mood = 4")
    put(tmp_path, "journal/notes/page.txt", "mood = 2")
    journal = tmp_path / "journal"
    for link, target in (
        ("all", "/"),
        ("old", "../elsewhere"),
        ("hidden", ".old"),
        ("2025-03-15.toml", "../page.txt"),
        ("2025-03-16.toml", "notes/page.txt"),
        ("undated.toml", "../page.txt"),
        ("journal.toml", "notes/page.txt"),
    ):
        (journal / link).symlink_to(target)
    assert [(file.path, file.size) for file in discover.find(journal).pages] == [
        ("2025-03-15.toml", 8),
        ("2025-03-16.toml", 8),
    ]
    not_walked = "move the folder into the journal, or take the link away"
    not_written = "it is read and never written; move its file into the journal"
    expected = [
        f"{name}: expected a folder of the journal, got a link that is not followed; {not_walked}"
        for name in ("all", "hidden", "old")
    ]
    expected += [
        f"{name}: expected a file in the journal's folder, got a link that leads out of it; {not_written}"
        for name in ("2025-03-15.toml", "undated.toml")
    ]
    assert lines(journal) == sorted(expected)


def test_a_link_to_the_journal_leads_nowhere_else(tmp_path: Path) -> None:
    put(tmp_path, "journal/2025/2025-03-14.toml", "mood = 4")
    put(tmp_path, "journal/page.txt", "mood = 4")
    (tmp_path / "journal" / "2025-03-15.toml").symlink_to(tmp_path / "journal" / "page.txt")
    (tmp_path / "link").symlink_to("journal")
    assert keys(tmp_path / "link") == ["2025-03-15", "2025-03-14"]
    assert lines(tmp_path / "link") == []


def test_a_folder_with_too_much_is_read_in_part(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for number in range(1, 13):
        put(tmp_path, f"{number:02d}/2025-{number:02d}.toml", "mood = 4")
    put(tmp_path, "2025.toml", "mood = 4")
    monkeypatch.setattr(folder_walk, "FOLDER_LIMIT", 13)
    assert (len(keys(tmp_path)), lines(tmp_path)) == (13, [])
    for limit, value, read in (("FOLDER_LIMIT", 9, 9), ("ENTRY_LIMIT", 15, 3)):
        monkeypatch.setattr(folder_walk, limit, value)
        assert len(keys(tmp_path)) == read
        (line,) = lines(tmp_path)
        assert line.endswith("got more, and the others are not read; move what is no page out of the journal")
        monkeypatch.undo()


def test_irregular_files_are_reported_and_never_opened(tmp_path: Path) -> None:
    (tmp_path / "2025-03-10.toml").mkdir()
    os.mkfifo(tmp_path / "2025-03-11.toml")
    (tmp_path / "2025-03-12.toml").symlink_to("nowhere")
    (tmp_path / "2025-03-13.toml").symlink_to("2025-03-13.toml")
    (tmp_path / "2025-03-14.toml").symlink_to("/dev/null")
    here = Path.cwd()
    os.chdir(tmp_path)  # the path of a socket may not be long
    try:
        with socket.socket(socket.AF_UNIX) as plug:
            plug.bind("2025-03-15.toml")
    finally:
        os.chdir(here)
    put(tmp_path, "2025-03-16.toml", "mood = 4")
    assert keys(tmp_path) == ["2025-03-16"]
    move = "give it another name, or move it away"
    assert lines(tmp_path) == [
        f"2025-03-10.toml: expected a file, got a folder; {move}",
        f"2025-03-11.toml: expected a file, got a pipe; {move}",
        (
            "2025-03-12.toml: expected a file that can be read, got a link to nothing; "
            "take the link away, or bring back what it links to"
        ),
        (
            '2025-03-13.toml: expected a file that can be read, got "Too many levels of symbolic links"; '
            "check its location, or move it away"
        ),
        f"2025-03-14.toml: expected a file, got a device; {move}",
        f"2025-03-15.toml: expected a file, got a socket; {move}",
    ]


def test_a_folder_that_cannot_be_read_hides_no_other(open_path: Path) -> None:
    put(open_path, "a/2025-03-13.toml", "mood = 4")
    put(open_path, "b/2025-03-14.toml", "mood = 4")
    with no_permission(open_path / "a"):
        assert keys(open_path) == ["2025-03-14"]
        assert lines(open_path) == ["a: expected a folder that can be read, got no permission; let your user read it"]


def test_names_that_are_not_utf8_are_reported_as_text(tmp_path: Path) -> None:
    for name in (b"2025-03-14 \xff.toml", b"caf\xe9/2025-03-15.toml"):
        path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/" + name))
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b"")
    put(tmp_path, "café/2025-03-16.toml", "mood = 4")
    assert keys(tmp_path) == ["2025-03-16"]
    assert lines(tmp_path) == [
        f'2025-03-14 \\xff.toml: {NAMED}, got "2025-03-14 \\xff.toml"; name it "2025-03-14.toml"',
        'caf\\xe9: expected a folder named in UTF-8, got "caf\\xe9"; give it another name',
    ]
    assert all(str(problem).encode() for problem in discover.find(tmp_path).problems)
