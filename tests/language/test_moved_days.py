"""The page of a day, the week ahead, reviews, tasks to decide on and what every save refuses, looked through in the
language of accents."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

import journal
from journal import periods
from journal.errors import JournalError
from journal.evening import form_read, month_fill, triage_list, triage_save
from journal.folder.page_versions import Base
from journal.language.languages import GERMAN
from journal.language.spoken import speaking
from journal.planning import day_edits, day_offer, day_pictures, task_days, week_ahead
from journal.planning.day_edits import EditResult
from journal.planning.day_schema import DayOffer
from journal.reviews import questions, review_form, save_review
from journal.saving import base_pages, merge_copy, take_back
from journal.saving.form_values import FormValues
from tests.language.greek_journal import build, strange, texts, told
from tests.language.test_moved_parts import NOW, PSEUDO, TODAY

DAY = dt.timedelta(days=1)


@pytest.fixture
def book(tmp_path: Path) -> journal.Journal:
    return build(tmp_path / "β")


class Edits:
    """Edits of a day, each on the page as it is by then."""

    def __init__(self, folder: Path, day: dt.date = TODAY) -> None:
        self.folder, self.day = folder, day

    def offer(self) -> DayOffer:
        return day_offer.offer(journal.open(self.folder, today=TODAY, cache=False), self.day, NOW)

    def make(self, **edit: Any) -> EditResult:
        book = journal.open(self.folder, today=TODAY, cache=False)
        page = day_offer.offer(book, self.day, NOW)
        return day_edits.save(book, {"base": page.base, "day": page.day, "edit": edit}, now=NOW)


MADE: tuple[dict[str, Any], ...] = (
    {"what": "habit", "key": "δ", "mark": 24}, {"what": "habit", "key": "τ", "mark": "rest"},
    {"what": "habit", "key": "π", "mark": False}, {"what": "habit", "key": "π", "mark": None},
    {"what": "challenge", "key": "γ", "tick": True}, {"what": "challenge", "key": "γ", "tick": None},
    {"what": "line", "list": "notes", "text": "Α"}, {"what": "line", "list": "gratitude", "text": "Β"},
    {"what": "line", "list": "notes", "at": 0, "text": "Γ"}, {"what": "line", "list": "notes", "at": 0, "text": ""},
    {"what": "line", "list": "gratitude", "at": 0, "text": "Δ"}, {"what": "line", "list": "gratitude", "at": 0},
    {"what": "quote", "text": "Ε", "by": ""}, {"what": "fields", "weather": {"high": 12}},
    {"what": "place", "key": "home"}, {"what": "appointment", "title": "Ζ", "start": "08:30"},
    {"what": "hours", "planned": {"υ": ["00:00-06:00"]}}, {"what": "add task", "title": "Η"},
    {"what": "add undated", "title": "Θ"}, {"what": "take in", "ref": "undated/u2p5"},
)  # fmt: skip

REFUSED: tuple[dict[str, Any], ...] = (
    {"what": "sing"}, {"what": "line", "list": "notes", "text": ""},
    {"what": "line", "list": "notes", "at": 9, "text": "Α"}, {"what": "quote", "text": ""},
    {"what": "appointment", "title": ""}, {"what": "add task", "title": ""},
    {"what": "challenge", "key": "γ", "tick": "2025-03-20"}, {"what": "move", "ref": "ω", "to": "2025-03-01"},
    {"what": "move", "ref": "ω", "to": "2025-03-20"}, {"what": "put away", "ref": "ω"}, {"what": "task", "ref": "ω"},
)  # fmt: skip


def test_the_page_of_a_day_is_said_in_the_language(book: journal.Journal) -> None:
    edits = Edits(book.folder)
    with speaking(PSEUDO):
        offers = [day_offer.offer(book, TODAY + by * DAY, NOW) for by in (-2, -1, 0, 1, 3)]
        made = [edits.make(**edit) for edit in MADE]
        made += [
            edits.make(what="appointment", ref=edits.offer().appointments[-1].ref, title="Ι"),
            edits.make(what="appointment", ref=edits.offer().appointments[-1].ref, remove=True),
            edits.make(what="move", ref=edits.offer().tasks[-1].ref, to="2025-03-20"),
            edits.make(what="put away", ref=edits.offer().tasks[0].ref),
            edits.make(what="move", ref=edits.offer().tasks[-2].ref, drop=True),
        ]
        offer = edits.offer()
        assert all(edit.answer.saved for edit in made), [edit for edit in made if not edit.answer.saved]
        messages = told(*(edits.make(**edit).answer for edit in REFUSED))
        messages += told(
            day_edits.save(book, {"edit": {}, "day": "2025-02-30"}, now=NOW).answer,
            day_edits.save(book, 3, now=NOW).answer, day_edits.undo(book, 3, now=NOW).answer,
            day_edits.save(book, {"edit": {}, "day": "2025-03-12", "base": offer.base}, now=NOW).answer,
            day_pictures.add(book, {"day": "2025-03-13", "data": "§"}, now=NOW).answer,
            day_pictures.take_off(book, {"day": "2025-03-12", "base": offer.base}, now=NOW).answer,
        )  # fmt: skip
    assert len({edit.did for edit in made}) == len(made)
    said = [[edit.did, edit.answer.said] for edit in made]
    assert [text for text in texts([offers, offer, said, messages]) if strange(text)] == []


def test_the_week_ahead_is_said_in_the_language(book: journal.Journal) -> None:
    with speaking(PSEUDO):
        (book.folder / "2025-03-17.toml").write_text('[hours.planned]\n"υ" = ["00:00-06:00"]\n', encoding="utf-8")
        ahead = week_ahead.offer(journal.open(book.folder, today=TODAY, cache=False))
        spring = week_ahead.offer(journal.open(book.folder, today=dt.date(2025, 3, 29), cache=False))
        autumn = week_ahead.offer(journal.open(book.folder, today=dt.date(2025, 10, 25), cache=False))
        sent = {"base": ahead.base, "day": ahead.day, "ref": "undated/u2p5", "to": "undated"}
        saids = [week_ahead.told(ahead, "Ράφι", to) for to in ("undated", "2025-03-17", "2025-04-17")]
        messages = told(
            *(task_days.put(book, one, now=NOW).answer for one in (
                3, sent | {"day": "2025-03-12"}, sent | {"to": "2025-03-01"}, sent | {"ref": "undated/ω"},
                sent | {"base": ""},
            )),
        )  # fmt: skip
    assert strange([ahead, spring, autumn, saids, messages]) == []
    assert "" not in [day.room for day in ahead.days]


def test_reviews_are_said_in_the_language(book: journal.Journal) -> None:
    with speaking(PSEUDO):
        offers = [
            review_form.offer(book, periods.parse(key, week_starts="monday"))
            for key in ("2025-W11", "2025-W12", "2025-04", "2026")
        ]
        base = offers[0].base
        messages = told(
            save_review.save(book, 3, now=NOW), save_review.save(book, {"period": "2025-03-13"}, now=NOW),
            save_review.save(book, {"period": "2025-W13"}, now=NOW),
            save_review.save(book, {"period": "2025-W11", "base": base, "answers": [{"answer": "Α"}]}, now=NOW),
        )  # fmt: skip
        page = base_pages.unpacked(base)[0]
        for name in ("reflection", "notes"):
            (book.folder / page.path).parent.mkdir(exist_ok=True)
            (book.folder / page.path).write_text(f"{name} = 3\n", encoding="utf-8")
            again = journal.open(book.folder, today=TODAY, cache=False)
            offers.append(review_form.offer(again, periods.parse("2025-W11", week_starts="monday")))
        with pytest.raises(JournalError) as error:
            questions.prompts_of(Base("settings", "journal.toml", b"prompts = 3"), "week")
    assert strange([offers, messages, str(error.value).replace("prompts", "")]) == []
    assert all(offer.closed for offer in offers[1:])


def test_what_is_decided_and_sent_is_refused_in_the_language(book: journal.Journal) -> None:
    with speaking(PSEUDO):
        offer = triage_list.offer(book)
        sent = {"base": offer.base, "day": offer.day}
        decisions: tuple[dict[str, Any], ...] = (
            {"ref": "undated/u2p5", "what": "day", "to": "2025-03-01"}, {"ref": "undated/u2p5", "what": "day"},
            {"ref": None, "what": "do"}, {"ref": "undated/ω", "what": "do"},
            {"ref": "undated/u2p5", "what": "shrink", "title": "", "estimate": 3},
            {"ref": "undated/u2p5", "what": "shrink", "title": "Α", "estimate": "1,234"},
        )  # fmt: skip
        messages = told(*(triage_save.decide(book, sent | {"decisions": [one]}, now=NOW) for one in decisions))
        messages += told(triage_save.decide(book, 3, now=NOW), triage_save.decide(book, {"day": "2025-03-12"}, now=NOW))
        messages += told(month_fill.save_month(book, 3, now=NOW), take_back.take_back(book, "", now=NOW, by="day"))
        form = FormValues()
        list(form.tables([3, {"ref": 3}], "tasks"))
        form.title({"ref": "a"}, "appointments.0", "appointment")
        form.date("2025-02-30", "to")
        messages += [trouble.message for trouble in form.troubles]
        for raw in (3, {"day": "2025-02-30", "base": offer.base}, {"day": "2025-03-12", "base": offer.base}):
            with pytest.raises(JournalError) as error:
                form_read.read(raw, book.files)
            messages.append(str(error.value))
        with pytest.raises(JournalError) as error:
            base_pages.reachable(dt.date(9999, 1, 1))
        messages += [str(error.value), *told(merge_copy.back(book.files, {"undo": ""}, now=NOW))]
    assert len(messages) > 15
    assert strange(messages) == []


GERMAN_EDITS = [
    ({"what": "line", "list": "gratitude", "text": "Frisches Brot."}, "Gutes: Frisches Brot."),
    ({"what": "habit", "key": "τ", "mark": "rest"}, "Τηλέφωνο: Ruhe"),
    ({"what": "add undated", "title": "Kleister"}, "Kleister: ohne Tag hinzugefügt"),
    ({"what": "place", "key": "home"}, "Ort: Αθήνα"),
]


def test_edits_in_german(book: journal.Journal) -> None:
    edits = Edits(book.folder)
    with speaking(GERMAN):
        assert [edits.make(**edit).did for edit, _did in GERMAN_EDITS] == [did for _edit, did in GERMAN_EDITS]
        closed = review_form.offer(book, periods.parse("2025-W12", week_starts="monday")).closed
        assert closed == "Diese Woche kommt erst noch. Du kannst sie ab Montag, 17. März 2025 schreiben."
        assert day_offer.offer(book, TODAY - DAY, NOW).title == "Gestern, Mittwoch, 12. März"


def test_a_kept_answer_has_the_language_of_its_page(book: journal.Journal) -> None:
    """One journal, read once, is said in each language that asks: nothing with words is kept with it."""
    with speaking(PSEUDO):
        offers = [day_offer.offer(book, TODAY, NOW), week_ahead.offer(book)]
    with speaking(GERMAN):
        german = [
            text for offer in (day_offer.offer(book, TODAY, NOW), week_ahead.offer(book)) for text in texts(offer)
        ]
    assert strange(offers) == []
    assert [text for text in german if "~" in text] == []
