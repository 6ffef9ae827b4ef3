"""The words of measures and sections: from the catalogue, in German with its plurals and cases, and in the language of
whoever asks, though all pages share one open journal."""

from __future__ import annotations

import datetime as dt
import itertools
import re
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from msgspec.structs import replace

import journal
from journal.errors import UsageError
from journal.language.languages import GERMAN, LANGUAGES
from journal.language.spoken import speaking
from journal.lots import _EXAMPLE as TRIAL
from journal.measures import (
    finding_events,
    finding_sentences,
    finding_streaks,
    findings,
    link_sentences,
    low_stretches,
    trial_report,
    trial_sentences,
    withheld_links,
)
from journal.measures.finding_events import Finding
from journal.measures.finding_facts import CARRIED, LEVEL, MINUTES, PLAN, REGULARITY, SPREAD, WAITING
from journal.measures.finding_sentences import Comparison
from journal.measures.link_record import EVENTS
from journal.measures.sleep import NIGHTS
from journal.measures.withheld_links import WithheldLink
from journal.settings import Category, Habit, Settings
from journal.sun import rise_set
from tests.language.test_moved_parts import PSEUDO, foreign

FIRST = dt.date(2025, 3, 1)
SETTINGS = Settings(
    title="Νήμα",
    places=(),
    habits=(
        Habit(key="π", name="Περπάτημα", every="FREQ=DAILY", start=FIRST),
        Habit(key="δ", name="Διάβασμα", every="FREQ=DAILY", start=FIRST, target=20, unit="σ"),
    ),
    categories=(Category(key="υ", name="Ύπνος", sleep=True), Category(key="ε", name="Εργασία")),
)
NAMES = {"pair", "jpg"}
"""The word "pair" is part of the text that the draw hashes, and "jpg" of the name of a file."""


def assert_of_the_catalogue(texts: list[str]) -> None:
    """No text has a word that is not from the catalogue. The texts were made in the tests' language."""
    assert texts
    strange = [(word, text) for text in texts for word in foreign(text) if word not in NAMES]
    assert strange == [], strange[:9]


VALUES: tuple[dict[str, Any], ...] = (
    {"measure": "rates", "subject": "π", "unit": "occasion", "value": 0.7, "n": 10, "amount": 7, "out_of": 10},
    {"measure": "rates", "subject": "π", "unit": "week", "value": 0.7, "n": 10, "amount": 7, "out_of": 10},
    {"measure": "mood", "subject": LEVEL, "unit": "", "value": 3.44, "n": 28},
    {"measure": "mood", "subject": SPREAD, "unit": "", "value": 0.94, "n": 28},
    {"measure": "energy", "subject": LEVEL, "unit": "", "value": 3.44, "n": 1},
    {"measure": "energy", "subject": SPREAD, "unit": "", "value": 0.94, "n": 1},
    {"measure": "sleep", "subject": MINUTES, "unit": "", "value": 425.0, "n": 28},
    {"measure": "sleep", "subject": REGULARITY, "unit": "", "value": 87.2, "n": 28},
    {"measure": "hours", "subject": PLAN, "unit": PLAN, "value": 0.5, "n": 9, "amount": 600, "out_of": 1200},
    {"measure": "hours", "subject": "ε", "unit": "", "value": 200.0, "n": 9},
    {"measure": "tasks", "subject": CARRIED, "unit": "", "value": 0.25, "n": 20, "amount": 5},
    {"measure": "tasks", "subject": WAITING, "unit": "", "value": 12.0, "n": 12},
    {"measure": "coverage", "subject": LEVEL, "unit": "", "value": 0.5, "n": 30, "amount": 15, "out_of": 30},
)
COMPARISONS = (
    *(Comparison(kind, below, 0, 11, 0.8) for kind in ("week", "month", "year") for below in (True, False)),
    *(Comparison(kind, below, 2, 21, 0.8, part=True) for kind in ("week", "month") for below in (True, False)),
    *(Comparison("year", below, 0, 1, 0.8, only="2024", same="") for below in (True, False)),
)
LINK: dict[str, Any] = {
    "lag_days": 0, "n_done": 180, "n_missed": 1, "mean_done": 3.41, "mean_missed": 2.88, "difference": 0.53,
    "p": 0.0037, "p_fine": 0.0001, "clear": True, "needed": 14, "quota": False, "q": 0.01,
}  # fmt: skip
DRIVER: dict[str, Any] = {
    "lag_days": 0, "n": 288, "correlation": 0.414, "p": 0.0035, "p_fine": 0.0001, "clear": True, "needed": 28,
}  # fmt: skip
SEASON: dict[str, Any] = {
    "n": 1040, "years": 3, "needed_years": 3, "correlation": 0.312, "p": 0.0005, "clear": True,
}  # fmt: skip
WEEKDAYS: dict[str, Any] = {"n": 351, "fewest": 48, "share": 0.016, "p": 0.34, "clear": False, "needed": 14}
CHANGE: dict[str, Any] = {
    "habit": "π", "unit": "occasion", "done_before": 22, "counted_before": 31, "rate_before": 22 / 31, "done_after": 12,
    "counted_after": 30, "rate_after": 0.4, "logged_before": 31, "logged_after": 14, "low": -0.516, "high": -0.004,
}  # fmt: skip
RESULT: dict[str, Any] = {
    "state": "finished", "effect": 0.42, "low": 0.11, "high": 0.73, "p": 0.0103, "p_adjusted": 0.0309,
    "assignments": 32768, "days": 6, "planned_days": 6, "n_on": 1, "n_off": 2, "pairs": 2, "known": 3, "otherwise": 1,
    "looks": 1, "missing_on": 1, "missing_off": 2, "changed": False, "finished": True,
}  # fmt: skip


