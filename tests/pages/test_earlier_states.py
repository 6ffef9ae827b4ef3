"""The earlier states of a page on the pages: listed in parts, shown before they are brought back, and taken back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path

import pytest

from journal.errors import UsageError
from journal.folder import history, writing
from journal.folder.opened_files import OpenedFiles
from journal.pages import version_endpoints
from journal.pages.forms import JsonObject, Responder
from journal.saving import earlier_states
from tests.journals import HOME

NOW = dt.datetime(2025, 3, 14, 20, 5, tzinfo=dt.UTC)
DAY = "2025-03-14"
PAGE = f"2025/{DAY}.toml"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "2025").mkdir()
    (tmp_path / "journal.toml").write_text(f'title = "Spine"\n{HOME}', encoding="utf-8")
    return tmp_path


@pytest.fixture
def answers(folder: Path) -> Mapping[str, Responder]:
    return version_endpoints.earlier_answers(folder, lambda: NOW + dt.timedelta(hours=2))


def save(folder: Path, minutes: int, by: str, key: str = DAY, **values: object) -> None:
    changes = {(name,): value for name, value in values.items()}
    moment = NOW + dt.timedelta(minutes=minutes)
    writing.save(folder, key, writing.look(folder, key), changes, now=moment, by=by)  # type: ignore[arg-type]


def listed(answers: Mapping[str, Responder], key: str = DAY, after: int = 0) -> JsonObject:
    found = answers["states"]({"key": key, "after": after})["list"]
    assert isinstance(found, dict)
    return found


def text(folder: Path, path: str = PAGE) -> str:
    return (folder / path).read_text(encoding="utf-8")


def test_a_state_is_shown_brought_back_and_taken_back(folder: Path, answers: Mapping[str, Responder]) -> None:
    (folder / PAGE).write_text("# Friday\nmood = 3\n", encoding="utf-8")
    save(folder, 0, "day", notes=["Ask."])
    save(folder, 10, "evening", mood=4)
    now = text(folder)
    found = listed(answers)
    assert found["more"] == 0
    assert [(one["by"], one["changes"], one["is_now"], one["can_return"]) for one in found["states"]] == [
        ("by the evening page", ["mood 3 to 4"], True, False),
        ("by the day page", ["note added: Ask."], False, True),
        ("written elsewhere, as in an editor", ["mood 3"], False, True),
    ]
    assert found["states"][0]["when"] == "14 March 2025, 21:15"
    first = found["states"][2]
    shown = answers["look"]({"key": DAY, "ref": first["ref"]})["view"]
    assert shown["changes"] == ["mood 4 to 3", "note removed: Ask."]
    assert text(folder) == now, "nothing is written before it is shown"
    sent = {"key": DAY, "ref": first["ref"], "seen": shown["seen"]}
    answer = answers["bring"](sent)["answer"]
    assert answer["saved"], answer
    assert text(folder) == "# Friday\nmood = 3\n"
    assert [state.by for state in history.states(folder, DAY)][-1] == "history"
    assert answers["back"]({"undo": answer["undo"]})["answer"]["said"] == f"Taken back. {PAGE} as before."
    assert text(folder) == now


def test_a_page_that_changed_since_is_shown_anew_first(folder: Path, answers: Mapping[str, Responder]) -> None:
    save(folder, 0, "day", mood=3)
    save(folder, 10, "evening", mood=4)
    ref = listed(answers)["states"][1]["ref"]
    seen = answers["look"]({"key": DAY, "ref": ref})["view"]["seen"]
    (folder / PAGE).write_text('mood = 4\nmemory = "Sewn."\n', encoding="utf-8")
    answer = answers["bring"]({"key": DAY, "ref": ref, "seen": seen})["answer"]
    assert [problem["message"] for problem in answer["problems"]] == [
        "The page was changed just now. Look again at what bringing it back changes."
    ]
    assert text(folder) == 'mood = 4\nmemory = "Sewn."\n'


def test_the_states_of_a_page_come_in_parts(folder: Path, answers: Mapping[str, Responder]) -> None:
    for minute in range(40):
        save(folder, minute, "day", memory=f"Line {minute}.")
    parts = [listed(answers, after=after) for after in (0, 15, 30)]
    assert [len(part["states"]) for part in parts] == [15, 15, 10]
    assert [part["more"] for part in parts] == [25, 10, 0]
    said = [one["changes"][0] for part in parts for one in part["states"]]
    assert said == [*(f"memory: Line {i - 1}. to Line {i}." for i in range(39, 0, -1)), "memory added: Line 0."]
    assert (listed(answers, after=99), listed(answers, "2025-W01")) == ({"states": [], "more": 0},) * 2


def test_what_cannot_be_read_or_is_needed_is_not_brought_back(folder: Path, answers: Mapping[str, Responder]) -> None:
    (folder / PAGE).write_text("mood = \n", encoding="utf-8")
    history.keep(folder, DAY, b"mood = \n", now=NOW, by="elsewhere")
    (folder / PAGE).write_text("mood = 3\n", encoding="utf-8")
    history.keep(folder, "settings", None, now=NOW, by="elsewhere")
    for key in (DAY, "settings"):
        state = listed(answers, key)["states"][1]
        assert not state["can_return"]
        seen = answers["look"]({"key": key, "ref": state["ref"]})["view"]["seen"]
        assert not answers["bring"]({"key": key, "ref": state["ref"], "seen": seen})["answer"]["saved"]
    assert text(folder) == "mood = 3\n"
    assert (folder / "journal.toml").exists()


def test_a_page_that_was_removed_comes_back_and_goes_again(folder: Path, answers: Mapping[str, Responder]) -> None:
    save(folder, 0, "week", key="2025-W11", notes=["A."])
    week = folder / "2025" / "2025-W11.toml"
    before = week.read_bytes()
    week.unlink()
    state = listed(answers, "2025-W11")["states"][1]
    seen = answers["look"]({"key": "2025-W11", "ref": state["ref"]})["view"]["seen"]
    answer = answers["bring"]({"key": "2025-W11", "ref": state["ref"], "seen": seen})["answer"]
    assert (answer["saved"], week.read_bytes()) == (True, before)
    assert answers["back"]({"undo": answer["undo"]})["answer"]["saved"]
    assert not week.exists()


def test_only_pages_have_states(folder: Path, answers: Mapping[str, Responder]) -> None:
    for key in ("../journal", "", None, "2025-13"):
        with pytest.raises(UsageError):
            answers["states"]({"key": key})
    with pytest.raises(UsageError, match="not kept any more"):
        answers["look"]({"key": DAY, "ref": "x"})


def test_the_offer_names_the_pages_and_reads_no_history(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    save(folder, 0, "day", mood=3)
    monkeypatch.setattr(history, "of_page", None)
    offered = version_endpoints.earlier(OpenedFiles(folder), version_endpoints.evening_keys(NOW.date(), NOW.date()))[
        "pages"
    ]
    assert [(one["key"], one["title"]) for one in offered] == [
        (DAY, "Friday 14 March 2025"), ("2025-03-15", "Saturday 15 March 2025"), ("undated", "Tasks without a day"),
    ]  # fmt: skip
    assert [bool(one["now"]) for one in offered] == [True, False, False]
    assert earlier_states.AT_ONCE == 15  # the page names it


def test_a_journal_that_is_gone_has_no_offer_and_no_error(folder: Path) -> None:
    (folder / "journal.toml").unlink()
    assert version_endpoints.copies(OpenedFiles(folder)) == {"copies": []}
    assert version_endpoints.earlier(OpenedFiles(folder), [DAY]) == {"pages": []}
