"""The pictures that a page names: in the frames, the check, the exports of tables and text, backups, and merges."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import journal
from journal.backup import contents
from journal.export import table_files
from journal.export.audience import seen_by
from journal.folder import differences, writing
from journal.folder.three_way_merge import merged
from tests.cli.conftest import Typed, typed
from tests.journals import write
from tests.pictures.drawn import jpeg

__all__ = ["typed"]  # a fixture

DAY = dt.date(2025, 3, 14)
NOW = dt.datetime(2025, 3, 14, 21, 0, tzinfo=dt.UTC)
PAGE = {
    "memory": "Hooks.",
    "share": True,
    "pictures": ["IMG_20250314.jpg", "2025-03-14-press.jpg"],
    "captions": {"IMG_20250314.jpg": "The new hooks."},
}


def journal_with(folder: Path, *, pictures: bool = True) -> Path:
    write(folder, {DAY: PAGE, dt.date(2025, 3, 15): {"mood": 3, "pictures": ["a.jpg"]}})
    for name in ("IMG_20250314.jpg", "2025-03-14-press.jpg", "a.jpg") if pictures else ():
        (folder / "2025" / name).write_bytes(jpeg(1, 48, 36))
    return folder


def test_pictures_of_the_tables(tmp_path: Path) -> None:
    book = journal.open(journal_with(tmp_path), today=DAY, cache=False)
    assert book.problems == ()
    assert book.tables.pictures.rows() == [
        (DAY, 0, "2025/IMG_20250314.jpg", "The new hooks.", True),
        (DAY, 1, "2025/2025-03-14-press.jpg", None, True),
        (dt.date(2025, 3, 15), 0, "2025/a.jpg", None, False),
    ]


def test_readers_of_pictures(tmp_path: Path) -> None:
    book = journal.open(journal_with(tmp_path), today=DAY, cache=False)
    seen = seen_by(book, "friend").tables.pictures
    assert seen["file"].to_list() == ["2025-03-14-1.jpg", "2025-03-14-2.jpg"]  # no name tells a moment
    assert seen["caption"].to_list() == ["The new hooks.", None]
    assert seen_by(book, "anyone").tables.pictures.is_empty()


def test_exported_tables_and_text_have_no_name_of_a_camera(tmp_path: Path, typed: Typed) -> None:
    book = journal.open(journal_with(tmp_path / "of"), today=DAY, cache=False)
    lines = table_files.files(book, "csv")["pictures.csv"].decode().splitlines()
    assert lines[:2] == [
        "date,position,picture,caption,shared",
        "2025-03-14,0,2025-03-14-1.jpg,The new hooks.,true",
    ]
    assert typed("export", "text", tmp_path / "of", "--to", tmp_path / "text").exit_code == 0
    text = (tmp_path / "text/2025-03.md").read_text(encoding="utf-8")
    assert "### Pictures\n\n" in text and "The new hooks." in text and "IMG" not in text


def test_check_tells_missing_and_broken_pictures(tmp_path: Path, typed: Typed) -> None:
    folder = journal_with(tmp_path)
    assert typed("check", folder).stdout == "No problems in 2 pages.\n"
    (folder / "2025/a.jpg").unlink()
    (folder / "2025/2025-03-14-press.jpg").write_bytes(b"")
    result = typed("check", folder)
    assert result.exit_code == 1
    empty, missing = result.stdout.splitlines()
    assert empty.endswith(
        "2025-03-14-press.jpg: expected a picture, got an empty file; copy it again from where it came"
    )
    assert missing == (
        '2025/2025-03-15.toml: pictures: expected a file "a.jpg" beside the page, got none; bring it back, or take it '
        "out of pictures"
    )


def test_a_picture_is_in_the_backup_and_comes_back(tmp_path: Path, typed: Typed) -> None:
    folder = journal_with(tmp_path / "of")
    assert "2025/a.jpg" in contents.find(folder).others
    assert typed("backup", tmp_path / "b.tar", folder).exit_code == 0
    assert typed("restore", tmp_path / "b.tar", tmp_path / "back").exit_code == 0
    assert (tmp_path / "back/2025/a.jpg").read_bytes() == (folder / "2025/a.jpg").read_bytes()


def test_the_order_of_a_page(tmp_path: Path) -> None:
    folder = write(tmp_path, {DAY: {"mood": 4, "habits": {}}})
    base = writing.look(folder, str(DAY))
    changes = {("pictures",): ["a.jpg"], ("captions", "a.jpg"): "The press."}
    writing.save(folder, str(DAY), base, changes, now=NOW)
    text = (folder / f"2025/{DAY}.toml").read_text(encoding="utf-8")
    assert text.index("mood") < text.index("pictures") < text.index('[captions]\n"a.jpg"') < text.index("[habits]")


def test_pictures_added_on_two_sides_are_all_kept() -> None:
    base = {"pictures": ["a.jpg"], "captions": {"a.jpg": "A."}}
    theirs = {"pictures": ["a.jpg", "b.jpg"], "captions": {"a.jpg": "A.", "b.jpg": "B."}}
    mine = {"pictures": ["a.jpg", "b.jpg", "c.jpg"], "captions": {"a.jpg": "A!"}}
    values, clashes = merged(base, theirs, mine)
    assert (values["pictures"], clashes) == (["a.jpg", "b.jpg", "c.jpg"], [])
    assert values["captions"] == {"a.jpg": "A!", "b.jpg": "B."}
    assert merged(base, {"captions": {}}, {"pictures": ["a.jpg"], "captions": {"a.jpg": "A!"}})[1]


def test_changes_of_pictures_in_words() -> None:
    before = b'pictures = ["a.jpg"]\n'
    after = b'pictures = ["a.jpg", "b.jpg"]\n[captions]\n"b.jpg" = "The press."\n'
    assert [change.words for change in differences.between(str(DAY), before, after)] == [
        "picture added: b.jpg",
        "caption of b.jpg: The press.",
    ]


def test_a_page_of_many_pictures_shows_the_first(tmp_path: Path) -> None:
    folder = write(tmp_path, {DAY: {"pictures": [f"{i}.jpg" for i in range(50)]}})
    book = journal.open(folder, today=DAY, cache=False)
    (problem,) = book.problems
    assert "expected at most 40 pictures, got 50, of which the first are shown" in str(problem)
    assert book.tables.pictures.height == 40