def value_row(**values: Any) -> dict[str, Any]:
    return {"from": FIRST, "to": FIRST, "amount": None, "out_of": None, **values}


def test_findings_are_from_the_catalogue() -> None:
    with speaking(PSEUDO):
        texts = [
            finding_sentences.sentence(value_row(**row), SETTINGS, compared)
            for row, compared in itertools.product(VALUES, COMPARISONS)
        ]
        texts += [finding_sentences.looked_at(n, 0.2, kind) for n in (1, 33) for kind in ("week", "month", "year")]
        texts += [
            finding_events._text(CHANGE, "Περπάτημα", kind, halves=halves)
            for kind in ("week", "month", "year")
            for halves in (True, False)
        ]
        texts += [finding_streaks._rank(*counts) for counts in ((0, 5), (1, 5), (2, 5))]
        texts += [finding_streaks._end(FIRST, unit) for unit in ("occasion", "week", "month")]
    assert_of_the_catalogue(texts)


def link_texts() -> list[str]:
    lags, what = (0, 1, 3), ("mood", "energy")
    lately = pl.DataFrame({"date": [FIRST, FIRST], "done": [True, False], "value": [3.0, 3.2], "quota": False})
    events = [{"lag_days": lag, "higher": lag < 1, "told": FIRST} for lag in lags]
    rows = [LINK | {"lag_days": lag} | more for lag in lags for more in ({}, {"difference": -1}, {"quota": True})]
    drivers = [
        DRIVER | {"lag_days": lag} | more for lag in lags for more in ({}, {"clear": False}, {"correlation": -1})
    ]
    return [
        *(link_sentences.habit_link(row, "Περπάτημα", what=one) for row in rows for one in what),
        *(link_sentences.habit_link(LINK | more, "Περπάτημα") for more in ({"p": None}, {"clear": False})),
        link_sentences.habit_link(LINK | {"clear": False, "q": 0.5}, "Περπάτημα"),
        *(link_sentences.ended_link(event, "Περπάτημα", lately) for event in events),
        link_sentences.ended_link(events[0], "Περπάτημα", lately.clear()),
        *(link_sentences.driver_link(row, "Ζέστη", what=one) for row in drivers for one in what),
        *(link_sentences.driver_link(DRIVER | {"p": None, "n": n}, "Ζέστη") for n in (1, 9, 99)),
        link_sentences.driver_link(DRIVER | {"n": 12, "clear": False, "p_fine": 1e-9}, "Ζέστη", pairs=500),
        *(link_sentences.day_length_link(SEASON | more) for more in ({}, {"clear": False}, {"p": None})),
        *(link_sentences.day_length_link(SEASON | {"p": None, "years": years}) for years in (0, 1, 2)),
        *(link_sentences.weekday_link(WEEKDAYS | more) for more in ({}, {"clear": True}, {"p": None})),
        *(link_sentences.weekday_link(WEEKDAYS | {"p": None, "fewest": n}) for n in (1, 3)),
        *(withheld_links.sentence([WithheldLink(k, FIRST, FIRST) for k in keys], SETTINGS) for keys in ("π", "πδ")),
    ]


