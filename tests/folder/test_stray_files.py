"""Files that are not read although they belong to the journal: each is told, with what it most likely means."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from journal.folder import discover, stray_names, writing
from tests.folder.journals import put


def told(folder: Path) -> list[str]:
    return [str(problem) for problem in sorted(discover.find(folder).problems)]


DAY = "2025-05-10.toml"


@pytest.mark.parametrize(
    ("name", "remedy"),
    [
        ("2025-05-10.toml.txt", f'name it "{DAY}"'),
        ("2025-05-10.txt", f'name it "{DAY}"'),
        ("2025-05-10.tml", f'name it "{DAY}"'),
        ("2025-05-10.tom", f'name it "{DAY}"'),
        ("2025-05-10.toml ", f'name it "{DAY}"'),
        ("2025-05-10 .toml", f'name it "{DAY}"'),
        ("2025-05-10.toml.", f'name it "{DAY}"'),
        ("2025-05-10.toml.toml", f'name it "{DAY}"'),
        ("2025-05-10", f'name it "{DAY}"'),
        ("2025-05-10.toml~", f'name it "{DAY}"'),
        ("2025-05-10.toml.bak", f'name it "{DAY}"'),
        ("2025\u201305\u201310.toml", f'name it "{DAY}"'),
        ("2025\u201105\u201110.toml", f'name it "{DAY}"'),
        ("\u200b2025-05-10.toml", f'name it "{DAY}"'),
        ("2025_05_10.toml", f'name it "{DAY}"'),
        ("20250510.toml", f'name it "{DAY}"'),
        ("10.05.2025.toml", f'name it "{DAY}"'),
        ("10.5.2025.toml", f'name it "{DAY}"'),
        ("2025-5-10 (1).toml", f'name it "{DAY}"'),
        ("Copy of 2025-05-10.toml", f'name it "{DAY}"'),
        ("25-12-2025.toml", 'name it "2025-12-25.toml"'),
        ("12-25-2025.toml", 'name it "2025-12-25.toml"'),
        ("12.25.2025.toml", 'name it "2025-12-25.toml"'),
        ("03-05-2025.toml", 'name it "2025-05-03.toml" or "2025-03-05.toml"'),
        ("03052025.toml", 'name it "2025-05-03.toml" or "2025-03-05.toml"'),
        ("2025-5.toml", 'name it "2025-05.toml"'),
        ("2025W11.toml", 'name it "2025-W11.toml"'),
        ("2025-W11.toml.txt", 'name it "2025-W11.toml"'),
        ("2025-02-30 (1).toml", "name it so, give it another ending, or move it out of the journal"),
        ("2025-W60 copy.toml", "name it so, give it another ending, or move it out of the journal"),
        ("undated 2.toml", 'name it "undated.toml"'),
    ],
)
def test_a_name_that_resembles_a_page_is_told_with_the_page_it_means(tmp_path: Path, name: str, remedy: str) -> None:
    put(tmp_path, f"2025/{name}", "mood = 4")
    (line,) = told(tmp_path)
    assert line.endswith(f"; {remedy}")
    assert discover.find(tmp_path).pages == []


@pytest.mark.parametrize(
    "name",
    [
        "2025-05-10.jpg", "2025-05-10-bench.jpg", "2025.txt", "2025", "2025-05.md", "2025-05.pdf", "notes.txt",
        ".2025-05-10.toml.swp", ".2025-05-10.toml.k3jd9_2a.writing", ".#2025-05-10.toml", "photo.tml", "work.ics",
    ],
)  # fmt: skip
def test_other_files_of_a_folder_are_not_told(tmp_path: Path, name: str) -> None:
    put(tmp_path, f"2025/{name}", "mood = 4")
    assert told(tmp_path) == []


BRING = 'merge it on any page of the journal, or with "duskbook merge"'
COPIES = [
    "2025-05-10 (1).toml",
    "2025-05-10 2.toml",
    "2025-05-10 (conflicted copy 2025-05-11).toml",
    "2025-05-10 (Ana's conflicted copy 2025-05-11 101010).toml",
    "2025-05-10.sync-conflict-20250511-101010-ABCDEFG.toml",
    "2025-05-10_conflict-20250511-101010.toml",
    "2025-05-10-laptop.toml",
    "2025-05-10~1.toml",
    "2025-05-10.toml.orig",
    "2025-05-10.toml.txt",
    "2025-05-10 - Copy.toml",
    "Copy of 2025-05-10.toml",
]


@pytest.mark.parametrize("name", COPIES)
def test_a_copy_of_a_page_is_told_and_not_read(tmp_path: Path, name: str) -> None:
    put(tmp_path, f"2025/{DAY}", "mood = 4")
    put(tmp_path, f"2025/{name}", "mood = 2")
    discovery = discover.find(tmp_path)
    assert [file.path for file in discovery.pages] == [f"2025/{DAY}"]
    assert [(copy.path, copy.key, copy.page) for copy in discovery.copies] == [
        (f"2025/{name}", "2025-05-10", f"2025/{DAY}")
    ]
    got, remedy = f'a second beside "2025/{DAY}", which is the one that is read', BRING
    assert told(tmp_path) == [f"2025/{name}: expected one page for 2025-05-10, got {got}; {remedy}"]


@pytest.mark.parametrize(
    "name",
    ["journal (1).toml", "journal 2.toml", "journal copy.toml", "journal.sync-conflict-20250511.toml",
     "journal.toml.orig", "Copy of journal.toml", "Journal.toml", "journal.toml.txt"],
)  # fmt: skip
def test_a_copy_of_journal_toml_is_told_as_one(tmp_path: Path, name: str) -> None:
    put(tmp_path, "journal.toml", 'title = "Thread"')
    put(tmp_path, name, 'title = "Thread"')
    got, remedy = 'a second beside "journal.toml", which is the one that is read', BRING
    assert told(tmp_path) == [f"{name}: expected one journal.toml, got {got}; {remedy}"]


def test_a_placeholder_is_told_until_its_page_is_there(tmp_path: Path) -> None:
    put(tmp_path, "2025/.2025-05-10.toml.offline", "")
    put(tmp_path, "2025/2025-05-11.toml.cloud", "")
    put(tmp_path, "2025/2025-05-12.toml.part", "moo")
    remedy = "have it downloaded by the program that synchronises the folder, or delete it"
    assert told(tmp_path) == [
        f'2025/{name}: expected "{page}", got "{name}", a placeholder for a page that is not downloaded; {remedy}'
        for name, page in [
            (".2025-05-10.toml.offline", DAY),
            ("2025-05-11.toml.cloud", "2025-05-11.toml"),
            ("2025-05-12.toml.part", "2025-05-12.toml"),
        ]
    ]
    put(tmp_path, f"2025/{DAY}", "mood = 4")
    assert len(told(tmp_path)) == 2


def test_an_empty_page_is_told_and_one_with_a_comment_is_not(tmp_path: Path) -> None:
    put(tmp_path, f"2025/{DAY}", "")
    put(tmp_path, "2025/2025-05-11.toml", "# a day of nothing\n")
    assert [file.key for file in discover.find(tmp_path).pages] == ["2025-05-10", "2025-05-11"]
    got = "an empty file, as a save that was cut off leaves it"
    remedy = 'bring back what it said ("duskbook history"), or delete it'
    assert told(tmp_path) == [f"2025/{DAY}: expected a page with something on it, got {got}; {remedy}"]


def test_a_save_that_takes_the_last_thing_off_a_page_leaves_no_empty_file(tmp_path: Path) -> None:
    put(tmp_path, "journal.toml", 'title = "Thread"')
    path = put(tmp_path, f"2025/{DAY}", "mood = 4\n")
    base = writing.look(tmp_path, "2025-05-10")
    writing.save(
        tmp_path, "2025-05-10", base, {("mood",): writing.REMOVE}, now=dt.datetime(2025, 5, 10, 22, tzinfo=dt.UTC)
    )
    assert path.read_text(encoding="utf-8") == "\n"
    assert discover.find(tmp_path).problems == []


def test_no_name_is_read_slowly() -> None:
    for part in ("2025-", "-2025-03-14", "(1)", "copy of ", ".toml", "\u2013", "0"):
        stray_names.stray(part * 60)
