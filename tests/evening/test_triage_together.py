"""Triage decisions beside other windows, broken pages and interruptions: none loses a task or doubles it."""

from __future__ import annotations

import datetime as dt
import itertools
import tempfile
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.errors import WriteError
from journal.evening import triage_save
from journal.folder import writing
from journal.measures import tasks as measure
from tests.evening.evenings import fields, opened, text, written
from tests.evening.triage import BEFORE, NEXT, NOW, QUOTE, TIN, TODAY, decided, offered, tasks


def test_a_clash_is_a_conflict_with_both_values(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {TODAY: {"tasks": [QUOTE]}}, TIN)
    offer = offered(folder)
    path = folder / "2025" / f"{TODAY}.toml"
    path.write_text(text(folder, TODAY) + 'status = "done"\n', encoding="utf-8")
    before = {path.name: path.read_bytes() for path in folder.rglob("*.toml")}
    answer = decided(folder, offer, {"of": "Quote", "what": "do"}, {"of": "Sort the tin", "what": "drop"})
    assert not answer.saved
    (one,) = answer.conflict
    assert (one.field, one.yours, one.theirs, one.file) == (
        "decisions.0.status", "carried", "done", "2025/2025-03-16.toml",
    )  # fmt: skip
    assert {path.name: path.read_bytes() for path in folder.rglob("*.toml")} == before


def test_a_task_removed_in_another_tab_is_rejected_and_other_changes_are_kept(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {TODAY: {"tasks": [QUOTE]}}, TIN)
    offer = offered(folder)
    (folder / "undated.toml").write_text(TIN.replace("Sort the tin", "Sort both tins"), encoding="utf-8")
    (folder / "2025" / f"{TODAY}.toml").write_text("mood = 4\n" + text(folder, TODAY), encoding="utf-8")
    assert decided(folder, offer, {"of": "Quote", "what": "do"}).said.endswith(
        "What was changed there meanwhile is kept."
    )
    assert text(folder, TODAY).startswith("mood = 4\n")
    (one,) = decided(folder, offer, {"of": "Sort the tin", "what": "do"}).conflict
    assert (one.field, one.yours) == ("decisions.0", None)
    assert one.theirs["title"] == "Sort both tins"


@pytest.mark.parametrize(
    ("decision", "field", "message"),
    [
        ({"what": "day"}, "decisions.0.to", "Expected the day to set it on, got none; write e.g. 2025-03-23."),
        ({"what": "day", "to": "2025-03-15"}, "decisions.0.to", "Expected a day from 2025-03-16 on"),
        ({"what": "day", "to": "soon"}, "decisions.0.to", 'There is no day "soon"'),
        ({"what": "shrink", "title": " "}, "decisions.0.title", "This task has no title"),
        ({"what": "shrink", "title": "Fold", "estimate": -5}, "decisions.0.estimate", "minutes, more than 0"),
        ({"what": "shrink", "title": "Fold", "estimate": "ten"}, "decisions.0.estimate", "Expected a number"),
        ({"what": "burn"}, "decisions.0.what", "choose one of them"),
        ({"what": "do", "ref": "2025-03-14/none"}, "decisions.0", "does not stand where this page found it"),
        ({"what": "do", "ref": "2025-13-45/none"}, "decisions.0", "does not stand where this page found it"),
        ({"what": "do", "ref": None}, "decisions.0.ref", "not one to decide on"),
    ],
)
def test_invalid_decisions_are_reported_beside_their_fields(
    tmp_path: Path, decision: dict[str, Any], field: str, message: str
) -> None:
    folder = written(tmp_path, BEFORE)
    before = {path.name: path.read_bytes() for path in folder.rglob("*.toml")}
    answer = decided(folder, offered(folder), {"of": "Quote"} | decision)
    assert [trouble.field for trouble in answer.problems] == [field]
    assert message in answer.problems[0].message
    assert {path.name: path.read_bytes() for path in folder.rglob("*.toml")} == before


