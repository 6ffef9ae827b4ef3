"""A save of several pages that is interrupted: the next writer finishes it, or tells where the rest is."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from typing import Any

import pytest

import journal
from journal.commands import log as logging
from journal.errors import WriteError
from journal.evening import save_evening
from journal.folder import atomic_write, interrupted_save, save_record, writing
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base
from journal.folder.writing import look
from tests.evening.evenings import DAY, NEXT, NOW, entered, offered, written

TODAY, TOMORROW = f"2025/{DAY}.toml", f"2025/{NEXT}.toml"


class KilledError(BaseException):
    """The process ends here."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return written(tmp_path / "journal", {DAY: {"mood": 3, "tasks": [{"title": "Quote"}]}, NEXT: {"mood": 2}})


def texts(folder: Path) -> dict[str, str]:
    return {path.relative_to(folder).as_posix(): path.read_text() for path in folder.glob("[0-9u]*/*.toml")}


def _evening(folder: Path) -> dict[str, Any]:
    return entered(
        offered(folder), mood=4, memory="Sewn.", tasks=[{"ref": "Quote", "title": "Quote", "what": "carry"}],
        tomorrow={"planned": {"workshop": ["09:00-10:00"]}},
    )  # fmt: skip


def interrupted(folder: Path, monkeypatch: pytest.MonkeyPatch, writes: int) -> tuple[dict[str, str], dict[str, str]]:
    """Save an evening and end before one of its writes. Return the pages before it, and as it would have left them."""
    before = texts(folder)
    form = _evening(folder)
    real, count = atomic_write.replace, list[Path]()

    def replace(path: Path, data: bytes, old: bytes | None) -> None:
        if len(count) == writes:
            raise KilledError
        count.append(path)
        real(path, data, old)

    with monkeypatch.context() as patch:
        patch.setattr(atomic_write, "replace", replace)
        with pytest.raises(KilledError):
            save_evening.save(journal.open(folder, today=DAY), form, now=NOW)
    record = save_record.read(folder)
    assert record is not None
    after = before | {version.path: (version.data or b"").decode() for _, version in record.changes}
    assert after != before
    return before, after


@pytest.mark.parametrize("writes", [0, 1])
def test_the_next_command_finishes_it_and_says_so(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], writes: int
) -> None:
    _, after = interrupted(folder, monkeypatch, writes)
    assert (folder / ".history" / "unfinished.json").stat().st_mode & 0o777 == 0o600
    (problem,) = journal.open(folder, today=DAY).problems
    assert str(problem).startswith(".history/unfinished.json: expected a save that was finished, got one of 2 pages")
    logging.log(folder, logging.Given(notes=("x",)), dt.date(2025, 3, 1), now=NOW)
    told = capsys.readouterr().err
    assert "The save of 2025-03-13 at 21:04, which was interrupted, is finished: " in told
    texts_now = texts(folder)
    assert texts_now.pop("2025/2025-03-01.toml") == 'notes = ["x"]\n'
    assert texts_now == after
    assert journal.open(folder, today=DAY).problems == ()
    assert save_record.read(folder) is None


def test_the_same_evening_saved_again_is_no_conflict(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    form = _evening(folder)
    _, after = interrupted(folder, monkeypatch, 1)
    again = save_evening.save(journal.open(folder, today=DAY), form, now=NOW)
    assert again.saved
    assert again.said.startswith("The save of 2025-03-13 at 21:04, which was interrupted, is finished: ")
    assert texts(folder) == after


def test_what_others_changed_since_is_merged(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    interrupted(folder, monkeypatch, 1)
    for name in (TODAY, TOMORROW):
        path = folder / name
        path.write_text(path.read_text() + '[weather]\nsky = "grey"\n')
    interrupted_save.finish(OpenedFiles(folder), NOW)
    day, following = (look(folder, str(day)).values for day in (DAY, NEXT))
    assert (day["mood"], day["memory"], day["weather"]) == (4, "Sewn.", {"sky": "grey"})
    assert following["weather"] == {"sky": "grey"}
    assert [task["title"] for task in following["tasks"]] == ["Quote"]


def test_a_page_changed_in_the_same_place_is_put_beside(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _, after = interrupted(folder, monkeypatch, 0)
    path = folder / TODAY
    path.write_text(path.read_text().replace("mood = 3", "mood = 1"))
    told = interrupted_save.finish(OpenedFiles(folder), NOW)
    beside = f".history/unfinished {DAY}.toml"
    assert f'"{TODAY}" was changed since: what the save would have written is in "{beside}"' in told
    assert (folder / beside).read_text() == after[TODAY]
    assert "mood = 1" in path.read_text()
    assert texts(folder)[TOMORROW] == after[TOMORROW]
    (problem,) = journal.open(folder, today=DAY).problems
    assert problem.path == beside


def test_what_cannot_be_written_now_stays_for_the_next_time(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _, after = interrupted(folder, monkeypatch, 1)

    def full(*_: object) -> None:
        raise OSError(28, os.strerror(28))

    with monkeypatch.context() as patch:
        patch.setattr(atomic_write, "replace", full)
        patch.setattr(save_record, "put_beside", full)
        assert "cannot be finished now" in interrupted_save.finish(OpenedFiles(folder), NOW)
    assert interrupted_save.finish(OpenedFiles(folder), NOW)
    assert texts(folder) == after


def test_a_save_that_is_told_to_have_failed_is_not_finished_later(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, count = writing.save, list[str]()

    def save(*given: object, rehearse: bool = False, **more: object) -> object:
        if not rehearse:
            count.append("")
            if len(count) == 2:
                raise WriteError("the disk is full")
        return real(*given, rehearse=rehearse, **more)  # type: ignore[arg-type]

    form = entered(offered(folder), mood=4, tomorrow={"planned": {"workshop": ["09:00-10:00"]}})
    with monkeypatch.context() as patch:
        patch.setattr(writing, "save", save)
        assert not save_evening.save(journal.open(folder, today=DAY), form, now=NOW).saved
    assert save_record.read(folder) is None


def test_what_a_killed_writer_left_is_no_page_that_is_just_arriving(folder: Path) -> None:
    for ending in ("writing", "replaced"):
        (folder / "2025" / f".2025-03-20.toml.ab12cd34.{ending}").write_text("mood = 1\n")
    assert journal.open(folder, today=DAY).problems == ()
    logging.log(folder, logging.Given(notes=("x",)), dt.date(2025, 3, 20), now=NOW + dt.timedelta(days=9))
    assert not list((folder / "2025").glob(".*"))


def test_a_record_that_is_none_is_left_alone(folder: Path) -> None:
    (folder / ".history").mkdir()
    for text in ("", "{}", '{"saved": "2025-03-13T21:04:00Z", "pages": [{}]}', "[1]"):
        (folder / ".history" / "unfinished.json").write_text(text)
        assert interrupted_save.finish(OpenedFiles(folder), NOW) == ""
    with save_record.kept(folder, [(Base("2025", "2025.toml", None),) * 2] * 2, NOW, "log"):
        assert save_record.read(folder) is None
