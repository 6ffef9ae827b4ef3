"""The result of a trial in sentences: the effect with its interval and p, and what it shows among others."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from journal.settings import Settings, Trial
from journal.wording import numbers, trial_words

ALLOWED = (
    "A trend, the days of the week and how much a day is like the one before are allowed for, so the effect need not "
    "be the difference of the two means."
)
NOT_SHOWN = (
    "the lot alone often makes such a difference, so nothing is shown. An effect may be there, within the interval."
)

_WORDS = {"mood": ("higher", "lower"), "energy": ("higher", "lower"), "sleep": ("longer", "shorter")}


def effect(row: Mapping[str, Any], trial: Trial, settings: Settings) -> str:
    r"""The sentence on the effect. In: a row of `trials.results`. Empty without an effect.

    >>> walk = trial_words._PLAN
    >>> row = {"effect": 0.42, "low": 0.11, "high": 0.73, "p": 0.0103, "assignments": 32768}
    >>> effect(row, walk, Settings(title="Small", places=()))
    'On days drawn on, mood the day after was 0.4 higher, 95\xa0% interval 0.1 to 0.7, p = 0.01 of 32,768 draws.'
    >>> effect(row | {"effect": -0.12, "low": -0.4, "p": 0.0001}, walk, Settings(title="Small", places=()))
    'On days drawn on, mood the day after was 0.1 lower, 95\xa0% interval −0.4 to 0.7, p < 0.001 of 32,768 draws.'
    """
    if row["effect"] is None:
        return ""
    return f"{headline(row, trial, settings)}{_interval(row, trial)}{_p(row)}."


def headline(row: Mapping[str, Any], trial: Trial, settings: Settings) -> str:
    """The effect alone, as the title of its picture. In: a row of `trials.results`."""
    if row["effect"] is None:
        return f"Too few days have a value to tell on from off: {row['n_on']} drawn on, {row['n_off']} drawn off"
    what = "sleep" if trial.outcome == "sleep" else trial_words.outcome(settings, trial.outcome)
    when = f" {trial_words.when(trial.lag)}" if trial.lag else ""
    size = amount(abs(row["effect"]), trial, settings)
    if not any(digit in size for digit in "123456789"):
        return f"On days drawn on, {what}{when} was the same"
    rise, fall = _WORDS.get(trial.outcome, ("more", "less"))
    return f"On days drawn on, {what}{when} was {size} {rise if row['effect'] > 0 else fall}"


def amount(value: float, trial: Trial, settings: Settings) -> str:
    """A number in the unit of what is looked at: one decimal for mood and energy, whole minutes for sleep.

    >>> from msgspec.structs import replace
    >>> amount(23.4, replace(trial_words._PLAN, outcome="sleep"), Settings(title="Small", places=()))
    '23 min'
    """
    if trial.outcome == "sleep":
        return f"{_signed(value, 0)} min"
    unit = "" if trial.outcome in _WORDS else settings.definitions(trial.outcome)[-1].unit
    return f"{_signed(value, 1)} {unit}".rstrip()


def _signed(value: float, places: int) -> str:
    text = f"{abs(value):.{places}f}"
    return f"−{text}" if value < 0 and float(text) else text


def _interval(row: Mapping[str, Any], trial: Trial) -> str:
    if row["low"] is None or row["high"] is None:
        return ", no interval from so few pairs of blocks" if row["p"] is not None else ""
    places = 0 if trial.outcome == "sleep" else 1
    return f", {numbers.NINETY_FIVE} interval {_signed(row['low'], places)} to {_signed(row['high'], places)}"


def _p(row: Mapping[str, Any]) -> str:
    return f", p {p_words(row['p'])} of {numbers.number(row['assignments'])} draws" if row["p"] is not None else ""


def p_words(p: float) -> str:
    """A p as it is usually printed.

    >>> p_words(0.0103), p_words(0.0004), p_words(0.31), p_words(0.0078)
    ('= 0.01', '< 0.001', '= 0.31', '= 0.008')
    """
    return "< 0.001" if p < 0.001 else f"= {p:.3f}" if p < 0.0095 else f"= {p:.2f}"


def shown(row: Mapping[str, Any], together: int) -> str:
    """What the result shows. `together` is the number of trials with a p, which are adjusted for together.

    Empty for a changed plan, which has no p.

    >>> row = {"p": 0.01, "p_adjusted": 0.03}
    >>> shown(row, 3)
    'Among your 3 trials with a result p = 0.03 (Holm 1979): chance alone seldom makes such a difference.'
    >>> shown(row | {"p_adjusted": 0.01}, 1)
    'Chance alone seldom makes such a difference.'
    >>> shown({"p": 0.2, "p_adjusted": 0.2}, 1).partition(".")[0]
    'The lot alone often makes such a difference, so nothing is shown'
    """
    if row["p"] is None:
        return ""
    is_clear = row["p_adjusted"] <= trial_words.CLEAR
    text = "chance alone seldom makes such a difference." if is_clear else NOT_SHOWN
    if together > 1:
        return f"Among your {together} trials with a result p {p_words(row['p_adjusted'])} (Holm 1979): {text}"
    return f"{text[0].upper()}{text[1:]}"


def counted(row: Mapping[str, Any]) -> str:
    """How many days are counted, and how many went otherwise than drawn.

    >>> for text in counted({"n_on": 28, "n_off": 29, "known": 58, "otherwise": 3}).split(". "): print(text)
    28 days drawn on and 29 days drawn off have a value
    3 of 58 days went otherwise than drawn; each counts as it was drawn.
    """
    on, off = (numbers.plural(row[f"n_{arm}"], "day") for arm in ("on", "off"))
    went = trial_words.otherwise(row["otherwise"], row["known"])
    kept = f"{went}; each counts as it was drawn." if went else "Every day that is known went as drawn."
    return f"{on} drawn on and {off} drawn off have a value. {kept}"