@pytest.mark.parametrize("what", ["do", "day", "shrink"])
def test_a_task_that_another_window_moved_meanwhile_is_told_and_not_doubled(tmp_path: Path, what: str) -> None:
    folder = written(tmp_path, BEFORE)
    offer = offered(folder)
    assert decided(folder, offer, {"of": "Quote", "what": "day", "to": "2025-03-28"}).saved
    answer = decided(folder, offer, {"of": "Quote", "what": what, "to": "2025-03-29", "title": "A start"})
    assert fields(answer) == {"decisions.0": "It stands on 2025-03-28 by now; open the page anew."}


def test_a_reworded_task_keeps_its_title_on_a_page_that_had_let_it_go(tmp_path: Path) -> None:
    old = {"title": "Sort the tin", "status": "carried", "since": dt.date(2025, 1, 2), "id": "u2p5"}
    folder = written(tmp_path, {NEXT: {"tasks": [old]}}, TIN.replace("Sort the tin", "Sort the blue tin"))
    assert decided(folder, offered(folder), {"of": "Sort the blue tin", "what": "do"}).saved
    assert tasks(folder, NEXT) == [old | {"title": "Sort the blue tin", "status": "open"}]
    assert tasks(folder, None) == []


def test_one_list_has_a_task_reworded_and_another_one_moved(tmp_path: Path) -> None:
    """Its page is written twice. The second write took the reworded task for a change from elsewhere."""
    folder = written(tmp_path, {}, '[[tasks]]\ntitle = "Fold"\n\n[[tasks]]\ntitle = "Sew"\n')
    smaller = {"of": "Fold", "what": "shrink", "title": "Fold ten", "estimate": 5}
    assert decided(folder, offered(folder), smaller, {"of": "Sew", "what": "do"}).saved
    assert [task["title"] for task in tasks(folder, None)] == ["Fold ten"]
    assert [task["title"] for task in tasks(folder, NEXT)] == ["Sew"]


def test_a_decision_after_midnight_is_rejected(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE)
    offer = offered(folder) | {"day": "2025-03-15"}
    (trouble,) = decided(folder, offer, {"of": "Quote", "what": "do"}).problems
    assert trouble.message.startswith("it is 2025-03-16 by now")
    assert triage_save.decide(opened(folder, TODAY), {"day": "2025-03-16", "base": "?"}, now=NOW).problems
    assert triage_save.decide(opened(folder, TODAY), None, now=NOW).problems


def test_a_broken_page_affects_only_its_own_tasks(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE, "tasks = [")
    assert decided(folder, offered(folder), {"of": "Quote", "what": "do"}).saved
    assert (folder / "undated.toml").read_text(encoding="utf-8") == "tasks = ["


class Stopped(Exception):
    """The program was interrupted here."""


PLACES = ("undated", "2025-03-10", "2025-03-14", "2025-03-16", "2025-03-17", "2025-03-20")
Drawn = list[tuple[str, str, bool, str]]


def filled(folder: Path, drawn: Drawn) -> Path:
    """A journal with a task for each draw: its place, the decision, whether it has an id, its new day."""
    pages: dict[dt.date, dict[str, list[dict[str, Any]]]] = {}
    undated = ""
    for i, (place, _, has_id, _) in enumerate(drawn):
        own = {"id": f"a{i}b{i}"} if has_id else {}
        row: dict[str, Any] = {"title": f"Task {i}", "since": dt.date(2025, 1, 1 + i)} | own
        for day in (dt.date(2025, 3, 8), dt.date(2025, 3, 9)):  # carried twice, so it is on the list
            pages.setdefault(day, {"tasks": []})["tasks"].append(row | {"status": "carried"})
        if place == "undated":
            undated += f'[[tasks]]\ntitle = "Task {i}"\nsince = {row["since"]}\n' + (
                f'id = "{own["id"]}"\n' if own else ""
            )
        else:
            pages.setdefault(dt.date.fromisoformat(place), {"tasks": []})["tasks"].append(row)
    return written(folder, pages, undated or "# none\n")


