"""Parts whose texts are all in the catalogue, looked through in a language of accents.

What a journal holds is Greek here, so every Latin word that a moved part shows is a text of ours, and in the tests'
language each of them has accents. A word without is not from the catalogue.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

import journal
from journal.evening import form_build, save_evening
from journal.language.catalogue import accented
from journal.language.languages import ENGLISH
from journal.language.spoken import speaking
from journal.wording import dates, habits, numbers, rules
from tests.evening.evenings import entered

PSEUDO = ENGLISH._replace(
    code="en-XA",
    months=tuple(map(accented, ENGLISH.months)),
    weekdays=tuple(map(accented, ENGLISH.weekdays)),
    ordinal="{number}.",
    accents=True,
)

TODAY = dt.date(2025, 3, 13)
NOW = dt.datetime(2025, 3, 13, 22, tzinfo=dt.UTC)

SETTINGS = """
title = "Νήμα"
[[places]]
key = "home"
name = "Αθήνα"
latitude = 46.05
longitude = 14.51
timezone = "Europe/Ljubljana"
[mood]
words = ["α", "β", "γ", "δ", "ε"]
[energy]
words = ["α", "β", "γ", "δ", "ε"]
[[categories]]
key = "υ"
name = "Ύπνος"
sleep = true
[[habits]]
key = "π"
name = "Περπάτημα"
every = "FREQ=DAILY"
from = 2025-03-01
[[habits]]
key = "δ"
name = "Διάβασμα"
every = "FREQ=DAILY"
from = 2025-03-01
target = 20
unit = "σ"
[[habits]]
key = "κ"
name = "Κολύμπι"
times = 3
per = "week"
from = 2025-03-01
[[habits]]
key = "τ"
name = "Τηλέφωνο"
every = "FREQ=WEEKLY;BYDAY=SU"
from = 2025-03-01
[[challenges]]
key = "γ"
name = "Γράμματα"
from = 2025-03-12
until = 2025-04-10
[[routines]]
title = "Μέτρηση"
every = "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"
from = 2025-02-28
"""

PAGE = """
[habits]
"π" = true
[[tasks]]
title = "Κόλλα"
since = 2025-03-02
estimate = 45
rank = 1
[[tasks]]
title = "Χαρτί"
"""

ALLOWED = {"h", "min", "s", "am", "pm", "toml", "journal", "undated", "habits", "tasks"}
"""Units, and what files and their keys are called."""


@pytest.fixture
def book(tmp_path: Path) -> journal.Journal:
    (tmp_path / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    (tmp_path / "2025-03-13.toml").write_text(PAGE, encoding="utf-8")
    (tmp_path / "2025-03-12.toml").write_text('mood = 4\n[habits]\n"π" = true\n', encoding="utf-8")
    (tmp_path / "undated.toml").write_text('[[tasks]]\ntitle = "Ράφι"\n', encoding="utf-8")
    return journal.open(tmp_path, today=TODAY, cache=False)


SHOWN = {"title", "said", "label", "question", "example", "sentence", "detail", "sun", "overlaps", "message", "name",
         "said_ticked", "said_not", "problems", "unit"}  # fmt: skip
"""The keys of an offer whose texts are shown."""


def shown_texts(value: Any, key: str = "") -> Iterator[str]:
    """The texts of an offer or answer that a page shows."""
    if isinstance(value, dict):
        for name, part in value.items():
            yield from shown_texts(part, key if key == "said" else str(name))
    elif isinstance(value, list):
        for part in value:
            yield from shown_texts(part, key)
    elif isinstance(value, str) and key in SHOWN:
        yield value


def foreign(text: str) -> list[str]:
    """The words of a text that are not from the catalogue: two or more plain Latin letters."""
    words = re.findall(r"[^\W\d_]+", re.sub(r"[\w/.-]+\.toml", "", text))
    return [word for word in words if re.fullmatch(r"[A-Za-z]{2,}", word) and word not in ALLOWED]


def test_the_words_of_dates_rules_and_habits_are_from_the_catalogue() -> None:
    with speaking(PSEUDO):
        texts = [
            dates.day(TODAY, year=True), dates.stretch(TODAY, TODAY + dt.timedelta(days=40)), dates.hours(None),
            numbers.times(6), numbers.of(3, 4, "week"), numbers.listed(["α", "β", "γ"]), habits.in_a_row(3, "month"),
            *(habits.state_word(state) for state in habits.STATES),
            *(rules.words(rule, TODAY) for rule in RULES), rules.quota(3, "week"),
        ]  # fmt: skip
    assert [word for text in texts for word in foreign(text)] == []


RULES = (
    "FREQ=DAILY", "FREQ=DAILY;INTERVAL=3", "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR", "FREQ=WEEKLY;BYDAY=MO,WE,FR;COUNT=4",
    "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", "FREQ=MONTHLY;BYDAY=-1FR", "FREQ=MONTHLY;BYMONTHDAY=1,31,-1,-2",
    "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29", "FREQ=MONTHLY;BYSETPOS=-1;BYDAY=MO,1TU",
    "FREQ=YEARLY;BYWEEKNO=20;BYYEARDAY=3",
    "FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,SU;WKST=SU;UNTIL=20251231", "FREQ=YEARLY;BYMONTH=3,4;BYDAY=1MO,-1MO",
)  # fmt: skip


def test_what_the_evening_offers_and_answers_is_from_the_catalogue(book: journal.Journal) -> None:
    with speaking(PSEUDO):
        offer = msgspec.to_builtins(form_build.offer(book, TODAY))
        late = msgspec.to_builtins(form_build.offer(book, TODAY - dt.timedelta(days=3)))
        refused = msgspec.to_builtins(save_evening.save(book, entered(offer, mood="Πολύ", memory=7), now=NOW))
        saved = msgspec.to_builtins(save_evening.save(book, entered(offer, mood=4), now=NOW))
    assert saved["saved"], saved
    texts = [text for part in (offer, late, refused, saved) for text in shown_texts(part)]
    assert len(texts) > 60
    assert [(word, text) for text in texts for word in foreign(text)] == []


def test_a_word_that_is_not_from_the_catalogue_is_found() -> None:
    assert foreign(f"{accented('Nothing is due.')} by hand 3 min 2025/2025-03-13.toml") == ["by", "hand"]
    assert [*shown_texts({"said": {"none": "a b"}, "key": "walk", "tasks": [{"title": "Ράφι"}]})] == ["a b", "Ράφι"]


def test_two_fifths_longer() -> None:
    assert len(accented("Nothing is due on that day.")) > 1.3 * len("Nothing is due on that day.")
