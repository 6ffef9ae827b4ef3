"""Copies of pages on the pages: shown as a person reads them, merged as shown, put away, and both taken back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from journal.errors import UsageError
from journal.folder import arriving, discover, history, writing
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base
from journal.pages import version_endpoints
from journal.pages.forms import JsonObject, Responder
from journal.saving import base_pages
from tests.journals import HOME

NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
DAY = "2025-03-14"
PAGE, COPY = f"2025/{DAY}.toml", f"2025/{DAY} (1).toml"
SETTINGS = f"""\
title = "Spine"
{HOME}
[[habits]]
key = "walk"
name = "Walk by the river"
every = "FREQ=DAILY"
from = 2025-01-01
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(arriving, "SECONDS", 0)  # every copy counts as whole
    (tmp_path / "2025").mkdir()
    put(tmp_path, "journal.toml", SETTINGS)
    return tmp_path


@pytest.fixture
def answers(folder: Path) -> Mapping[str, Responder]:
    return version_endpoints.copy_answers(folder, lambda: NOW)


def put(folder: Path, path: str, text: str) -> None:
    (folder / path).write_text(text, encoding="utf-8")


def text(folder: Path, path: str = PAGE) -> str:
    return (folder / path).read_text(encoding="utf-8")


def kept(folder: Path, key: str = DAY) -> list[bytes | None]:
    return [state.data for state in history.states(folder, key)]


def parted(folder: Path) -> None:
    """A page and a copy of it that come from one state: here a memory was written since, there a note and a mark."""
    put(folder, PAGE, '# Friday\nnotes = ["Ask."]\n')
    writing.save(folder, DAY, writing.look(folder, DAY), {("energy",): 3}, now=NOW, by="day")
    put(folder, COPY, 'energy = 3\nnotes = ["Ask.", "Tell."]\n[habits]\nwalk = true\n')
    writing.save(folder, DAY, writing.look(folder, DAY), {("memory",): "Sewn."}, now=NOW, by="evening")


def looked(answers: Mapping[str, Responder], path: str = COPY, picks: Any = ()) -> JsonObject:
    view = answers["look"]({"path": path, "resolve": list(picks)})["view"]
    assert isinstance(view, dict)
    return view


def done(answers: Mapping[str, Responder], request: str, view: JsonObject, picks: Any = ()) -> JsonObject:
    return answers[request]({"path": view["path"], "seen": view["seen"], "resolve": list(picks)})


def picks(view: JsonObject, **which: str) -> list[JsonObject]:
    named = {clash["name"]: clash for clash in view["clashes"]}
    return [
        {key: named[name.replace("_", " ")][key] for key in ("field", "file", "theirs")} | {"which": side}
        for name, side in which.items()
    ]


def test_a_copy_of_a_kept_state_is_shown_merged_and_taken_back(folder: Path, answers: Mapping[str, Responder]) -> None:
    parted(folder)
    page, copied = text(folder), text(folder, COPY)
    offer = version_endpoints.copies(OpenedFiles(folder))
    assert offer == {"copies": [{"path": COPY, "page": PAGE, "title": "Friday 14 March 2025"}]}
    view = looked(answers)
    assert view["known"] == "Both come from the state of 14 March 2025, 23:05. What each changed since is merged."
    assert view["in_page"] == ["memory: Sewn."]
    assert view["in_copy"] == ["note: Tell.", "Walk by the river: done"]
    assert view["changes"] == ["note added: Tell.", "Walk by the river: done"]
    assert (view["clashes"], view["is_ready"], view["problem"]) == ([], True, "")
    assert (text(folder), text(folder, COPY)) == (page, copied), "nothing is written before it is shown"

    after = done(answers, "merge", view)
    assert after["answer"]["saved"], after
    assert after["offer"] == {"copies": []}
    assert "# Friday\n" in text(folder), "comments stay"
    assert '"Tell."' in text(folder) and 'memory = "Sewn."' in text(folder) and "walk = true" in text(folder)
    assert copied.encode() in kept(folder)
    assert [state.by for state in history.states(folder, DAY)][-1] == "merge"

    taken = answers["back"]({"undo": after["answer"]["undo"]})
    assert taken["answer"]["said"] == f"Taken back. {COPY} lies beside its page again."
    assert (text(folder), text(folder, COPY)) == (page, copied)
    assert taken["offer"] == offer


