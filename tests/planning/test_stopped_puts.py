"""Puts and their undo, stopped between any two writes: no task is lost, and repeating gives the expected result."""

from __future__ import annotations

import datetime as dt
import errno
import itertools
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.errors import WriteError
from journal.folder import atomic_write, writing
from journal.measures import tasks as measure
from tests.evening.evenings import opened, written
from tests.planning.puts import TIN, TODAY, files, offered, open_on, put, undone


def test_taking_back_stopped_half_way_loses_nothing_and_can_be_repeated(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = written(tmp_path, {}, TIN.replace('id = "u2p5"', "estimate = 20"))
    before = files(folder)
    result = put(folder, offered(folder), "undated/Sort the tin 2025-01-02", "2025-03-18")
    real, writes = writing.put_back, itertools.count()

    def failing(*given: Any, rehearse: bool = False, **more: Any) -> Any:
        if not rehearse and next(writes) == 1:
            raise WriteError("the disk is full")
        return real(*given, rehearse=rehearse, **more)

    monkeypatch.setattr(writing, "put_back", failing)
    assert not undone(folder, result.undo).saved
    assert open_on(folder, "Sort the tin") == ["undated", "2025-03-18"]
    monkeypatch.undo()
    assert undone(folder, result.undo).saved
    assert files(folder) == before


def test_taking_back_on_a_full_disk_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = written(tmp_path, {}, TIN)
    result = put(folder, offered(folder), "undated/u2p5", "2025-03-18")

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    before = files(folder)
    monkeypatch.setattr(atomic_write, "replace", full)
    (trouble,) = undone(folder, result.undo).problems
    assert "is not saved: the disk is full; make room, then save again" in trouble.message
    assert files(folder) == before


class Stopped(Exception):
    """The program was interrupted here."""


PLACES = ("undated", "2025-03-14", "2025-03-16", "2025-03-17", "2025-03-18")
TARGETS = ("undated", "2025-03-17", "2025-03-18", "2025-03-21")


Put = tuple[str, bool, str]


@settings(max_examples=15, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(PLACES), st.booleans(), st.sampled_from(TARGETS)), min_size=1, max_size=3))
def test_no_stop_loses_a_task_and_taking_back_leaves_the_bytes(puts: list[Put]) -> None:
    """Stopped before each write of a put in turn, then repeated from a new page; then all are taken back in turn."""
    pages: dict[dt.date, dict[str, Any]] = {}
    undated = "# Some day.\n"
    for i, (place, has_id, _) in enumerate(puts):
        row = {"title": f"Task {i}", "since": dt.date(2025, 2, 1 + i)} | ({"id": f"a{i}b"} if has_id else {})
        if place == "undated":
            undated += "\n[[tasks]]\n" + "".join(
                f"{k} = {v if k == 'since' else repr(v)} # {i}\n" for k, v in row.items()
            )
        elif place == "2025-03-16":  # on the list only if it was carried twice
            for day in (dt.date(2025, 3, 8), dt.date(2025, 3, 9)):
                pages.setdefault(day, {"tasks": []})["tasks"].append(row | {"status": "carried"})
            pages.setdefault(TODAY, {"tasks": []})["tasks"].append(row)
        else:
            pages.setdefault(dt.date.fromisoformat(place), {"tasks": []})["tasks"].append(row)
    with pytest.MonkeyPatch.context() as patch, tempfile.TemporaryDirectory() as name:
        real = writing.save
        for stop_at in itertools.count():
            folder = written(Path(name) / str(stop_at), pages, undated)
            before, undos = files(folder), []
            writes = itertools.count()

            def failing(
                *given: Any, rehearse: bool = False, _writes: Any = writes, _at: int = stop_at, **more: Any
            ) -> Any:
                if not rehearse and next(_writes) == _at:
                    raise (Stopped if _at % 2 else WriteError)("the disk is full")
                return real(*given, rehearse=rehearse, **more)

            patch.setattr(writing, "save", failing)
            stopped = False
            for i, (place, _, to) in enumerate(puts):
                finished = False
                while not finished:
                    offer = offered(folder)
                    where = [
                        task["ref"] if "/" in task["ref"] else f"{task['page']}/{task['ref']}"
                        for task in (*offer["waiting"], *(task for day in offer["days"] for task in day["tasks"]))
                        if task["title"] == f"Task {i}"
                    ]
                    start = next((ref for ref in where if not ref.startswith(to)), where[0])
                    try:
                        result = put(folder, offer, start, to)
                        finished = result.answer.saved
                        undos.append(result.undo)
                    except Stopped:
                        pass
                    stopped |= not finished
                    assert open_on(folder, f"Task {i}"), "it is on no page"
                assert open_on(folder, f"Task {i}") == [to], f"from {place}"
            assert not opened(folder, TODAY).problems
            assert measure.lives(opened(folder, TODAY).tables.tasks, today=dt.date(2025, 4, 1)).height <= len(puts)
            if not stopped:
                break
        for undo in filter(None, reversed(undos)):
            assert undone(folder, undo).saved
        assert files(folder) == before
