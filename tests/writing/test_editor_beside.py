"""An editor that writes a page while it is saved: one that empties the file first, and one that replaces it."""

from __future__ import annotations

import contextlib
import datetime as dt
import os
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import journal
from journal.commands import log as logging
from journal.evening import save_evening
from journal.folder import exchanged_names, history, open_writers
from journal.folder.writing import Conflict, Saved, look
from journal.saving.save_pages import SaveResult
from tests.evening.evenings import entered, offered
from tests.writing.test_saving import DAY, NOW, put, save, saved

LONG_AGO = 60  # seconds
BEFORE = 'mood = 3\nenergy = 2\nmemory = "Rain."\nnotes = ["One."]\nplace = "graz"\n'
AFTER = f'{BEFORE}\n[[tasks]]\ntitle = "Fold"\n\n[weather]\nsky = "grey"\n'

_EDITOR = """
import sys, time
from pathlib import Path
path, how, text = Path(sys.argv[1]), sys.argv[2], sys.argv[3]
if how == "open":
    with path.open("w") as file:
        print("emptied", flush=True)
        time.sleep(0.4)
        half = len(text) // 2
        file.write(text[:half]); file.flush()
        time.sleep(0.1)
        file.write(text[half:])
else:
    path.write_text("")
    print("emptied", flush=True)
    time.sleep(0.4)
    path.write_text(text)
"""


def aged(path: Path) -> Path:
    os.utime(path, (time.time() - LONG_AGO,) * 2)
    return path


@pytest.fixture
def page(folder: Path) -> Path:
    return aged(put(folder, BEFORE))


@contextlib.contextmanager
def editor(page: Path, how: str) -> Iterator[None]:
    """Another program that has emptied the page and has yet to write it. It keeps the file open, or opens it again."""
    command = [sys.executable, "-c", _EDITOR, str(page), how, AFTER]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "emptied\n"
        yield
        assert process.wait(10) == 0


def kept(folder: Path) -> list[str]:
    return [(state.data or b"").decode() for state in history.states(folder, DAY)]


@pytest.mark.parametrize("how", ["open", "closed"])
def test_a_note_logged_while_an_editor_has_emptied_the_page(folder: Path, page: Path, how: str) -> None:
    with editor(page, how):
        logging.log(folder, logging.Given(notes=("x",)), dt.date.fromisoformat(DAY), now=NOW)
    assert tomllib.loads(page.read_text()) == tomllib.loads(AFTER) | {"notes": ["One.", "x"]}
    assert [path.name for path in page.parent.iterdir()] == [page.name]


@pytest.mark.parametrize("how", ["open", "closed"])
def test_an_evening_saved_while_an_editor_has_emptied_a_page(folder: Path, page: Path, how: str) -> None:
    day = dt.date.fromisoformat(DAY)
    book = journal.open(folder, today=day)
    form = entered(offered(folder, day), mood=5, habits={"walk": True})
    with editor(page, how):
        answer = save_evening.save(book, form, now=NOW)
    assert answer.saved, answer
    values = tomllib.loads(page.read_text())
    assert (values["mood"], values["memory"], values["tasks"]) == (5, "Rain.", [{"title": "Fold"}])


@pytest.mark.parametrize("left", ["", "\n", BEFORE[:20], BEFORE[:-5]])
def test_a_page_that_stays_emptied_is_a_conflict_with_both_sides(folder: Path, page: Path, left: str) -> None:
    base = look(folder, DAY)
    page.write_text(left)
    aged(page)
    result = save(folder, base, {("mood",): 4})
    assert isinstance(result, Conflict)
    (clash,) = result.clashes
    before = tomllib.loads(BEFORE)
    assert (clash.path, clash.base, clash.mine) == ((), before, before | {"mood": 4})
    assert clash.theirs is not None
    assert clash.theirs.get("place") is None
    assert page.read_text() == left
    assert BEFORE in kept(folder)
    leave = save(folder, base, {("mood",): 4}, resolve=[clash.pick("theirs")])
    assert isinstance(leave, Saved)
    assert page.read_text() == left
    assert isinstance(save(folder, base, {("mood",): 4}, resolve=[clash.pick("mine")]), Saved)
    assert page.read_text() == BEFORE.replace("mood = 3", "mood = 4")


