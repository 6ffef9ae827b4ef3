"""What a trial is not for, and the day on which low moods interrupt one: against the signs of each single day."""

from __future__ import annotations

import datetime as dt

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal import lots
from journal.language.languages import LANGUAGES
from journal.language.spoken import speaking
from journal.measures import low_stretches, trial_care
from journal.measures.sleep import NIGHTS
from journal.settings import Trial

FIRST = dt.date(2025, 3, 1)
DAY = dt.timedelta(days=1)
NO_NIGHTS = pl.DataFrame(schema=NIGHTS)

ASKED = {
    "Do I sleep better without my pills?": "pill",
    "Half the dose of thyroxine on some days?": "dose",
    "Does skipping my anti-depressant help?": None,  # two words are not one; the key below says it
    "Does fasting lift the day?": "fast",
    "Fasted mornings": "fast",
    "Am I calmer on a low-carb diet?": "diet",
    "Does it help to skip breakfast?": "skip breakfast",
    "Less sleep, more work?": "less sleep",
    "Is a day without wine better?": "wine",
    "Beers with dinner": "beer",
    "What my doctor forbade": "doctor",
    "prescribed_exercises": "prescribed",
    "Therapies": "therapy",
    "Does smoking less help?": "smoking",
}
LEFT_ALONE = (
    "Does an evening walk lift the next day?",
    "Walk before breakfast",
    "A fastener",
    "Do I sleep better when I read?",
    "Swim, steadfast",
    "Phone out of the bedroom",
    "Grandma's wisdom, drawings, ginger tea",
    "Plan the day on paper",
    "Call home",
)


GERMAN_ASKED = {
    "Schlafe ich besser ohne meine Schlaftabletten?": "Schlaftabletten",
    "Die halbe Dosis Thyroxin an manchen Tagen?": "Thyroxin",
    "Hilft es, das Frühstück auszulassen? Frühstück-auslassen": "Frühstück auslassen",
    "Fasten am Montag": "Fasten",
    "Heilfasten": "Heilfasten",
    "Weniger Schlaf, mehr Arbeit?": "Weniger Schlaf",
    "Ist ein Tag ohne Rotwein besser?": "Rotwein",
    "Das Feierabendbier weglassen": "Feierabendbier",
    "Was meine Hausärztin verboten hat": "Hausärztin",
    "Antidepressiva": "Antidepressiva",
    "blutdruck_messen": "blutdruck",
    "Physiotherapie": "Physiotherapie",
    "Vitamin D am Morgen": "Vitamin",
}
GERMAN_LEFT_ALONE = (
    "Hebt ein Abendspaziergang den nächsten Tag?", "Fast jeden Tag gehen", "Spaziergang vor dem Frühstück",
    "Das Schwein füttern", "Schwarztee statt Kaffee", "Eine Dose Farbe am Tag", "Weinen und lachen", "Zuhause anrufen",
    "Das Fastnachtskostüm nähen", "Früh aufstehen",
)  # fmt: skip


@pytest.mark.parametrize(("question", "word"), GERMAN_ASKED.items())
def test_german_words_that_ask_for_care(question: str, word: str) -> None:
    with speaking(LANGUAGES["de"]):
        assert word in trial_care.needs_care(question)
    assert trial_care.needs_care(question)  # she may plan in German in an English journal


@pytest.mark.parametrize("question", GERMAN_LEFT_ALONE)
def test_german_words_that_do_not(question: str) -> None:
    with speaking(LANGUAGES["de"]):
        assert trial_care.needs_care(question) == ()


def test_english_plans_are_asked_in_a_german_journal_too() -> None:
    with speaking(LANGUAGES["de"]):
        assert trial_care.needs_care("Do I sleep better without my pills?") == ("pill",)
        assert trial_care.needs_care("Fasting, fast") == ("fasting",)
    assert trial_care.needs_care("Operation of the press at the joints", "dosen") == ()


@pytest.mark.parametrize(("question", "word"), ASKED.items())
def test_words_that_ask_for_care(question: str, word: str | None) -> None:
    found = trial_care.needs_care(question)
    assert word in found if word else found == ()


@pytest.mark.parametrize("question", LEFT_ALONE)
def test_words_that_do_not(question: str) -> None:
    assert trial_care.needs_care(question) == ()


def test_the_habit_is_looked_at_as_well() -> None:
    plan = trial(habit="evening-pill")
    assert trial_care.words_of(plan, ["Evening"]) == ("pill",)
    assert trial_care.words_of(trial(), ["A glass of wine"]) == ("wine",)
    assert trial_care.words_of(trial(), ["Walk"]) == ()


def trial(**changes: object) -> Trial:
    values: dict[str, object] = {"key": "t", "question": "?", "habit": "walk", "start": FIRST, "days": 40, "seed": 1}
    return Trial(**(values | changes))  # type: ignore[arg-type]


@settings(deadline=None, max_examples=60)
@given(st.lists(st.sampled_from([1.0, 2.0, 2.0, 2.0, 4.0, None]), min_size=90, max_size=90), st.integers(-20, 60))
def test_a_trial_is_interrupted_after_the_first_day_with_a_sign(moods: list[float | None], at: int) -> None:
    start = FIRST + 30 * DAY
    days = pl.DataFrame(
        {"date": [FIRST + i * DAY for i in range(90)], "mood": moods}, schema_overrides={"mood": pl.Float64}
    )
    plan, today = trial(start=start), start + at * DAY
    (found,) = trial_care.interrupted([plan], days, today=today)
    day, expected = start - DAY, None
    while day < min(lots.last_planned(plan), today + DAY) and expected is None:
        signs = low_stretches.signs(days, NO_NIGHTS, today=day)
        expected = day + DAY if signs.height else None
        day += DAY
    assert found.interrupted == expected


def test_an_earlier_interruption_of_the_file_stays() -> None:
    days = pl.DataFrame({"date": [FIRST + i * DAY for i in range(20)], "mood": [1.0] * 20})
    (found,) = trial_care.interrupted([trial(interrupted=FIRST + 5 * DAY)], days, today=FIRST + 30 * DAY)
    assert found.interrupted == FIRST + 5 * DAY
    (found,) = trial_care.interrupted([trial(stopped=FIRST + 5 * DAY)], days, today=FIRST + 30 * DAY)
    assert found.interrupted is None
