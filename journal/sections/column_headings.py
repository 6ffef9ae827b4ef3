"""The columns of a figure's numbers as headings of a table, and the codes in them as words.

The columns of frames and their codes are English everywhere, since JSON and CSV promise them. A page shows them in its
language.
"""

from __future__ import annotations

from collections.abc import Mapping

from journal.language.catalogue import _p
from journal.settings import WEEKDAYS
from journal.wording import dates, numbers


def heading(column: str) -> str:
    """A column as a heading. Unknown ones, such as the name of a habit, stay as they are.

    >>> heading("lag_days"), heading("Walk by the river")
    ('lag days', 'Walk by the river')
    """
    name = column.replace("_", " ")
    return _headings().get(name, name)


def words(column: str) -> Mapping[str, str]:
    """The words of the codes in a column; empty for a column of numbers or of the writer's own words.

    >>> words("layer")
    {'planned': 'planned', 'actual': 'actual'}
    >>> words("habit")
    {}
    """
    codes = _CODES.get(column)
    return codes() if codes else {}


def _states() -> dict[str, str]:
    return {
        "not due": _p("code", "not due"),
        "rest": _p("code", "rest"),
        "done": _p("code", "done"),
        "partial": _p("code", "partial"),
        "missed": _p("code", "missed"),
        "blank": _p("code", "blank"),
        "pending": _p("code", "pending"),
    }


def _units() -> dict[str, str]:
    return {
        "occasion": _p("code", "occasion"),
        "day": _p("code", "day"),
        "week": _p("code", "week"),
        "month": _p("code", "month"),
    }


def _layers() -> dict[str, str]:
    return {"planned": _p("code", "planned"), "actual": _p("code", "actual")}


def _arms() -> dict[str, str]:
    return {"on": _p("code", "on"), "off": _p("code", "off"), "washout": _p("code", "washout")}


def _periods() -> dict[str, str]:
    return {code: numbers.in_sentence(dates.weekday(place)) for place, code in enumerate(WEEKDAYS)}


_CODES = {"state": _states, "unit": _units, "layer": _layers, "arm": _arms, "period": _periods}


def _headings() -> dict[str, str]:
    return {
        "actual": _p("column", "actual"),
        "actual minutes": _p("column", "actual minutes"),
        "arm": _p("column", "arm"),
        "as planned minutes": _p("column", "as planned minutes"),
        "as planned share": _p("column", "as planned share"),
        "at risk": _p("column", "at risk"),
        "bed": _p("column", "bed"),
        "category": _p("column", "category"),
        "caught up": _p("column", "caught up"),
        "challenge": _p("column", "challenge"),
        "clear": _p("column", "clear"),
        "compared minutes": _p("column", "compared minutes"),
        "correlation": _p("column", "correlation"),
        "counted": _p("column", "counted"),
        "date": _p("column", "date"),
        "day minutes": _p("column", "day minutes"),
        "days": _p("column", "days"),
        "difference": _p("column", "difference"),
        "difference high": _p("column", "difference high"),
        "difference low": _p("column", "difference low"),
        "done": _p("column", "done"),
        "done by": _p("column", "done by"),
        "driver": _p("column", "driver"),
        "dropped": _p("column", "dropped"),
        "dropped by": _p("column", "dropped by"),
        "due": _p("column", "due"),
        "estimate": _p("column", "estimate"),
        "from": _p("column", "from"),
        "habit": _p("column", "habit"),
        "high": _p("column", "high"),
        "lag days": _p("column", "lag days"),
        "last": _p("column", "last"),
        "layer": _p("column", "layer"),
        "logged rate": _p("column", "logged rate"),
        "longest": _p("column", "longest"),
        "low": _p("column", "low"),
        "mean": _p("column", "mean"),
        "mean done": _p("column", "mean done"),
        "mean missed": _p("column", "mean missed"),
        "minutes": _p("column", "minutes"),
        "month": _p("column", "month"),
        "mood": _p("column", "mood"),
        "n": _p("column", "n"),
        "n done": _p("column", "n done"),
        "n missed": _p("column", "n missed"),
        "nap minutes": _p("column", "nap minutes"),
        "open": _p("column", "open"),
        "outcome": _p("column", "outcome"),
        "p": _p("column", "p"),
        "period": _p("column", "period"),
        "planned": _p("column", "planned"),
        "planned minutes": _p("column", "planned minutes"),
        "q": _p("column", "q"),
        "ranked": _p("column", "ranked"),
        "rate": _p("column", "rate"),
        "ratio": _p("column", "ratio"),
        "sd": _p("column", "sd"),
        "state": _p("column", "state"),
        "streak": _p("column", "streak"),
        "superiority": _p("column", "superiority"),
        "tasks": _p("column", "tasks"),
        "ticks": _p("column", "ticks"),
        "to": _p("column", "to"),
        "took": _p("column", "took"),
        "trailing 28": _p("column", "trailing 28"),
        "trailing 7": _p("column", "trailing 7"),
        "trailing median": _p("column", "trailing median"),
        "unit": _p("column", "unit"),
        "value": _p("column", "value"),
        "waiting": _p("column", "waiting"),
        "wake": _p("column", "wake"),
        "word": _p("column", "word"),
        "work": _p("column", "work"),
    }
