"""The result of a trial in sentences: the effect with its interval and p, and what it shows among others."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from journal.language.catalogue import N_, _, _n, _p
from journal.language.digits import signed
from journal.settings import Settings, Trial
from journal.wording import numbers, trial_words

ALLOWED = N_(
    "A trend, the days of the week and how much a day is like the one before are allowed for, so the effect need not "
    "be the difference of the two means."
)

_FIXED = ("mood", "energy", "sleep")
"""What can be looked at beside the counted habits."""


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
    return f"{numbers.joined([headline(row, trial, settings), _interval(row, trial), _p_of_draws(row)], ', ')}."


def headline(row: Mapping[str, Any], trial: Trial, settings: Settings) -> str:
    """The effect alone, as the title of its picture. In: a row of `trials.results`."""
    if row["effect"] is None:
        counts = {"on": row["n_on"], "off": row["n_off"]}
        return _("Too few days have a value to tell on from off: {on} drawn on, {off} drawn off", **counts)
    values = {"what": _subject(trial, settings), "size": amount(abs(row["effect"]), trial, settings)}
    if not any(digit in values["size"] for digit in "123456789"):
        if trial.lag:
            return _("On days drawn on, {what} the day after was the same", what=values["what"])
        return _("On days drawn on, {what} was the same", what=values["what"])
    return _(_directions(trial)[0 if row["effect"] > 0 else 1], **values)


def _subject(trial: Trial, settings: Settings) -> str:
    """What is looked at, as the subject of a sentence: in German with its article."""
    if trial.outcome == "mood":
        return _p("subject of a sentence", "mood")
    if trial.outcome == "energy":
        return _p("subject of a sentence", "energy")
    if trial.outcome == "sleep":
        return _p("subject of a sentence", "sleep")
    return numbers.quoted(settings.habit_name(trial.outcome))


def _directions(trial: Trial) -> tuple[str, str]:
    """The texts of a rise and a fall."""
    if trial.outcome in ("mood", "energy"):
        return _HIGHER_AFTER if trial.lag else _HIGHER
    if trial.outcome == "sleep":
        return _LONGER_AFTER if trial.lag else _LONGER
    return _MORE_AFTER if trial.lag else _MORE


_HIGHER = N_("On days drawn on, {what} was {size} higher"), N_("On days drawn on, {what} was {size} lower")
_HIGHER_AFTER = (
    N_("On days drawn on, {what} the day after was {size} higher"),
    N_("On days drawn on, {what} the day after was {size} lower"),
)
_LONGER = N_("On days drawn on, {what} was {size} longer"), N_("On days drawn on, {what} was {size} shorter")
_LONGER_AFTER = (
    N_("On days drawn on, {what} the day after was {size} longer"),
    N_("On days drawn on, {what} the day after was {size} shorter"),
)
_MORE = N_("On days drawn on, {what} was {size} more"), N_("On days drawn on, {what} was {size} less")
_MORE_AFTER = (
    N_("On days drawn on, {what} the day after was {size} more"),
    N_("On days drawn on, {what} the day after was {size} less"),
)


def amount(value: float, trial: Trial, settings: Settings) -> str:
    """A number in the unit of what is looked at: one decimal for mood and energy, whole minutes for sleep.

    >>> from msgspec.structs import replace
    >>> amount(23.4, replace(trial_words._PLAN, outcome="sleep"), Settings(title="Small", places=()))
    '23 min'
    """
    if trial.outcome == "sleep":
        return _("{minutes} min", minutes=_signed(value, 0))
    unit = "" if trial.outcome in _FIXED else settings.definitions(trial.outcome)[-1].unit
    return f"{_signed(value, 1)} {unit}".rstrip()


def _signed(value: float, places: int) -> str:
    text = f"{abs(value):.{places}f}"
    return f"−{signed(text)}" if value < 0 and float(text) else signed(text)


def _interval(row: Mapping[str, Any], trial: Trial) -> str:
    if row["low"] is None or row["high"] is None:
        return _("no interval from so few pairs of blocks") if row["p"] is not None else ""
    places = 0 if trial.outcome == "sleep" else 1
    low, high = _signed(row["low"], places), _signed(row["high"], places)
    return _("{level} interval {low} to {high}", level=numbers.NINETY_FIVE, low=low, high=high)


def _p_of_draws(row: Mapping[str, Any]) -> str:
    if row["p"] is None:
        return ""
    return _("p {p} of {draws} draws", p=p_words(row["p"]), draws=numbers.number(row["assignments"]))


def p_words(p: float) -> str:
    """A p as it is usually printed.

    >>> p_words(0.0103), p_words(0.0004), p_words(0.31), p_words(0.0078)
    ('= 0.01', '< 0.001', '= 0.31', '= 0.008')
    """
    return signed("< 0.001" if p < 0.001 else f"= {p:.3f}" if p < 0.0095 else f"= {p:.2f}")


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
    if together > 1:
        text = _AMONG_CLEAR if is_clear else _AMONG_UNCLEAR
        return _(text, count=together, p=p_words(row["p_adjusted"]))
    return _(_ALONE_CLEAR if is_clear else _ALONE_UNCLEAR)


_ALONE_CLEAR = N_("Chance alone seldom makes such a difference.")
_ALONE_UNCLEAR = N_(
    "The lot alone often makes such a difference, so nothing is shown. An effect may be there, within the interval."
)
_AMONG_CLEAR = N_(
    "Among your {count} trials with a result p {p} (Holm 1979): chance alone seldom makes such a difference."
)
_AMONG_UNCLEAR = N_(
    "Among your {count} trials with a result p {p} (Holm 1979): the lot alone often makes such a difference, so "
    "nothing is shown. An effect may be there, within the interval."
)


def counted(row: Mapping[str, Any]) -> str:
    """How many days are counted, and how many went otherwise than drawn.

    >>> for text in counted({"n_on": 28, "n_off": 29, "known": 58, "otherwise": 3}).split(". "): print(text)
    28 days drawn on and 29 days drawn off have a value
    3 of 58 days went otherwise than drawn; each counts as it was drawn.
    """
    on = _n("{count} day drawn on", "{count} days drawn on", row["n_on"])
    off = _n("{count} day drawn off", "{count} days drawn off", row["n_off"])
    went = trial_words.otherwise(row["otherwise"], row["known"])
    kept = _("{went}; each counts as it was drawn.", went=went) if went else _("Every day that is known went as drawn.")
    have = _("{on} and {off} have a value.", on=on, off=off)
    return f"{have} {kept}"
