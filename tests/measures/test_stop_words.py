"""Stop words: the lists, and the language of each line of someone who writes in two."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable

import polars as pl
import pytest

from journal.language.languages import LANGUAGES
from journal.measures import distinctive_words, stop_words
from tests import references

FIRST = dt.date(2025, 3, 1)


def lines_of(texts: Iterable[str]) -> pl.DataFrame:
    rows = [(FIRST + dt.timedelta(days=i), text) for i, text in enumerate(texts)]
    return pl.DataFrame(rows, schema={"date": pl.Date, "text": pl.String}, orient="row")


def words_of(*texts: str, language: str = "en") -> list[str]:
    return distinctive_words.words(lines_of(texts), language=language).get_column("word").to_list()


def test_each_language_of_a_journal_has_a_list() -> None:
    assert set(stop_words.FILES) == set(LANGUAGES)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_list_is_lower_case_and_has_each_word_once(language: str) -> None:
    listed = [word for name in stop_words.FILES[language] for word in stop_words.read(name)]
    assert len(listed) == len(set(listed)) == len(stop_words.stop_words(language)) > 300
    assert all(re.fullmatch("[a-zäöüß]+('[a-z]+)?", word) for word in listed)


def test_the_german_list_is_the_published_one() -> None:
    published = references.named("stop-words", "German stop words")["expected"]["words"]
    assert stop_words.read("stop_words_snowball_german.txt") == published


def test_an_unknown_language_has_no_list_of_its_own() -> None:
    assert stop_words.stop_words("tlh") == frozenset()
    assert words_of("The glue and the press", language="tlh") == ["glue", "press"]


def test_german_lines_lose_their_stop_words() -> None:
    line = "Am Montag war es draußen so ruhig, dass ich die Leimpresse im Hof hören konnte."
    assert words_of(line, language="de") == ["draußen", "ruhig", "leimpresse", "hof", "hören"]
    assert words_of("Dass man’s dem Leim ansieht, wie geht’s?", language="de") == ["leim", "ansieht", "geht"]


def test_a_line_is_read_in_its_own_language() -> None:
    """ "war", "hat" and "die" are words in both languages; only in one of them do they say little."""
    lines = ["The war film with Anna, and a red hat.", "Die Presse war kalt, und der Leim hat gehalten."]
    expected = ["war", "film", "anna", "red", "hat", "presse", "kalt", "leim", "gehalten"]
    assert words_of(*lines, language="en") == words_of(*lines, language="de") == expected


def test_without_a_difference_the_journals_language_decides() -> None:
    assert words_of("War film, rote Presse", language="en") == ["film", "rote", "presse"]  # one stop word of German
    assert words_of("Hat with Leim", language="en") == ["hat", "leim"]
    assert words_of("Hat with Leim", language="de") == ["with", "leim"]
    assert words_of("Leim", language="de") == words_of("Leim") == ["leim"]


def test_words_of_two_languages_stand_out_and_their_function_words_do_not() -> None:
    """A month in German after a year in English: its words come up, not "und" and "der"."""
    english = ["The glue held and the board was flat."] * 40
    german = ["Der Rücken ist rund und der Faden hält.", "Und der Faden ist aus Leinen."] * 6
    recorded = lines_of([*english, *german])
    month = FIRST + dt.timedelta(days=40)
    found = distinctive_words.compared(recorded, first=month, last=month + dt.timedelta(days=11), language="en")
    assert set(found.get_column("word")) == {"rücken", "rund", "faden", "hält", "leinen"}
    assert distinctive_words.standing_out(found).get_column("word").to_list()[0] == "faden"
