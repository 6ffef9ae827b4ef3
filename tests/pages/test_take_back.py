"""Every save of every form can be taken back: to the byte, merged with what others wrote since, or with a question."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, NamedTuple

import msgspec
import pytest

import journal
from journal import Journal, periods
from journal.evening import form_build, month_fill, triage_list
from journal.folder import history
from journal.pages import form_endpoints, settings_endpoints, setup_endpoints
from journal.pages.forms import JsonObject, Responder
from journal.reviews import review_form
from journal.setup import settings_form, time_off_form
from tests.journals import HOME

TODAY = dt.date(2025, 3, 16)
NOW = dt.datetime(2025, 3, 16, 22, 4, tzinfo=dt.UTC)
SETTINGS = f"""\
# The journal of the binder.
title = "Spine"  # and thread
{HOME}
[[habits]]
key = "walk"
name = "Walk"
every = "FREQ=DAILY"
from = 2025-01-01
"""
PAGE = """\
# Sunday
mood = 3   # tired
notes = ["Ask."]

[[tasks]]
title = "Fold"
since = 2025-03-10
"""


class Form(NamedTuple):
    """A form: its handlers, a save with its parameters, the way back, what is asked with it, and who saves."""

    handlers: Callable[..., Mapping[str, Responder]]
    save: str
    sent: Callable[[Journal], JsonObject]
    back: str
    place: JsonObject
    by: str


def base(offer: Any, **values: Any) -> JsonObject:
    return {"base": msgspec.to_builtins(offer)["base"], **values}


def closed(book: Journal) -> JsonObject:
    offer = form_build.offer(book, TODAY)
    press = {"ref": None, "title": "Press", "start": "09:00", "end": ""}
    return base(offer, day=offer.day, mood=5, notes=["Ask.", "Tell."], tomorrow={"appointments": [press]})


def decided(book: Journal) -> JsonObject:
    offer = triage_list.offer(book)
    return base(offer, day=offer.day, decisions=[{"ref": offer.tasks[0].ref, "what": "do"}])


def reviewed(period: str) -> Callable[[Journal], JsonObject]:
    answer = {"ref": "What may go?", "prompt": "What may go?", "answer": "The stock count."}

    def sent(book: Journal) -> JsonObject:
        offer = review_form.offer(book, periods.parse(period, week_starts="monday"))
        asked = {"answers": [answer], "prompts": ["What carried this week?", "What may go?", "And?"]}
        return base(offer, period=period, notes=["A note."], **(asked if period == "2025-W11" else {}))

    return sent


FORMS = {
    "evening": Form(form_endpoints.answers, "save", closed, "back", {"day": "2025-03-16"}, "evening"),
    "month filled": Form(
        form_endpoints.answers, "save_month",
        lambda book: base(month_fill.month(book, "2025-03"), marks={"walk": {"2025-03-14": True, "2025-03-16": True}}),
        "back_month", {"month": "2025-03"}, "evening",
    ),
    "tasks to decide on": Form(form_endpoints.decisions, "decide", decided, "back", {}, "week"),
    "week": Form(form_endpoints.reviews, "save", reviewed("2025-W11"), "back", {"period": "2025-W11"}, "week"),
    "month": Form(form_endpoints.reviews, "save", reviewed("2025-03"), "back", {"period": "2025-03"}, "month"),
    "year": Form(form_endpoints.reviews, "save", reviewed("2025"), "back", {"period": "2025"}, "year"),
    "settings": Form(
        settings_endpoints.answers, "save", lambda book: base(settings_form.offer(book), singles={"title": "Thread"}),
        "back", {}, "settings",
    ),
    "time off": Form(
        setup_endpoints.time_off_answers, "save",
        lambda book: base(time_off_form.offer(book), what="add", **{"from": "2025-03-11", "until": "2025-03-12"}),
        "back", {}, "evening",
    ),
}  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "2025").mkdir()
    (tmp_path / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    (tmp_path / "2025" / "2025-03-16.toml").write_text(PAGE, encoding="utf-8")
    (tmp_path / "2025" / "2025-03-12.toml").write_text(
        PAGE.replace("mood = 3", "mood = 2").replace("Fold", "Sew"), encoding="utf-8"
    )
    return tmp_path


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*.toml"))}


class Window:
    """One form of a folder, asked as its page asks."""

    def __init__(self, folder: Path, form: Form) -> None:
        self.folder, self.form = folder, form

        def read() -> Journal:
            return journal.open(folder, today=TODAY, cache=False)

        self.read = read
        self.handlers = form.handlers(read, lambda: NOW)

    def save(self) -> JsonObject:
        answer: JsonObject = self.handlers[self.form.save](self.form.sent(self.read()))["answer"]
        assert answer["saved"], answer
        return answer

    def back(self, undo: object, **more: Any) -> JsonObject:
        return self.handlers[self.form.back](self.form.place | {"undo": undo} | more)


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_a_save_is_taken_back_to_the_byte(folder: Path, form: Form) -> None:
    before, window = files(folder), Window(folder, form)
    at_first = window.back("")["offer"]
    undo = window.save()["undo"]
    saved = files(folder)
    assert saved != before
    told = window.back(undo)
    assert told["answer"]["said"].startswith("Taken back. ")
    assert told["answer"]["said"].endswith(" as before.")
    assert files(folder) == before
    assert {**told["offer"], "base": ""} == {**at_first, "base": ""}
    again = window.back(undo)["answer"]
    assert files(folder) == before, again
    for path in saved.keys() - before.keys() | {path for path in before if saved[path] != before[path]}:
        key = {"journal.toml": "settings"}.get(path, Path(path).stem)
        states = history.states(folder, key)
        assert [state.by for state in states][-2:] == [form.by] * 2
        assert [state.data for state in states][-2:] == [saved[path], before.get(path)]


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_what_others_wrote_since_stays(folder: Path, form: Form) -> None:
    before, window = files(folder), Window(folder, form)
    undo = window.save()["undo"]
    for path, text in files(folder).items():
        if text != before.get(path):
            added = b'language = "en"\n' if path == "journal.toml" else b'written = "elsewhere"\n'
            (folder / path).write_bytes(added + text)
    told = window.back(undo)["answer"]
    assert (told["saved"], told["said"]) == (True, "Taken back. What was changed there meanwhile is kept."), told
    after = files(folder)
    for path, text in before.items():
        assert after[path].split(b"\n", 1)[1] == text or after[path] == text
    assert all(b'"elsewhere"' in text for path, text in after.items() if path not in before)


@pytest.mark.parametrize("which", ["mine", "theirs"])
def test_the_same_changed_since_is_a_question_with_both(folder: Path, which: str) -> None:
    window, page = Window(folder, FORMS["evening"]), folder / "2025" / "2025-03-16.toml"
    undo = window.save()["undo"]
    page.write_text(page.read_text(encoding="utf-8").replace("mood = 5", "mood = 1"), encoding="utf-8")
    before = files(folder)
    answer = window.back(undo)["answer"]
    assert answer["said"] == 'Not taken back: "2025/2025-03-16.toml" was changed in the same place since.'
    (asked,) = answer["conflict"]
    assert (asked["field"], asked["yours"], asked["theirs"]) == ("mood", 3, 1)
    assert files(folder) == before
    pick = {name: asked[name] for name in ("field", "file", "theirs")} | {"which": which}
    assert window.back(undo, resolve=[pick])["answer"]["saved"]
    expected = PAGE if which == "mine" else PAGE.replace("mood = 3", "mood = 1")
    assert page.read_text(encoding="utf-8") == expected


def test_a_mended_line_is_taken_back(folder: Path) -> None:
    broken = SETTINGS.replace('name = "Walk"', 'name = "Walk')
    (folder / "journal.toml").write_text(broken, encoding="utf-8")
    window = Window(folder, FORMS["settings"])
    offer = settings_endpoints.settings(window.read())
    (place,) = offer["broken"]
    sent = {"base": offer["base"], "first": place["first"], "last": place["last"], "text": 'name = "Walk"'}
    undo = window.handlers["mend"](sent)["answer"]["undo"]
    assert (folder / "journal.toml").read_text(encoding="utf-8") == SETTINGS
    told = window.back(undo)
    (again,) = told["offer"]["broken"]  # it says now that an earlier state stands in
    assert (told["answer"]["saved"], again["text"], again["first"]) == (True, place["text"], place["first"])
    assert (folder / "journal.toml").read_text(encoding="utf-8") == broken


def test_a_save_that_writes_nothing_has_no_way_back(folder: Path) -> None:
    window = Window(folder, FORMS["settings"])
    sent = base(settings_form.offer(window.read()), singles={"title": "Spine"})
    answer = window.handlers["save"](sent)["answer"]
    assert (answer["saved"], answer["undo"]) == (True, "")