def test_links_are_from_the_catalogue() -> None:
    with speaking(PSEUDO):
        assert_of_the_catalogue(link_texts())


def trial_texts() -> list[str]:
    plan = replace(TRIAL, habit="π", question="Βοηθά;", key="β")
    changes: tuple[dict[str, Any], ...] = (
        {}, {"effect": -0.42}, {"effect": 0.0}, {"effect": None}, {"low": None}, {"p": None, "low": None},
    )  # fmt: skip
    plans = [replace(plan, outcome=outcome, lag=lag) for outcome in ("mood", "sleep", "δ", "energy") for lag in (0, 1)]
    states = ("coming", "running", "finished", "stopped", "interrupted")
    reported = [
        *(trial_report.report(plan, RESULT | {"state": state}, SETTINGS) for state in states),
        *(trial_report.report(one, RESULT | {"changed": True, "looks": 0}, SETTINGS) for one in plans),
        trial_report.report(replace(plan, washout=1, plan="4711"), RESULT | {"effect": None}, SETTINGS),
        trial_report.report(plan, RESULT | {"effect": None, "finished": False, "days": 0, "known": 0}, SETTINGS),
    ]
    return [
        *(trial_sentences.headline(RESULT | {"effect": None}, one, SETTINGS) for one in plans[:1]),
        *(trial_sentences.effect(RESULT | change, one, SETTINGS) for one in plans for change in changes),
        *(trial_sentences.shown(RESULT | {"p_adjusted": p}, n) for p in (0.01, 0.5) for n in (1, 3)),
        *(trial_sentences.counted(RESULT | {"otherwise": went}) for went in (0, 2)),
        *(text for items in reported for item in items for text in (item.asks, item.answer)),
    ]


def test_trials_and_their_reports_are_from_the_catalogue() -> None:
    with speaking(PSEUDO):
        assert_of_the_catalogue([text for text in trial_texts() if text])


def care_signs() -> pl.DataFrame:
    dates = pl.date_range(FIRST, FIRST + dt.timedelta(days=27), eager=True)
    days = pl.DataFrame({"date": dates, "mood": [2.0] * 28})
    nights = pl.DataFrame({"date": dates, "minutes": 300, "nap_minutes": 0}).cast({"minutes": NIGHTS["minutes"]})
    return low_stretches.signs(days, nights, today=dates[-1])


def test_care_is_from_the_catalogue() -> None:
    with speaking(PSEUDO):
        signs = care_signs()
    assert signs.height == 2
    assert_of_the_catalogue([text for column in ("text", "threshold", "source") for text in signs[column]])


def test_the_sun_refuses_in_the_language() -> None:
    with speaking(PSEUDO):
        for latitude, zone in ((99.0, "Europe/Ljubljana"), (46.0, "Ljubljana")):
            with pytest.raises(UsageError) as refused:
                rise_set.days(FIRST, FIRST, latitude, 14.5, zone)
            assert_of_the_catalogue([re.sub("Europe|Ljubljana", "", str(refused.value).rpartition(";")[0])])


