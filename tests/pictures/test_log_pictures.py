"""`duskbook log --picture`: the copy, its name and its caption, and that neither a kill nor a refusal leaves half."""

from __future__ import annotations

import datetime as dt
import os
import tomllib
from pathlib import Path
from typing import Any

import pytest

from journal.commands import log as logging
from journal.commands.log import Given
from journal.errors import UsageError, WriteError
from journal.folder import atomic_write, writing
from tests.journals import write
from tests.pictures.drawn import bench, encoded, jpeg
from tests.pictures.planted_pictures import position, with_segment

DAY = dt.date(2025, 3, 14)
NOW = dt.datetime(2025, 3, 14, 21, 0, tzinfo=dt.UTC)
PAGE = f"2025/{DAY}.toml"
BENCH = "2025-03-14-new-bench.jpg"


@pytest.fixture
def source(tmp_path: Path) -> Path:
    """A picture as a telephone has it, outside of the journal."""
    import random

    path = tmp_path / "IMG_20250311 new bench.JPG"
    path.write_bytes(with_segment(jpeg(2, 80, 60), 0xE1, position(random.Random(1), "46ABCDEFGH")))
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(tmp_path / "journal", {DAY: {"memory": "Hooks."}})


def log(folder: Path, *pictures: str | Path, **given: Any) -> str:
    texts = tuple(map(str, pictures))
    return logging.log(folder, Given(pictures=texts, **given), DAY, now=NOW)


def page(folder: Path) -> dict[str, Any]:
    return tomllib.loads((folder / PAGE).read_text(encoding="utf-8"))


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in (folder / "2025").iterdir())


def test_a_picture_is_copied_clean_and_named(folder: Path, source: Path) -> None:
    before = source.read_bytes()
    answer = log(folder, f"{source}=The new bench.")
    assert answer == f"Saved to {PAGE}: picture {BENCH}, without where and when it was taken"
    assert page(folder) == {"memory": "Hooks.", "pictures": [BENCH], "captions": {BENCH: "The new bench."}}
    copy = (folder / "2025" / BENCH).read_bytes()
    assert b"46ABCDEFGH" in before == source.read_bytes() and b"46ABCDEFGH" not in copy
    assert (folder / "2025" / BENCH).stat().st_mode & 0o777 == 0o600


def test_the_same_picture_twice_is_one(folder: Path, source: Path) -> None:
    assert log(folder, source).endswith("taken, with no caption yet to be read aloud")
    assert log(folder, source) == f"{PAGE} has all of it already"
    assert log(folder, f"{source}=The new bench.") == f"Saved to {PAGE}: picture {BENCH} is there already"
    assert files(folder) == [BENCH, f"{DAY}.toml"]
    with pytest.raises(UsageError, match=r'has a caption already, "The new bench\."'):
        log(folder, f"{source}=Another.")


def test_another_picture_of_that_name_gets_a_number(folder: Path, source: Path) -> None:
    log(folder, source)
    source.write_bytes(jpeg(3, 80, 60))
    log(folder, source, source)
    assert page(folder)["pictures"] == [BENCH, "2025-03-14-new-bench-2.jpg"]


def test_a_journal_that_keeps_pictures_as_they_are(tmp_path: Path, source: Path) -> None:
    folder = write(tmp_path / "other", {}, pictures="as they are")
    assert log(folder, source).startswith(f"Saved to {PAGE}: picture 2025-03-14-IMG_20250311-new-bench.jpg, as it is")
    assert (folder / "2025/2025-03-14-IMG_20250311-new-bench.jpg").read_bytes() == source.read_bytes()


def test_the_ending_follows_the_content(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "press.jpg").write_bytes(encoded(bench(1, 48, 36), "PNG"))
    log(folder, tmp_path / "press.jpg")
    assert page(folder)["pictures"] == ["2025-03-14-press.png"]


def test_what_is_no_picture_is_refused_and_nothing_is_written(folder: Path, tmp_path: Path, source: Path) -> None:
    (tmp_path / "text.jpg").write_text("text", encoding="utf-8")
    os.mkfifo(tmp_path / "pipe.jpg")
    before = page(folder)
    for given, sentence in (
        (tmp_path / "none.jpg", "expected a file, got none of that name; check its path"),
        (tmp_path / "text.jpg", "expected a picture in JPEG, PNG, WebP or HEIC, got something else; save it as JPEG"),
        (tmp_path / "pipe.jpg", "expected a file, got a pipe"),
        (tmp_path, "expected a file, got a folder"),
        (f"{source}=", "the caption is empty"),
    ):
        with pytest.raises(UsageError, match=sentence):
            log(folder, source, given)
        assert (page(folder), files(folder)) == (before, [f"{DAY}.toml"])


def test_a_link_that_is_given_is_followed(folder: Path, tmp_path: Path, source: Path) -> None:
    (tmp_path / "press.jpg").symlink_to(source)
    log(folder, tmp_path / "press.jpg")
    assert not (folder / "2025/2025-03-14-press.jpg").is_symlink()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="there is no fork")
def test_a_killed_save_is_taken_up(folder: Path, source: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(writing, "save", lambda *_, **__: os._exit(9))
        if not (child := os.fork()):
            log(folder, source)
            os._exit(0)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
    assert files(folder) == [BENCH, f"{DAY}.toml"] and "pictures" not in page(folder)
    (folder / f"2025/.{BENCH}.0123abcd.writing").write_bytes(b"half")  # killed earlier still
    log(folder, source)
    assert files(folder) == [BENCH, f"{DAY}.toml"] and page(folder)["pictures"] == [BENCH]


def test_a_page_that_cannot_be_saved_gets_no_picture(
    folder: Path, source: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder / PAGE).write_text("memory = \n", encoding="utf-8")
    with pytest.raises(WriteError):
        log(folder, source)
    assert files(folder) == [f"{DAY}.toml"]
    names = [f"{i}.jpg" for i in range(40)]
    (folder / PAGE).write_text(f"pictures = {names}\n", encoding="utf-8")
    with pytest.raises(WriteError, match="at most 40 pictures"):
        log(folder, source)
    (folder / PAGE).unlink()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic_write, "replace", full)
    with pytest.raises(WriteError, match="the disk is full"):
        log(folder, source)
    assert files(folder) == []
