"""The settings, decisions on habits, time off and trials, looked through in the language of accents."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any, Literal

import msgspec
import polars as pl
import pytest

import journal
from journal import periods
from journal.errors import JournalError
from journal.language.languages import GERMAN
from journal.language.spoken import speaking
from journal.saving.form_values import FormValues
from journal.settings import Habit, Trial
from journal.setup import (
    calendar_view,
    change_proposals,
    decision_days,
    decision_form,
    field_values,
    file_values,
    mend_settings,
    place_facts,
    row_schedules,
    save_decision,
    save_settings,
    save_time_off,
    save_trial,
    settings_form,
    settings_tables,
    time_off_form,
    trial_advice,
    trial_entered,
    trial_form,
    what_hangs,
)
from journal.setup.setting_fields import SINGLE_FIELDS, SettingField
from tests import catalogues
from tests.language.greek_journal import build, strange, texts, told
from tests.language.test_moved_parts import NOW, PSEUDO, TODAY

MARCH = periods.parse("2025-03", week_starts="monday")


@pytest.fixture
def book(tmp_path: Path) -> journal.Journal:
    return build(tmp_path / "β")


def refusals(*calls: Callable[[], object]) -> list[str]:
    """The errors of calls that must each raise one."""
    messages = []
    for call in calls:
        with pytest.raises(JournalError) as error:
            call()
        messages.append(str(error.value))
    return messages


def test_the_settings_are_offered_in_the_language(book: journal.Journal) -> None:
    with speaking(PSEUDO):
        offer = settings_form.offer(book)
        views = calendar_view.of(book.folder, ["no.ics"], (TODAY, TODAY), "Europe/Ljubljana", 24)
        others = [
            [view.said for view in views],
            row_schedules.preview({"schedule": {"pattern": "day"}, "from": "2025-03-14", "until": "2025-03-15"}, TODAY),
            row_schedules.preview(
                {"schedule": {"pattern": "quota", "times": 3, "per": "week"}, "from": "2025-03-14"}, TODAY
            ),
            place_facts.sun({"latitude": "46.05", "longitude": "14,5", "timezone": "Europe/Ljubljana"}, TODAY, 24),
        ]
    assert len(list(texts(offer))) > 200
    assert strange([offer, others]) == []
    assert all(others)


SCHEDULES: tuple[dict[str, Any], ...] = (
    {"pattern": "weekdays"}, {"pattern": "month weekdays"}, {"pattern": "month days", "month_days": "0, 40"},
    {"pattern": "month days"}, {"pattern": "year", "month": 2, "month_days": "30"}, {"pattern": "other"},
    {"pattern": "year", "month": 2}, {"pattern": "days", "interval": 1},
    {"pattern": "quota", "times": 9, "per": "week"},
)  # fmt: skip


def test_settings_are_refused_in_the_language(book: journal.Journal) -> None:
    with speaking(PSEUDO):
        base = settings_form.offer(book).base
        sent: tuple[Any, ...] = (
            {"singles": {"title": " ", "mood.low": "επτά", "mood.high": "1,234", "day.ranked_tasks": "2.5"}},
            {"lists": {"trials": []}}, {"lists": {"habits": []}}, {"lists": {"places": [{"values": {"latitude": ""}}]}},
        )  # fmt: skip
        messages = told(*(save_settings.save(book, one | {"base": base}, now=NOW) for one in sent))
        messages += told(save_settings.save(book, None, now=NOW), mend_settings.mend(book, None, now=NOW))
        messages += told(mend_settings.mend(book, {"base": base, "first": 1, "last": 1, "text": ""}, now=NOW))
        form = FormValues()
        for schedule in SCHEDULES:
            row_schedules.entered(form, schedule, "habits.0.schedule", {}, None)
        messages += [trouble.message for trouble in form.troubles]
        messages += refusals(
            lambda: file_values.tables_of({"habits": 3}, "habits"), lambda: settings_tables.SettingsTables({"rests": 3})
        )
    assert len(messages) > 20
    assert strange(messages) == []


def test_decisions_are_offered_and_refused_in_the_language(book: journal.Journal) -> None:
    with speaking(PSEUDO):
        offer = decision_form.offer(book, MARCH)
        sent = {"base": offer.base, "period": "2025-03", "habit": "π"}
        change = {"what": "change", "from": "2025-04-01", "aim": "at least"}
        daily = {"schedule": {"pattern": "day"}}
        messages = told(
            *(save_decision.decide(book, sent | one, now=NOW) for one in (
                {"what": "rest"}, {"what": "rest", "from": "2025-03-01", "until": "2025-04-01"},
                {"what": "rest", "from": "2025-04-05", "until": "2025-04-01"}, {"what": "drop", "until": "2025-02-28"},
                change | daily, change | daily | {"target": -1}, change | daily | {"target": "1,234"},
                {"period": "2025-09"}, {"habit": "none"},
            )),
            save_decision.decide(book, None, now=NOW),
        )  # fmt: skip
        for habit, what in (("π", {"what": "keep"}), ("ο", {"what": "drop", "until": "2025-03-31"}),
                            ("δ", {"what": "rest", "from": "2025-04-01", "until": "2025-04-07"}),
                            ("κ", {"what": "change", "from": "2025-04-01"} | daily)):  # fmt: skip
            now = journal.open(book.folder, today=TODAY, cache=False)
            offer = decision_form.offer(now, MARCH)
            assert save_decision.decide(
                now, {"base": offer.base, "period": "2025-03", "habit": habit, **what}, now=NOW
            ).saved
        decided = decision_form.offer(journal.open(book.folder, today=TODAY, cache=False), MARCH)
        late = [
            decision_days.late(MARCH, dt.date(2025, 4, 3)),
            decision_form.offer(book, periods.parse("2025-09", week_starts="monday")),
        ]
    assert strange([messages, offer, decided, late]) == []
    assert len({habit.said for habit in decided.habits}) >= 5


AIMED: tuple[tuple[Literal["at least", "at most"], float], ...] = (("at least", 20), ("at most", 2))


def test_a_record_proposes_in_the_language() -> None:
    days = pl.date_range(dt.date(2025, 3, 3), dt.date(2025, 3, 30), eager=True)
    done = days.dt.weekday().is_in([1, 4])
    record = pl.DataFrame(
        {"date": days, "logged": True, "due": True, "mark": "number", "value": days.dt.day() * 1.0,
         "state": done.replace_strict({True: "done", False: "missed"})}
    )  # fmt: skip
    with speaking(PSEUDO):
        reasons = [
            change.because
            for aim, target in AIMED
            for change in change_proposals.proposals(
                Habit(key="δ", name="Δ", start=days[0], every="FREQ=DAILY", target=target, aim=aim),
                record, week_starts="monday",
            )
        ]  # fmt: skip
    assert len(set(reasons)) >= 4
    assert strange(reasons) == []


WAYS: tuple[tuple[Any, str], ...] = (("off", "α"), ("stop", "β"), ("look", "β"), ("stop", "ω"), ("sell", "α"))


def test_time_off_and_trials_are_said_in_the_language(book: journal.Journal) -> None:
    with speaking(PSEUDO):
        offers = (time_off_form.offer(book), trial_form.offer(book))
        base = offers[0].base
        plan = {"base": base, "question": "Ναι;", "habit": "δ", "outcome": "mood", "from": "2025-03-20", "days": 24}
        off = {"base": base, "what": "add", "from": "2025-03-20", "until": "2025-03-19"}
        messages = told(
            save_time_off.save(book, None, now=NOW), save_time_off.save(book, off, now=NOW),
            *(save_trial.save(book, what, {"base": base, "ref": ref}, now=NOW, by="month")
              for what, ref in WAYS),
            save_trial.save(book, "make", None, now=NOW, by="month"),
            *(save_trial.save(book, "make", plan | one, now=NOW, by="month") for one in (
                {"question": "", "from": "", "lag": 3, "habit": "ω"}, {"from": "2025-03-13"}, {"outcome": "δ"},
                {"outcome": "sleep"}, {"habit": "π", "from": "2025-03-14"},
            )),
        )  # fmt: skip
        form = FormValues()
        assert trial_entered.plan(form, plan | {"lag": 1}, book, seed=1) is not None, form.troubles
        weekly = Trial(key="γ", question=";", habit="κ", start=dt.date(2025, 3, 20), days=2000, seed=1)
        advice = [
            *trial_advice.words(book, weekly),
            *trial_advice.words(book, msgspec.structs.replace(weekly, days=20)),
        ]
    assert set(strange([offers, messages, advice])) <= {"make", "stop", "look", "off"}  # what a program has asked for


SAID = [
    (lambda: what_hangs.sentence("habits", "walk", {"habits": {"walk": 1}}), "1 Tag hat ein Zeichen davon"),
    (lambda: what_hangs.sentence("habits", "walk", {"habits": {"walk": 1200}}), "1.200 Tage haben ein Zeichen davon"),
    (lambda: row_schedules.preview({"schedule": {"pattern": "day"}, "from": "2025-03-14"}, TODAY),
     "Jeden Tag: Freitag, 14. März; Samstag, 15. März; Sonntag, 16. März; Montag, 17. März und so weiter."),
    (lambda: decision_days.late(MARCH, dt.date(2025, 4, 3)),
     ("März 2025 ist vorbei. Eine Änderung oder Ruhe beginnt morgen, Freitag, 4. April; eine Gewohnheit, die du "
      "beendest, endet heute.")),
    (lambda: SINGLE_FIELDS["blank",].in_words().label, "Ein fälliger Tag, der nicht eingetragen ist"),
]  # fmt: skip


@pytest.mark.parametrize(("said", "german"), SAID)
def test_german_sentences(said: Callable[[], str], german: str) -> None:
    with speaking(GERMAN):
        assert said() == german


NUMBER = SettingField(key="a", label="A", control="number")


@pytest.mark.parametrize(
    ("language", "typed", "message"),
    [
        (GERMAN, "1.234", "1.234 kann 1234 oder 1,234 heißen; schreib eines davon."),
        (PSEUDO._replace(code="en", accents=False), "1,234", "1,234 may be 1234 or 1.234; write one of them."),
    ],
)
def test_a_number_of_the_settings_that_may_be_thousands_is_refused(language: Any, typed: str, message: str) -> None:
    with speaking(language):
        form = FormValues()
        field_values.read(form, NUMBER, typed, "a")
        assert [trouble.message for trouble in form.troubles] == [message]
        for clear in message.replace(";", "").split():
            if clear[0].isdigit() and clear != typed:  # what is proposed is accepted
                form = FormValues()
                field_values.read(form, NUMBER, clear, "a")
                assert form.troubles == []


def test_a_number_of_the_settings_is_shown_with_the_sign_of_the_language() -> None:
    with speaking(GERMAN):
        assert field_values.shown(NUMBER, 46.055) == "46,055"
        assert field_values.read(FormValues(), NUMBER, "46,055", "a") == 46.055
        assert place_facts.town("Europe/Ljubljana")["latitude"] == "46,05"


def test_no_text_of_the_browser_is_missed() -> None:
    """A text inside of another call, or of a template, is not found by the collector, and would stay English."""
    found = json.loads(catalogues.path_of("de").with_suffix(".json").read_text(encoding="utf-8"))
    known = {text.rpartition("\x04")[2] for text in found}
    missed = {
        path.name: texts_of
        for path in (catalogues.ROOT / "pages" / "browser").glob("*.js")
        if (texts_of := [text for text in looked_up(path.read_text(encoding="utf-8")) if text not in known])
    }
    assert missed == {}


def looked_up(source: str) -> list[str]:
    """The texts that a module of the browser looks up. Comments have none."""
    code = re.sub(r"^\s*//.*$", "", source, flags=re.MULTILINE)
    calls = re.findall(r'(?<![\w.])(?:_p\(\s*"(?:[^"\\]|\\.)*",\s*|(?:_|_n|N_)\(\s*)"((?:[^"\\]|\\.)*)"', code)
    return [call.replace('\\"', '"') for call in calls]


def test_a_missed_text_is_found() -> None:
    assert looked_up('say(`${_("One.")} ${_p("of", "two")}`, _n("{count} a", "b", 2)); // _("no")\n') == [
        "One.",
        "two",
        "{count} a",
        "no",
    ]