def test_german_findings() -> None:
    def said(i: int, compared: Comparison) -> str:
        return finding_sentences.sentence(value_row(**VALUES[i]), SETTINGS, compared)

    with speaking(GERMAN):
        assert said(2, Comparison("month", True, 0, 11, 3.9)) == (
            "Stimmung im Mittel 3,4 an 28 bewerteten Tagen, niedriger als in allen 11 früheren Monaten (deren Median: "
            "3,9)."
        )
        assert said(4, Comparison("week", False, 2, 21, 2.9, part=True)) == (
            "Woche ab dem 1. März: Kraft im Mittel 3,4 an 1 bewerteten Tag, ebenso hoch oder höher in 2 von 21 anderen "
            "Wochen bisher (deren Median: 2,9)."
        )
        assert said(1, Comparison("year", False, 0, 1, 0.5, only="2024")) == (
            "Περπάτημα: 7 von 10 Wochen erfüllt (70\xa0%), höher als 2024 (50\xa0%)."
        )
        assert finding_events._text(CHANGE, "Περπάτημα", "month", halves=False) == (
            "Περπάτημα: 12 von 30 (40\xa0%) getan, im Monat davor 22 von 31 (71\xa0%); unter eingetragenen Tagen 22 "
            "von 31, dann 12 von 14; eine klare Änderung, Konfidenzintervall (95\xa0%) −52 bis −0,4 Prozentpunkte."
        )


def test_german_links_and_trials() -> None:
    with speaking(GERMAN):
        assert link_sentences.habit_link(LINK, "Περπάτημα") == (
            "Περπάτημα: Stimmung im Mittel 3,4 an 180 Tagen mit und 2,9 an 1 fälligen Tag ohne; das geht mit höherer "
            "Stimmung einher."
        )
        assert link_sentences.driver_link(DRIVER | {"lag_days": 1}, "Ζέστη") == (
            "Ζέστη und Stimmung am Tag danach, 288 Tage: Rangkorrelation 0,41; mehr davon ging mit höherer Stimmung am "
            "Tag danach einher."
        )
        assert trial_sentences.effect(RESULT, replace(TRIAL, lag=1), SETTINGS) == (
            "An Tagen „mit“ war die Stimmung am Tag danach um 0,4 höher, Konfidenzintervall (95\xa0%) 0,1 bis 0,7, "
            "p = 0,01 aus 32.768 Auslosungen."
        )


def test_german_care_says_what_the_english_says() -> None:
    with speaking(GERMAN):
        mood, sleep = care_signs().rows(named=True)
    assert mood["text"] == "An 14 der letzten 14 Tage, an denen sie notiert wurde, war die Stimmung niedrig."
    assert sleep["text"] == "In 28 der letzten 28 notierten Nächte dauerte der Schlaf weniger als 7 Stunden."
    assert "mindestens zwei Wochen" in mood["threshold"] and "7 Stunden" in sleep["threshold"]
    assert all(name in mood["source"] for name in ("ICD-11", "DSM-5", "NG222 (2022)"))
    assert all(name in sleep["source"] for name in ("Watson", "11, 591–592", "Hirshkowitz", "1, 40–43"))


def test_one_open_journal_answers_each_in_its_own_language() -> None:
    """All pages of a server share what is derived from a journal. What is kept has no words."""
    book = journal.open(Path(__file__).parents[2] / "example_year", today=dt.date(2025, 12, 31), cache=False)

    def told() -> pl.DataFrame:
        return findings.findings(book.facts, [book.period("2025-06"), book.period("2025")])

    first = told()
    answers = {}
    for code in ("de", "en", "de"):
        with speaking(LANGUAGES[code]):
            answers[code] = told()
    assert first.equals(answers["en"]) and first.equals(told())
    assert first.drop("text").equals(answers["de"].drop("text"))
    assert not set(first["text"]) & set(answers["de"]["text"])
    assert any("deren Median" in text for text in answers["de"]["text"])
    assert [column for column, dtype in EVENTS.items() if dtype == pl.String] == ["habit"]  # what `.cache` keeps


def test_which_finding_is_told_does_not_hang_on_its_words() -> None:
    early = Finding(("mood", LEVEL), "mood", "β", 1, [FIRST], 0.95)
    late = early._replace(text="α", dates=[FIRST + dt.timedelta(days=1)])
    assert findings.chosen([late, early]) == findings.chosen([early, late]) == [early]
