"""Edits beside those of others, and undoing: merged where it can be, both values shown where not, no byte lost."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.choosing import Chooser
from tests.planning.days import PAGE, PAGE_OF, TODAY, TOMORROW, edited, files, journal_at, shown, undone

QUOTE, POST = "t7k2", "Post the order to Graz"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return journal_at(tmp_path / "journal")


def test_edits_of_two_windows_and_an_editor_are_merged(folder: Path) -> None:
    stale = shown(folder)
    page = folder / "2025" / "2025-03-13.toml"
    page.write_text(page.read_text().replace("early", "very early").replace('"Post the', '"Take the'), encoding="utf-8")
    assert edited(folder, {"what": "habit", "key": "walk", "mark": True}, on=stale).answer.saved
    result = edited(folder, {"what": "task", "ref": QUOTE, "status": "done"}, on=stale)
    assert "What was changed there meanwhile is kept." in result.answer.said
    text = page.read_text()
    assert "very early" in text and "Take the order" in text and 'status = "done"' in text and "walk = true" in text
    assert undone(folder, result.undo).answer.saved
    assert 'status = "done"' not in page.read_text() and "very early" in page.read_text()


def test_an_undo_keeps_what_others_wrote_since_and_asks_where_they_wrote_the_same(folder: Path) -> None:
    done = edited(folder, {"what": "task", "ref": POST, "status": "done"})
    page = folder / "2025" / "2025-03-13.toml"
    page.write_text("mood = 4\n" + page.read_text(), encoding="utf-8")
    assert undone(folder, done.undo).answer.saved
    assert page.read_text() == "mood = 4\n" + PAGE

    note = edited(folder, {"what": "line", "list": "notes", "at": 0, "text": "Ask."})
    page.write_text(page.read_text().replace('"Ask."', '"Ask twice."'), encoding="utf-8")
    before = files(folder)
    clash = undone(folder, note.undo).answer
    assert [(one.field, one.yours, one.theirs) for one in clash.conflict] == [
        ("notes.0", "Ask about the grey thread.", "Ask twice.")
    ]
    assert files(folder) == before
    pick = {"field": "notes.0", "file": clash.conflict[0].file, "theirs": "Ask twice.", "which": "mine"}
    assert undone(folder, note.undo, resolve=[pick]).answer.saved
    assert page.read_text() == "mood = 4\n" + PAGE


def test_a_page_that_an_edit_made_stays_if_someone_else_wrote_on_it(folder: Path) -> None:
    page = folder / "2025" / "2025-03-14.toml"
    note = edited(folder, {"what": "line", "list": "notes", "text": "Early."}, on=shown(folder, TOMORROW))
    page.write_text(page.read_text() + "mood = 4\n", encoding="utf-8")
    assert undone(folder, note.undo).answer.saved
    assert page.read_text().strip() == "mood = 4"


def test_the_same_change_elsewhere_is_shown_with_both_values(folder: Path) -> None:
    stale = shown(folder)
    assert edited(folder, {"what": "habit", "key": "walk", "mark": False}).answer.saved
    mine = {"what": "habit", "key": "walk", "mark": True}
    result = edited(folder, mine, on=stale)
    (clash,) = result.answer.conflict
    assert (clash.field, clash.yours, clash.theirs, result.undo) == ("habits.walk", True, False, "")
    pick = {"field": clash.field, "file": clash.file, "theirs": False, "which": "mine"}
    assert edited(folder, mine, on=stale, resolve=[pick]).answer.saved
    assert "walk = true" in (folder / PAGE_OF).read_text()


def test_the_same_edit_sent_twice_is_made_once(folder: Path) -> None:
    """An answer may be lost. The edit is then sent again with the version it was made on."""
    page, edit = shown(folder), {"what": "add task", "title": "Sew"}
    edited(folder, edit, on=page)
    once = files(folder)
    assert edited(folder, edit, on=page).answer.saved
    assert files(folder) == once


# Undoing all ---------------------------------------------------------------------------------------------------


def some_edit(choose: Chooser, page: dict[str, Any]) -> dict[str, Any]:
    """An edit of what is on the page, right or wrong."""
    refs = [task["ref"] for task in page["tasks"]] or ["nothing"]
    appointments = [one["ref"] for one in page["appointments"]] or [None]
    undated = [f"undated/{one['ref']}" for one in page["undated"]] + [one["ref"] for one in page["left"]]
    words = choose.one(["Sew", "Fold", "“Bon.”", 'A "quoted" # line', ""])
    ref = choose.one(refs)
    return choose.one(
        [
            {"what": "task", "ref": ref, "status": choose.one(["done", "open"])},
            {"what": "task", "ref": ref, "title": words},
            {"what": "task", "ref": ref, "rank": choose.one([None, 1, 2, 3]), "estimate": choose.one([None, 20])},
            {"what": "add task", "title": words, "estimate": choose.one([None, 15])},
            {"what": "add undated", "title": words},
            {"what": "take in", "ref": choose.one(undated or ["undated/x"])},
            {"what": "move", "ref": ref, "to": choose.one(["2025-03-14", "2025-03-18"])},
            {"what": "move", "ref": ref, "drop": True},
            {"what": "put away", "ref": ref},
            {"what": "move", "ref": ref, "drop": True},
            {"what": "habit", "key": choose.one(["walk", "read"]), "mark": choose.one([True, False, "rest", None])},
            {"what": "challenge", "key": "letters", "tick": choose.one([True, False, None])},
            {"what": "line", "list": choose.one(["notes", "gratitude"]), "text": words},
            {"what": "line", "list": "notes", "at": 0, "text": words},
            {"what": "quote", "text": words, "by": "Aldus"},
            {"what": "appointment", "ref": choose.one([None, *appointments]), "title": words, "start": "14:00"},
            {"what": "appointment", "ref": choose.one(appointments), "remove": True},
            {"what": "fields", "weather": {"sky": words, "high": choose.one([None, 9])}},
            {"what": "place", "key": "home"},
            {"what": "hours", "planned": choose.one([{}, {"sleep": ["00:00-07:00"]}])},
        ]
    )


@settings(max_examples=15, deadline=None)
@given(st.data())
def test_undoing_every_edit_gives_every_byte_back(data: st.DataObject) -> None:
    choose = Chooser(data.draw, at_once=128)
    with tempfile.TemporaryDirectory() as name:
        folder = journal_at(Path(name) / "journal")
        states, undos = [files(folder)], []
        for _ in range(5):
            page = shown(folder, choose.one([TODAY, TOMORROW]))
            result = edited(folder, some_edit(choose, page), on=page)
            if result.undo:
                states.append(files(folder))
                undos.append(result.undo)
            assert files(folder) == states[-1], "an edit without an undo wrote something"
        while undos:
            states.pop()
            assert undone(folder, undos.pop()).answer.saved
            assert files(folder) == states[-1]
