"""What a trial by lot is not for, and when low days end one.

What a doctor prescribed or forbade, and what can harm when it is left out or done by lot, is no matter for a draw. The
words below only ask again: they cannot know what a habit is.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence

import polars as pl

from journal import lots
from journal.language.spoken import spoken
from journal.measures import care_words, low_stretches, trial_interruption
from journal.settings import Trial

CARE_WORDS: dict[str, tuple[str, ...]] = {
    "medicine": (
        "antibiotic", "antidepressant", "antihistamine", "aspirin", "benzodiazepine", "beta blocker", "blood pressure",
        "capsule", "contraceptive", "cortisone", "dosage", "dose", "drops", "drug", "hormone", "ibuprofen", "inhaler",
        "injection", "insulin", "iron tablet", "lithium", "medication", "medicine", "melatonin", "meds", "ointment",
        "painkiller", "paracetamol", "pill", "sedative", "sleeping aid", "statin", "steroid", "supplement", "syrup",
        "tablet", "thyroxine", "tranquilliser", "tranquillizer", "vaccine", "vitamin",
    ),
    "treatment": (
        "clinic", "diagnosis", "doctor", "forbidden", "gp", "hospital", "nurse", "physician", "physiotherapy",
        "prescribed", "prescription", "psychiatrist", "psychologist", "rehab", "surgery", "therapist", "therapy",
        "treatment",
    ),
    "food": (
        "anorexia", "binge", "calorie", "carb", "carbs", "detox", "diet", "dieting", "eating less", "fast", "fasting",
        "keto", "laxative", "low carb", "lose weight", "no breakfast", "purge", "skip breakfast", "skip dinner",
        "skip lunch", "skip meal", "starve", "weight loss", "without breakfast", "without dinner", "without lunch",
    ),
    "sleep": (
        "all nighter", "less sleep", "no sleep", "sleep deprivation", "sleep less", "sleepless", "stay awake",
        "stay up", "staying up", "up all night", "wake at night", "without sleep",
    ),
    "drink": (
        "alcohol", "alcoholic", "beer", "brandy", "cannabis", "cider", "cigarette", "cocktail", "drunk", "gin",
        "liquor", "nicotine", "rum", "smoke", "smoking", "sober", "spirits", "tobacco", "vape", "vodka", "weed",
        "whiskey", "whisky", "wine",
    ),
}  # fmt: skip
"""English words by what they are about. A word is found with an ending: "pills", "fasted", "diets".
German ones: `care_words`."""

_ENDINGS = "(?:s|es|ed|ing)?"
_SPACES = re.compile(r"[\W_]+")


def needs_care(*texts: str) -> tuple[str, ...]:
    """The words in a plan that ask for care; empty for a plan without one.

    English ones as they stand in `CARE_WORDS`, German ones as they stand in the plan. `texts` are the question, and the
    key and name of the habit. Case, hyphens and underscores do not matter. An English word within another one is not
    found: "fast" is not in "breakfast".

    >>> needs_care("Do I sleep better without my pills?", "evening-pills"), needs_care("Walk before breakfast?")
    (('pill',), ())
    """
    written, language = " ".join(_SPACES.sub(" ", text).strip() for text in texts), spoken().code
    plain, left_out = written.lower(), care_words.MEANS_ELSE.get(language, frozenset())
    english = [word for words in CARE_WORDS.values() for word in words if word not in left_out and _found(word, plain)]
    german = care_words.german(written, language=language)
    # Words of both languages, such as "Insulin", are named once.
    if language == "de":
        english = [word for word in english if not any(_found(word, other.lower()) for other in german)]
    else:
        german = [word for word in german if not any(_found(other, word.lower()) for other in english)]
    return (*english, *german)


def _found(word: str, plain: str) -> bool:
    stem = re.escape(word[:-1]) + "(?:y|i|ie)" if word.endswith("y") else re.escape(word)
    return re.search(rf"\b{stem}{_ENDINGS}\b", plain) is not None


def interrupted(
    trials: Iterable[Trial], days: pl.DataFrame, *, today: dt.date, low: float = 1, high: float = 5
) -> tuple[Trial, ...]:
    """The trials, each interrupted after the first day on which its moods show a low stretch (`low_stretches`).

    In: `Tables.days` (date, mood) and the ends of the mood scale. A stretch that stands on the day before the trial
    interrupts it before it begins. It is not taken up again when the stretch is over. Moods after `today` are ignored:
    they are not known yet. An interruption that the file has stays if it is earlier.

    >>> from journal.lots import _EXAMPLE as plan
    >>> dates = pl.date_range(dt.date(2025, 2, 18), dt.date(2025, 3, 3), eager=True)
    >>> days = pl.DataFrame({"date": dates, "mood": [2.0] * 14})
    >>> interrupted([plan], days, today=dt.date(2025, 3, 6))[0].interrupted
    datetime.date(2025, 3, 4)
    """
    return tuple(_interrupted(trial, days, today, low, high) for trial in trials)


def _interrupted(trial: Trial, days: pl.DataFrame, today: dt.date, low: float, high: float) -> Trial:
    noted = low_stretches.low_days(
        days, first=trial.start - dt.timedelta(days=1), last=lots.last_drawn(trial), low=low, high=high
    )
    return trial_interruption.interrupted(trial, noted.get, today=today)


def words_of(trial: Trial, names: Sequence[str]) -> tuple[str, ...]:
    """`needs_care` of a plan. `names` are the names that its habit has had."""
    return needs_care(trial.question, trial.habit, *names)