def test_a_copy_that_may_still_be_arriving_is_not_offered(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(folder, PAGE, "mood = 4\n")
    put(folder, COPY, "mood = 2\n")
    assert len(version_endpoints.copies(OpenedFiles(folder))["copies"]) == 1
    monkeypatch.setattr(arriving, "SECONDS", 60)
    assert version_endpoints.copies(OpenedFiles(folder)) == {"copies": []}


def test_each_contradiction_is_chosen_on_its_own(folder: Path, answers: Mapping[str, Responder]) -> None:
    task = '[[tasks]]\ntitle = "Fold"\nid = "t7k2"\nstatus = '
    put(folder, PAGE, f'mood = 4\nmemory = "Here."\n{task}"done"\n')
    put(folder, COPY, f'mood = 2\nmemory = "There."\n{task}"open"\n')
    view = looked(answers)
    assert [(clash["name"], clash["in_page"], clash["in_copy"], clash["can_be_both"]) for clash in view["clashes"]] == [
        ("mood", "4", "2", False), ("memory", "Here.", "There.", True), ('task "Fold": status', "done", "open", False),
    ]  # fmt: skip
    assert (view["is_ready"], view["changes"]) == (False, [])
    assert not done(answers, "merge", view)["answer"]["saved"]
    some = picks(view, mood="mine", memory="both")
    assert not looked(answers, picks=some)["is_ready"]
    every = some + picks(view, **{'task "Fold": status': "theirs"})
    ready = looked(answers, picks=every)
    assert (ready["is_ready"], ready["changes"]) == (True, ["mood 4 to 2", "memory: Here. to Here.\nThere."])
    assert done(answers, "merge", ready, every)["answer"]["saved"]
    values = writing.look(folder, DAY).values
    assert (values["mood"], values["memory"], values["tasks"][0]["status"]) == (2, "Here.\nThere.", "done")


@pytest.mark.parametrize("changed", [PAGE, COPY])
def test_what_changed_since_it_was_shown_is_not_merged(
    folder: Path, answers: Mapping[str, Responder], changed: str
) -> None:
    parted(folder)
    view = looked(answers)
    put(folder, changed, text(folder, changed).replace("energy = 3", "energy = 5"))
    before = text(folder), text(folder, COPY)
    for request in ("merge", "put_away"):
        answer = done(answers, request, view)["answer"]
        assert [problem["message"] for problem in answer["problems"]] == [
            "The copy or its page was changed just now. Look at it again, then choose."
        ]
    assert (text(folder), text(folder, COPY)) == before


def test_a_copy_that_cannot_be_read_is_put_away_and_kept(folder: Path, answers: Mapping[str, Responder]) -> None:
    put(folder, PAGE, "mood = 4\n")
    put(folder, COPY, "mood = \n")
    view = looked(answers)
    assert view["problem"].startswith(f"{COPY}:1:8: expected a value")
    assert not done(answers, "merge", view)["answer"]["saved"]
    answer = done(answers, "put_away", view)["answer"]
    assert answer["saved"], answer
    assert (text(folder), discover.find(folder).copies) == ("mood = 4\n", ())
    assert b"mood = \n" in kept(folder)
    assert answers["back"]({"undo": answer["undo"]})["answer"]["saved"]
    assert text(folder, COPY) == "mood = \n"


def test_a_copy_stays_where_its_text_cannot_be_kept(folder: Path, answers: Mapping[str, Responder]) -> None:
    put(folder, PAGE, "mood = 4\n")
    put(folder, COPY, "mood = 4\nenergy = 2\n")
    put(folder, ".history", "in the way")
    view = looked(answers)
    for request in ("merge", "put_away"):
        answer = done(answers, request, view)["answer"]
        assert "cannot be kept in .history" in answer["problems"][0]["message"]
    assert (text(folder), text(folder, COPY)) == ("mood = 4\n", "mood = 4\nenergy = 2\n")


@pytest.mark.parametrize(
    "case",
    [
        ("undated", "undated.toml", "undated 2.toml", '[[tasks]]\ntitle = "Oil"\n', '[[tasks]]\ntitle = "Sort"\n'),
        ("2025-W11", "2025/2025-W11.toml", "2025/2025-W11 (2).toml", 'notes = ["A."]\n', 'notes = ["B."]\n'),
        ("settings", "journal.toml", "journal (2).toml", SETTINGS, f"{SETTINGS}[day]\ngratitude_lines = 3\n"),
        (DAY, PAGE, f"{DAY}.toml", "mood = 4\n", "mood = 4\nenergy = 2\n"),
    ],
)
def test_copies_of_every_kind_of_page_are_merged_and_taken_back(
    folder: Path, answers: Mapping[str, Responder], case: tuple[str, str, str, str, str]
) -> None:
    key, page, copy, here, there = case
    put(folder, page, here)
    put(folder, copy, there)
    view = looked(answers, copy)
    answer = done(answers, "merge", view)["answer"]
    assert answer["saved"], answer
    assert discover.find(folder).copies == ()
    assert there.encode() in kept(folder, key)
    merged = text(folder, page)
    assert merged != here
    assert answers["back"]({"undo": answer["undo"]})["answer"]["saved"]
    assert (text(folder, page), text(folder, copy)) == (here, there)


def test_taking_back_writes_copies_of_pages_only(folder: Path, answers: Mapping[str, Responder]) -> None:
    put(folder, PAGE, "mood = 4\n")
    page = Base(DAY, PAGE, b"mood = 4\n")
    for path in ("../x (1).toml", f"../{DAY} (1).toml", f".cache/{DAY} (1).toml", "2025/notes.txt", PAGE, "/etc/x"):
        undo = base_pages.packed((page, page, Base(DAY, path, b"x")))
        assert not answers["back"]({"undo": undo})["answer"]["saved"], path
    put(folder, COPY, "another")
    undo = base_pages.packed((page, page, Base(DAY, COPY, b"x")))
    assert not answers["back"]({"undo": undo})["answer"]["saved"]
    assert (text(folder), text(folder, COPY)) == ("mood = 4\n", "another")
    with pytest.raises(UsageError, match="not there any more"):
        answers["look"]({"path": "../../etc/passwd"})


def test_nothing_of_a_journal_of_a_other_format_is_changed(folder: Path, answers: Mapping[str, Responder]) -> None:
    parted(folder)
    put(folder, "journal.toml", f"format = 99\n{SETTINGS}")
    before = text(folder), text(folder, COPY)
    view = looked(answers)
    for request in ("merge", "put_away"):
        assert not done(answers, request, view)["answer"]["saved"]
    page, copied = (Base(DAY, path, b"x") for path in (PAGE, f"2025/{DAY} (2).toml"))
    assert not answers["back"]({"undo": base_pages.packed((page, page, copied))})["answer"]["saved"]
    assert (text(folder), text(folder, COPY)) == before
    assert not (folder / copied.path).exists()
