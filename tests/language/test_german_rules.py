"""Rules of recurrence as German sentences: the days before the end of a month have words of their own."""

from __future__ import annotations

import datetime as dt

import pytest

from journal.language.languages import LANGUAGES
from journal.language.spoken import speaking
from journal.wording import rules


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("FREQ=MONTHLY;BYMONTHDAY=-2", "monatlich am vorletzten Tag"),
        ("FREQ=MONTHLY;BYMONTHDAY=1,-3", "monatlich am 1. und drittletzten Tag"),
        ("FREQ=MONTHLY;BYDAY=-2MO", "Tage an dem vorletzten Montag des Monats"),
        (
            "FREQ=MONTHLY;BYDAY=MO,TU;BYSETPOS=-1",
            "jeden Monat: am letzten der Tage an einem Montag oder einem Dienstag",
        ),
        ("FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13", "jeden Freitag, den 13."),
        ("FREQ=WEEKLY;INTERVAL=2;BYDAY=MO", "jeden zweiten Montag"),
    ],
)
def test_a_rule_in_german(rule: str, said: str) -> None:
    with speaking(LANGUAGES["de"]):
        assert rules.words(rule, dt.date(2025, 3, 3)) == said