def test_lines_removed_at_the_end_are_no_conflict(folder: Path, page: Path) -> None:
    base = look(folder, DAY)
    page.write_text(BEFORE.removesuffix('place = "graz"\n'))
    assert isinstance(save(folder, base, {("mood",): 4}), Saved)
    assert "graz" not in page.read_text()


def test_an_empty_page_is_written_at_once(folder: Path, page: Path) -> None:
    page.write_text("")
    aged(page)
    began = time.monotonic()
    saved(folder, {("mood",): 4})
    assert time.monotonic() - began < 1
    assert page.read_text() == "mood = 4\n"


def by_rename(page: Path, text: str) -> None:
    new = page.with_name("page.new")
    new.write_text(text)
    new.replace(page)


def in_place(page: Path, text: str) -> None:
    page.write_text(text)


def moved_away(page: Path, text: str) -> None:
    page.replace(page.with_name("page~"))
    page.write_text(text)


@pytest.mark.parametrize("write", [by_rename, in_place, moved_away])
@pytest.mark.parametrize("moment", ["before", "after"])
def test_an_editor_that_writes_at_the_exchange_loses_nothing(
    folder: Path, page: Path, monkeypatch: pytest.MonkeyPatch, write: Callable[[Path, str], None], moment: str
) -> None:
    if not exchanged_names.exchange(str(page), str(folder / "journal.toml")):
        pytest.skip("names cannot be exchanged here")
    exchanged_names.exchange(str(page), str(folder / "journal.toml"))
    base, real, times = look(folder, DAY), exchanged_names.exchange, list[int]()

    def exchange(one: str, other: str) -> bool:
        times.append(1)
        if len(times) == 1 and moment == "before":
            write(page, BEFORE.replace("Rain.", "Snow."))
        result = real(one, other)
        if len(times) == 1 and moment == "after":
            write(page, BEFORE.replace("Rain.", "Snow."))
        return result

    monkeypatch.setattr(exchanged_names, "exchange", exchange)
    assert isinstance(save(folder, base, {("mood",): 4}), Saved)
    assert page.read_text() == BEFORE.replace("Rain.", "Snow.").replace("mood = 3", "mood = 4")
    assert not list(page.parent.glob(".*"))


def test_a_file_that_is_held_open_for_writing_is_looked_at_again(
    folder: Path, page: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(open_writers, "PATIENCE_SECONDS", 0.1)
    with page.open("r+") as held:
        if open_writers.is_open(os.open(page, os.O_RDONLY)) is None:
            pytest.skip("this system does not tell who has a file open")
        saved(folder, {("mood",): 4})
        held.seek(0)
        held.write('memory = "Typed late."\n')
    saved(folder, {("mood",): 5})
    assert page.read_text() == BEFORE.replace("mood = 3", "mood = 5")
    assert any("Typed late." in text for text in kept(folder))
    assert not list(page.parent.glob(".*"))


def test_two_names_are_exchanged_without_a_function_of_the_library(tmp_path: Path) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    one.write_text("1")
    if not exchanged_names.rename_to_free(str(one), str(other)):
        pytest.skip("no such rename here")
    one.write_text("2")
    with pytest.raises(FileExistsError):
        exchanged_names.rename_to_free(str(one), str(other))
    assert exchanged_names.exchange(str(one), str(other))
    assert (one.read_text(), other.read_text()) == ("1", "2")


def test_a_page_is_replaced_where_names_cannot_be_exchanged(
    folder: Path, page: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none() -> Any:
        return None

    monkeypatch.setattr(exchanged_names, "_rename", none)
    saved(folder, {("mood",): 4})
    saved(folder, {("mood",): 4}, "2025-03-15")
    assert page.read_text() == BEFORE.replace("mood = 3", "mood = 4")
    assert not list(page.parent.glob(".*"))


def test_the_answer_says_that_a_page_is_empty(folder: Path, page: Path) -> None:
    day = dt.date.fromisoformat(DAY)
    book = journal.open(folder, today=day)
    form = entered(offered(folder, day), mood=5, habits={"walk": True})
    page.write_text("")
    aged(page)
    answer = save_evening.save(book, form, now=NOW)
    assert isinstance(answer, SaveResult)
    assert not answer.saved
    assert answer.lost == (
        f'"2025/{DAY}.toml" has lost its text elsewhere (what it held is kept: "duskbook history" shows it).'
    )
    assert answer.lost.removesuffix(".") in answer.said
