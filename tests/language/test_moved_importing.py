"""Texts of imports: all of them are in the catalogue. Tables in English and German are read, whatever is spoken."""

from __future__ import annotations

import datetime as dt
from functools import partial
from pathlib import Path

import pytest

from journal.folder import reading
from journal.importing import calendar, planning, spreadsheet
from journal.importing.model import ImportedValue, ImportedValues
from journal.language.languages import ENGLISH, LANGUAGES, Language
from journal.language.spoken import speaking
from journal.settings import Settings
from tests import journals
from tests.importing.tables import NOW, TODAY, by_day, journal_in, planned, read_values
from tests.language.test_moved_data import problem_texts, told, unknown_words
from tests.language.test_moved_parts import PSEUDO

GERMAN = LANGUAGES["de"]

DAYS = """date,mood,energy,walk,read,letters,memory,high,Unknown,,gratitude,mood
2025-03-03,5,,maybe,many,perhaps,,warm,x,y,,
soon,3,,,,,,,,,,
3.3.20,3,,,,,,,,,,
2025-03-03,3,,,,,,,,,,
2025-03-04,4,4,yes,20,yes,Frost,3,,,Bread,,one more
2025-03-20,4,,,,,,,,,,
2025-03-06,"4
"""
TABLES = {
    "tasks": "date,title,status,rank,since\n2025-03-03,,open,,\n2025-03-04,A,begun,,\n2025-03-05,A,open,1.5,\n"
    "2025-03-06,A,open,1,soon\n",
    "hours": "date,layer,category,start_minute,end_minute\n2025-03-03,actual,sleep,60,30\n"
    "2025-03-03,actual,sleep,x,30\n",
    "marks": "date,habit,mark,mood\n2025-03-03,walk,yes,\n2025-03-03,walk,no,\n",
    "pictures": "date,position,picture,caption\n2025-03-03,99,a.jpg,\n",
    "decisions": "period,habit,decision\nsoon,walk,keep\n",
}
REFUSED: tuple[tuple[str | bytes, tuple[str, ...]], ...] = (
    ("", ()), (b"PK\x03\x04", ()), (b"date\n\xff", ()), ("date\n\0", ()), (",\n", ()), ("mood\n3\n", ()),
    ("date,b\n,\n", ()),
    ("date\n2025-03-03\n", ()), ("date,mood\n3/4/2025,3\n", ()), ("date,mood\n31/1/2025,3\n1/31/2025,3\n", ()),
    ("date,mood\n", ("mood",)), ("date,mood\n", ("Laune=mood",)), ("date,mood\n", ("mood=laune",)),
    (TABLES["marks"], ("mood=laune",)), ("date," * 501 + "\n", ()), ("date,note\n" + '1,"a\n2,"b"c\n' * 101, ()),
)  # fmt: skip


def said(folder: Path) -> list[str]:
    """What is said of tables and calendars that can be read in part, or not at all."""
    around = folder.parent
    texts = [told(partial(read_values, folder, text, *columns)) for text, columns in REFUSED]
    texts += [
        told(partial(spreadsheet.read, path, reading.read_settings(folder), today=TODAY))
        for path in (around / "day.csv", around / "none" / "none.csv", around)
    ]
    plans = [planned(folder, DAYS), *(planned(folder, text, name=f"{name}.csv") for name, text in TABLES.items())]
    page = {
        "mood": 3, "energy": {}, "weather": 3, "gratitude": "x", "appointments": 3, "pictures": ["a.jpg"],
        "tasks": [{"title": "α", "status": "done"}, {"title": "β"}], "captions": {"a.jpg": "γ"},
        "hours": {"actual": {"sleep": ["00:00-06:00"]}},
    }  # fmt: skip
    journal_in(around / "other", {dt.date(2025, 3, 4): page})
    tables = (
        "date,mood,high,gratitude\n2025-03-04,4,3,Bread\n",
        "date,title,status,took\n2025-03-04,α,dropped,5\n",
        "date,title,start_minute,end_minute\n2025-03-04,δ,60,90\n",
        "date,layer,category,start_minute,end_minute\n2025-03-04,actual,sleep,60,90\n",
        "date,position,picture,caption\n2025-03-04,0,b.jpg,δ\n",
    )
    plans += [planned(around / "other", text) for text in tables]
    gone = ImportedValue(key="2025-03-04", path=("tasks", "t7k2", "took"), value=3)
    known = reading.read_settings(folder).known
    plans.append(planning.plan(around / "other", ImportedValues("t.csv", [gone], []), known, now=NOW))
    (around / "α.ics").write_text("BEGIN")
    settings = Settings(title="α", places=())
    texts.append(told(lambda: calendar.read(around / "α.ics", [], {}, settings)))
    texts.append(told(lambda: calendar.read(around / "α.ics", [TODAY] * 4000, {}, settings)))
    kept = [text.partition(": ")[2] for plan in plans for text in plan.kept]
    assert len(kept) > 8
    return [*texts, *kept, *(text for plan in plans for text in problem_texts(plan.problems))]


