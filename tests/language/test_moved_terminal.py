"""What a terminal shows, looked through in the tests' language of accents, and in German."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import click
import pytest

from journal import cli
from journal.cli import duskbook
from journal.commands import (
    check,
    command_language,
    habit_questions,
    import_files,
    man_page,
    page_history,
    table_words,
)
from journal.commands.show_catalogue import FORMATS, MEASURES
from journal.entry import Status
from journal.folder.history_records import PageWriter
from journal.language.languages import GERMAN, LANGUAGES
from journal.language.spoken import speaking
from journal.settings import WEEKDAYS
from journal.sun.rise_set import SunState
from tests.cli.conftest import Typed, small_journal, typed
from tests.cli.test_usage_errors import WRONG
from tests.language.test_moved_parts import PAGE, PSEUDO, SETTINGS, foreign

__all__ = ["small_journal", "typed"]  # fixtures

TODAY = "2025-03-13"
OWN = {"duskbook", "mood", *duskbook.list_commands(click.Context(duskbook)), *MEASURES}
"""What is English in every language: the program, its commands and measures, and keys of files."""


def not_from_the_catalogue(text: str, *own: str) -> list[str]:
    """The foreign words of a text that are no option, file or command."""
    shown = re.sub(r"--?[a-z][a-z-]*|[\w./-]+\.(?:toml|ics|tar|md|1)\b", "", text)
    return [word for word in foreign(shown) if word not in OWN and word not in own]


@pytest.fixture
def accented_words(typed: Typed, monkeypatch: pytest.MonkeyPatch) -> Typed:
    """Run a command line where English is the language of accents, with and without a journal."""
    monkeypatch.setenv("LC_ALL", "en_GB.UTF-8")
    monkeypatch.setitem(LANGUAGES, "en", PSEUDO)
    monkeypatch.setitem(LANGUAGES, PSEUDO.code, PSEUDO)
    monkeypatch.setattr(command_language, "ENGLISH", PSEUDO)
    return typed


@pytest.fixture
def greek(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A journal whose own words are Greek."""
    folder = tmp_path / "νήμα"
    folder.mkdir()
    (folder / "journal.toml").write_text(f'language = "en"\n{SETTINGS}', encoding="utf-8")
    (folder / "2025-03-13.toml").write_text(PAGE, encoding="utf-8")
    (folder / "2025-03-12.toml").write_text('mood = 4\n[habits]\n"π" = true\n', encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return Path(folder.name)


def every_command() -> Iterator[list[str]]:
    yield []
    yield from (name.split() for name, _command in man_page.each(duskbook))
    yield from (["export"], ["import"], ["trial"])


def test_the_help_of_every_command_is_from_the_catalogue(accented_words: Typed) -> None:
    names = {word for command in every_command() for word in command}
    for command in every_command():
        result = accented_words(*command, "--help")
        shown = result.output.partition(f"  {cli.MANUAL}")[0]
        assert (result.exit_code, not_from_the_catalogue(shown, *names)) == (0, []), command


OF_PERIODS = ("there is no day", "there is no year", "there is no period")
"""What is said of a day that was mistyped, before the commands."""


def test_errors_of_usage_are_from_the_catalogue(
    accented_words: Typed, small_journal: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (small_journal.parent / "empty").mkdir()
    monkeypatch.chdir(small_journal.parent)
    codes = {by for measure in MEASURES.values() for by in measure.by} | {*FORMATS, "parquet", "planned", "small"}
    for line in (line for line, said in WRONG.items() if not any(of in said for of in OF_PERIODS)):
        said = accented_words(*line.split()).stderr
        assert not_from_the_catalogue(said, *codes, *re.findall(r"[a-z]+", line)) == [], said


def answers(typed: Typed, greek: Path) -> dict[str, str]:
    """What some of each group of commands prints of a Greek journal."""
    lines: dict[str, list[str | Path]] = {
        "log": ["log", greek, "--date", TODAY, "--habit", "π", "--habit", "δ=24", "--habit", "κ=rest", "--mood", "4",
                "--note", "Ωω", "--task", "Κόλλα=45", "--hours", "υ=22:00-23:00", "--memory", "Χιόνι", "--share"],
        "log again": ["log", greek, "--date", TODAY, "--habit", "π"],
        "log no habit": ["log", greek, "--habit", "ξ"],
        "log no task": ["log", greek, "--date", TODAY, "--task", "ξ=45"],
        "log a span": ["log", greek, "--date", TODAY, "--hours", "υ=22:30-22:40"],
        "check": ["check", greek],
        "history": ["history", greek, "2025-03-01"],
        "trial": ["trial", "list", greek],
        "trial stop": ["trial", "stop", "ξ", greek],
        "backup": ["backup", "b.tar", greek],
        "restore": ["restore", "b.tar", "νέο"],
        "merge": ["merge", greek],
        "export": ["export", "calendar", greek, "--year", "2025"],
        "upgrade": ["upgrade", greek],
        **{f"show {measure}": ["show", measure, greek, "--today", TODAY]
           for measure in MEASURES if measure not in ("changes", "findings")},
        "show weekdays": ["show", "mood", greek, "--by", "weekday"],
    }  # fmt: skip
    return {name: typed(*line).output for name, line in lines.items()}


def test_what_commands_print_is_from_the_catalogue(
    accented_words: Typed, greek: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, said in answers(accented_words, greek).items():
        assert not_from_the_catalogue(said, "kB", "bytes") == [], (name, said)
    monkeypatch.setattr(check, "verdict", lambda journal, problems: "No problems in 2 pages.")
    assert not_from_the_catalogue(accented_words("check", greek).output) == ["No", "problems", "in", "pages"]


def test_what_commands_print_of_other_packages_is_from_the_catalogue(accented_words: Typed, greek: Path) -> None:
    (greek / "2025-03-13 (1).toml").write_text("mood = 3\n", encoding="utf-8")
    Path("x.csv").write_text("date,mood,ξ\n2025-03-11,4,x\n2025-03-12,9,y\n2025-03-13,ψ,y\n", encoding="utf-8")
    lines: list[list[str | Path]] = [
        ["check", greek], ["merge", greek], ["merge", greek, "--keep", "page", "--yes"],
        ["import", "spreadsheet", "x.csv", greek],
        ["import", "spreadsheet", "x.csv", greek, "--column", "ξ=-", "--yes"],
        ["import", "calendar", "x.csv", greek], ["history", greek], ["history", greek, "2025-03-13"],
        ["history", greek, "2025-03-13", "--bring-back", "2", "--yes"],
        ["trial", "make", greek], ["trial", "make", greek, "--habit", "π", "--yes"], ["trial", "list", greek],
        ["show", "findings", greek, "--today", TODAY], ["show", "rates", greek, "--from", "ξ"],
        ["log", greek, "--picture", "x.csv"], ["log", greek, "--hours", "υ=7-8"],
        ["backup", "b.tar", greek], ["backup", greek / "b.tar", greek], ["restore", "x.csv", "νέο"],
        ["read", "x.csv", greek], ["export", "text", greek], ["export", "pages", greek], ["start", greek, "--yes"],
    ]  # fmt: skip
    for line in lines:
        said = re.sub(r"[\w./-]+\.(?:csv|pdf)\b|/[\w/.-]+", "", accented_words(*line).output)
        assert not_from_the_catalogue(said, "date", "csv", "tar", "text") == [], (line, said)


def test_the_questions_of_start_are_from_the_catalogue(
    accented_words: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("TZ", "Europe/Ljubljana")
    lines = ["", "Τίτλος", "Αθήνα", "", "", "ω", "", "ω", "", "ω", "", "ω", "", "ω", "",
             "Περπάτημα", "ω", "3", "2 a week", "ω", "", ""]  # fmt: skip
    result = accented_words("start", "νέο", answers="\n".join(lines) + "\n")
    assert result.exit_code == 0, result.output
    kept = ("English", "Deutsch", "Europe", "Ljubljana", "en", "FREQ", "YEARLY")
    assert not_from_the_catalogue(result.output, *kept) == []
    text = (tmp_path / "νέο" / "journal.toml").read_text(encoding="utf-8")
    words = re.findall(r"(?m)# (?!(?:# )?(?:\[|\w+ = ))(.*)$|^(?:# )?(?:name|title|reason) = \"(.*)\"", text)
    assert len(words) > 60
    codes = ("en", "de", "XA", "schema", "journal", "json")
    assert not_from_the_catalogue(" ".join(a + " " + b for a, b in words), *codes, "Ljubljana", "Europe") == []


def in_german(folder: Path) -> Path:
    path = folder / "journal.toml"
    path.write_text(f'language = "de"\n{path.read_text(encoding="utf-8")}', encoding="utf-8")
    return folder


GERMAN_SAID = {
    "log {j} --date 2025-03-15 --habit walk --habit read=24.5 --habit swim=rest --note Regen --note Wind":
        "In 2025/2025-03-15.toml gespeichert: walk getan (7. Mal in Folge); read 24,5 pages (7. Mal in Folge); "
        "swim ruht (Serie von 1 Woche bleibt); 2 Notizen\n",
    "log {j} --date 2025-03-15 --habit walk": "in 2025/2025-03-15.toml steht schon alles davon\n",
    "log {j} --date 2025-03-15 --task Leim=lang": "duskbook: --task Leim=lang: am 2025-03-15 steht keine Aufgabe; "
        'nimm sie mit --add-task "Leim" auf\n',
    "log {j} --habit wlak": "duskbook: es gibt keine Gewohnheit „wlak“; meintest du „walk“?\n",
    "log {j} --date": "duskbook: --date braucht einen Wert; schreib z.\xa0B. „--date 2025-03-14“\n",
    "log {j} --habit": "duskbook: die Option --habit braucht einen Wert; "
        "„duskbook --help“ zeigt, was zu schreiben ist\n",
    "check {j}": "Keine Fehler in 13 Seiten.\n",
    "check {j} {j}": "duskbook: ein Argument zu viel ({j}); „duskbook check --help“ zeigt, was zu schreiben ist\n",
    "history {j} 2025-03-03 --show 0": "duskbook: --show: „0“ ist keine ganze Zahl ab 1; schreib z.\xa0B. „1“\n",
    "show rates {j} --by day": "duskbook: rates gibt es nicht nach „day“; schreib --by all, week, month oder year\n",
    "show lots {j} --format csv": "trial,date,arm,done,outcome,outcome_date,is_on,pair,block,state\n",
    "show mood {j} --today 2025-03-09 --by weekday":
        "Zeitraum    n  Tage  Mittel  Median  Streuung\n"
        "Montag      1     1    4,00    4,00         -\n"
        "Dienstag    1     1    5,00    5,00         -\n"
        "Mittwoch    1     1    1,00    1,00         -\n"
        "Donnerstag  1     1    2,00    2,00         -\n"
        "Freitag     1     1    3,00    3,00         -\n"
        "Samstag     0     1       -       -         -\n"
        "Sonntag     1     1    5,00    5,00         -\n",
}  # fmt: skip


def test_a_german_journal_is_answered_in_german(typed: Typed, small_journal: Path) -> None:
    folder = in_german(small_journal)
    for line, said in GERMAN_SAID.items():
        result = typed(*line.format(j=folder).split())
        assert result.output == said.format(j=folder), line


def test_a_yes_may_be_german_or_english(typed: Typed, small_journal: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(import_files, "is_terminal", lambda: True)
    folder = in_german(small_journal)
    table = folder.parent / "tage.csv"
    for day, answer, is_written in (
        (20, "vielleicht\nj", True),
        (21, "Ja", True),
        (22, "yes", True),
        (23, "nein", False),
    ):
        table.write_text(f"date,mood\n2025-03-{day},4\n", encoding="utf-8")
        result = typed("import", "spreadsheet", table, folder, answers=f"{answer}\n")
        assert ("1 Seite schreiben? [j/N]: " in result.output) and ("Fehler: schreib j oder n" in result.output) == (
            day == 20
        )
        assert (folder / "2025" / f"2025-03-{day}.toml").exists() == is_written


def test_the_language_of_help_is_that_of_the_journal_that_applies(
    typed: Typed, small_journal: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, usage = in_german(small_journal), "Aufruf: duskbook show [OPTIONEN] AUSWERTUNG [ORDNER]"
    monkeypatch.chdir(tmp_path)
    assert typed("show", "--help").output.startswith("Usage: duskbook show [OPTIONS] MEASURE [FOLDER]")
    assert typed("show", "mood", folder, "--help").output.startswith(usage)
    monkeypatch.setenv("DUSKBOOK_FOLDER", str(folder))
    assert typed("show", "--help").output.startswith(usage)
    monkeypatch.delenv("DUSKBOOK_FOLDER")
    monkeypatch.chdir(folder)
    assert typed("show", "--help").output.startswith(usage)
    assert typed("start", "--help").output.startswith("Usage:"), "start speaks the language of the system"
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    monkeypatch.chdir(tmp_path)
    assert typed("start", "--help").output.startswith("Aufruf:")
    assert typed("show", "--help").output.startswith("Usage:")


ANSWERS = [
    ("jeden Tag|täglich|an jedem Tag", "FREQ=DAILY"),
    ("alle 3 Tage|alle drei Tage|jeden dritten Tag|jeden 3. Tag", "FREQ=DAILY;INTERVAL=3"),
    ("jede Woche|wöchentlich", "FREQ=WEEKLY"),
    ("alle zwei Wochen|jede zweite Woche", "FREQ=WEEKLY;INTERVAL=2"),
    ("jeden zweiten Freitag|alle zwei Wochen am Freitag|alle 2 Wochen freitags", "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"),
    ("mo mi fr|Mo, Mi, Fr|montags, mittwochs und freitags", "FREQ=WEEKLY;BYDAY=MO,WE,FR"),
    ("mo-fr|Montag bis Freitag|wochentags|unter der Woche", "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR"),
    ("di do|dienstags und donnerstags", "FREQ=WEEKLY;BYDAY=TU,TH"),
    ("am Wochenende|sa so", "FREQ=WEEKLY;BYDAY=SA,SU"),
    ("am 1.|am ersten|jeden 1. im Monat|am 1. des Monats", "FREQ=MONTHLY;BYMONTHDAY=1"),
    ("am 1. und 15.|am 1. und am 15.", "FREQ=MONTHLY;BYMONTHDAY=1,15"),
    ("am letzten Tag|am letzten Tag des Monats", "FREQ=MONTHLY;BYMONTHDAY=-1"),
    ("letzter Freitag|am letzten Freitag im Monat", "FREQ=MONTHLY;BYDAY=-1FR"),
    ("every other friday", "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"),
]  # fmt: skip
QUOTAS = [
    ("3 pro Woche|dreimal die Woche|3-mal in der Woche|3x pro Woche|3 mal je Woche|3 Tage pro Woche", 3, "week"),
    ("einmal im Monat|1 pro Monat", 1, "month"),
]
REMEDIES = {
    "mo mi blau": "mo mi fr", "jedem zweitn Freitag": "jedem zweiten freitag", "monatlich": "einmal im Monat",
    "dreimal": "3 pro Woche", "zweimal am Tag": "jeden Tag", "am 32.": "am letzten Tag", "8 pro Woche": "3 pro Woche",
    "6. Freitag": "letzter Freitag", "jeden dritten Freitag": "alle 3 Wochen am Freitag",
}  # fmt: skip


def test_german_answers_say_when_and_how_much() -> None:
    with speaking(GERMAN):
        for answers_, rule in ANSWERS:
            for answer in answers_.split("|"):
                assert habit_questions.when(answer) == {"every": rule}, answer
        for answers_, times, per in QUOTAS:
            for answer in answers_.split("|"):
                assert habit_questions.when(answer) == {"times": times, "per": per}, answer
        for answer, works in REMEDIES.items():
            with pytest.raises(ValueError, match=f"„{works}“"):
                habit_questions.when(answer)
            assert habit_questions.when(works)
        assert habit_questions.how_much("höchstens 2,5 Tassen") == {"target": 2.5, "unit": "Tassen", "aim": "at most"}


def test_a_german_start_asks_and_writes_german(typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    monkeypatch.setenv("TZ", "Europe/Berlin")
    answers = ["", "", "", "", "52,52", "", "Sonntag", "", "", "Gehen", "", "", "Lesen", "mo mi", "20 Seiten", ""]
    result = typed("start", tmp_path / "neu", answers="\n".join(answers) + "\n")
    assert result.exit_code == 0, result.output
    assert "Titel [Mein Journal]: " in result.output and "Breite, Grad Nord [52,5]: " in result.output
    text = (tmp_path / "neu" / "journal.toml").read_text(encoding="utf-8")
    assert "# Die Einstellungen dieses Journals. Ändere, was du magst; „duskbook check“" in text
    assert max(map(len, text.splitlines())) <= 120
    written = tomllib.loads(text)
    assert (written["title"], written["language"], written["week_starts"]) == ("Mein Journal", "de", "sunday")
    assert written["places"][0]["latitude"] == 52.52
    assert [category["name"] for category in written["categories"]] == ["Schlaf", "Arbeit", "Zuhause", "Menschen"]
    assert [habit["name"] for habit in written["habits"]] == ["Gehen", "Lesen"]
    assert "keinen Tag haben" in (tmp_path / "neu" / "undated.toml").read_text(encoding="utf-8")
    assert typed("check", tmp_path / "neu").output == "Keine Fehler in 0 Seiten.\n"


def test_the_codes_of_tables_are_those_of_the_journal() -> None:
    """They are written out where no library may be imported."""
    assert table_words.CODES["status"] == get_args(Status)
    assert table_words.CODES["state"] == get_args(SunState)
    assert table_words.CODES["by"] == get_args(PageWriter)
    assert table_words.CODES["period"][:-1] == WEEKDAYS
    assert [key for key in page_history.KEYS if key not in ("added", "removed")] == list(table_words.HISTORY_HEADS)