def waiting(folder: Path) -> dict[str, list[str]]:
    """The pages on which each task is open, by its id or (without one) its title."""
    pages_by_task: dict[str, list[str]] = {}
    for path in [*sorted(folder.glob("2025/*.toml")), folder / "undated.toml"]:
        for task in tomllib.loads(path.read_text(encoding="utf-8")).get("tasks", []):
            if task.get("status", "open") == "open":
                pages_by_task.setdefault(task["title"].removesuffix(", a start"), []).append(path.stem)
    return pages_by_task


def test_an_undated_one_that_another_window_has_dropped_stays_dropped(tmp_path: Path) -> None:
    """It has no id, as an editor adds it. It came back on another day, or was dropped twice."""
    folder = filled(tmp_path, [])
    (folder / "undated.toml").write_text('[[tasks]]\ntitle = "Sharpen"\n', encoding="utf-8")
    stale = offered(folder)
    assert decided(folder, stale, {"of": "Sharpen", "what": "drop"}).saved
    page = (folder / "2025" / f"{TODAY}.toml").read_text(encoding="utf-8")
    for what in ("do", "day"):
        answer = decided(folder, stale, {"of": "Sharpen", "what": what, "to": "2025-03-28"})
        assert [problem.message for problem in answer.problems] == ["It is dropped by now; open the page anew."]
    assert decided(folder, stale, {"of": "Sharpen", "what": "drop"}).saved
    assert (folder / "2025" / f"{TODAY}.toml").read_text(encoding="utf-8") == page
    assert page.count("Sharpen") == 1


@settings(max_examples=10, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(PLACES), st.sampled_from(triage_save.ACTIONS), st.booleans(), st.sampled_from(PLACES[3:])
        ),
        min_size=1,
        max_size=3,
    )
)
def test_no_interrupted_decision_loses_a_task(drawn: Drawn) -> None:
    """Interrupted before each write in turn, then repeated: always the same, expected result."""
    with pytest.MonkeyPatch.context() as patch, tempfile.TemporaryDirectory() as name:
        real, ends = writing.save, []
        for stop_at in itertools.count():
            folder = filled(Path(name) / str(stop_at), drawn)
            offer = offered(folder)
            assert len(offer["tasks"]) == len(drawn)
            decisions = [
                {"of": f"Task {i}", "what": what, "to": to, "title": f"Task {i}, a start", "estimate": 5}
                for i, (_, what, _, to) in enumerate(drawn)
            ]
            writes = itertools.count()

            def failing(
                *arguments: Any, rehearse: bool = False, _writes: Any = writes, _at: int = stop_at, **more: Any
            ) -> Any:
                if not rehearse and next(_writes) == _at:
                    raise (Stopped if _at % 2 else WriteError)("the disk is full")
                return real(*arguments, rehearse=rehearse, **more)

            patch.setattr(writing, "save", failing)
            try:
                finished = decided(folder, offer, *decisions).saved
            except Stopped:
                finished = False
            patch.setattr(writing, "save", real)
            half = waiting(folder)
            assert all(half.get(f"Task {i}") for i, (_, what, _, _) in enumerate(drawn) if what != "drop")
            assert decided(folder, offer, *decisions).saved
            assert not opened(folder, TODAY).problems
            ends.append({path.name: path.read_text(encoding="utf-8") for path in sorted(folder.rglob("2*.toml"))})
            if finished:
                break
        assert all(end == ends[-1] for end in ends)
        after = waiting(folder)
        for i, (place, what, _, to) in enumerate(drawn):
            stays = [place] if place == "undated" or place >= "2025-03-16" else ["2025-03-17"]
            expected = {"do": ["2025-03-17"], "day": [to], "shrink": stays, "drop": []}[what]
            assert after.get(f"Task {i}", []) == expected
        lives = measure.lives(opened(folder, TODAY).tables.tasks, today=TODAY)
        assert lives.height == len(drawn), "each is one task still, whatever it is called now"