KEYS = {"mood", "energy", "weather", "high", "gratitude", "tasks", "appointments", "hours", "actual", "pictures", "jpg",
        "status", "took", "walk", "read", "csv", "marks", "day", "first", "dates", "xFF"}  # fmt: skip
"""Keys of pages and options that stand without quotes in a sentence."""


def test_what_is_said_is_from_the_catalogue(tmp_path: Path) -> None:
    with speaking(PSEUDO):
        texts = said(journal_in(tmp_path / "journal"))
    assert len(set(texts)) > 60
    assert [(word, text) for text in texts for word in unknown_words(text) if word not in KEYS] == []


@pytest.mark.parametrize("language", [ENGLISH, GERMAN], ids=["en", "de"])
def test_a_table_with_german_words_is_read_in_either_language(tmp_path: Path, language: Language) -> None:
    folder = journal_in(tmp_path / "journal")
    table = (
        "Datum;Stimmung;Himmel;Gutes;Gutes 2;Notiz;Erinnerung;walk;read;letters\n"
        "3. März 2025;3,5;Regen;Brot;Licht;Leim kaufen;Frost;ja;20;WAHR\n"
        "4. Mai 2025;;;;;;;Ruhe;;\n"
        "Freitag, 7. März 2025;;;;;;;nein;Ruhe;nein\n"
    )
    with speaking(language):
        values = read_values(folder, table)
    assert values.problems == []
    assert by_day(values) == {
        "2025-03-03": {
            "mood": 3.5, "weather.sky": "Regen", "gratitude": ["Brot", "Licht"], "notes": ["Leim kaufen"],
            "memory": "Frost", "habits.walk": True, "habits.read": 20, "challenges.letters": True,
        },
        "2025-05-04": {"habits.walk": "rest"},
        "2025-03-07": {"habits.walk": False, "habits.read": "rest", "challenges.letters": False},
    }  # fmt: skip


def test_a_habit_with_the_name_of_a_field_in_another_language_has_its_column(tmp_path: Path) -> None:
    walk = {"key": "strength", "name": "Kraft", "every": "FREQ=DAILY", "from": dt.date(2025, 3, 3)}
    folder = journals.write(tmp_path / "journal", {}, habits=[walk])
    assert by_day(read_values(folder, "date,Kraft\n2025-03-03,yes\n")) == {"2025-03-03": {"habits.strength": True}}


def test_german_sentences(tmp_path: Path) -> None:
    folder = journal_in(tmp_path / "journal", {dt.date(2025, 3, 4): {"mood": 3}})
    with speaking(GERMAN):
        plan = planned(folder, "date,walk,mood\n2025-03-04,vielleicht,4\n")
        missing = told(lambda: read_values(folder, "mood,walk\n3,1\n"))
    assert plan.kept == ["2025-03-04: mood bleibt 3, in der Datei steht 4"]
    assert problem_texts(plan.problems) == [
        "ja, nein oder Ruhe", '"vielleicht"', "schreib eines davon, oder nichts, wo nichts notiert wurde",
    ]  # fmt: skip
    assert missing == (
        '„days.csv“ hat unter "mood", "walk" keine Spalte mit Datumsangaben; nenne eine „Datum“, oder schreib z.\xa0B. '
        '--column "mood=date"'
    )
