"""The German texts as a copy editor reads them: one word for one thing, the address, quotes, dashes and spaces."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

import pytest

from tests import catalogues

# An English term, and how a German text has it: stems, as words are inflected and compounded.
TERMS = {
    "actual": "tatsächlich", "appointment": "termin", "backup": "sicher", "by lot": r"\blos|ausgelost",
    "caption": "beschreibung", "category": "bereich", "challenge": "vorhaben", "computer": "rechner", "copy": "kopi",
    "disk": "laufwerk", "due": "fällig", "energy": "kraft", "evening page": "abendseite", "export": "export",
    "file": "datei", "folder": "ordner", "friend": "vertraut", "good thing": "gut", "gratitude": "gut",
    "habit": "gewohnheit", "hour": "stunde", "interval": "intervall", "journal": "journal", "logged": "eingetragen",
    "machine": "rechner", "manual": "handbuch", "median": "median", "memory": "erinner", "mend": "berichtig",
    "mood": "stimmung", "nap": "nickerchen", "open time": "freie zeit", "password": "kennwort", "picture": "bild",
    "problem": "fehler", "prompt": "frage", "rank": "rang", "restore": "wiederher", "review": "rückblick",
    "seed": "startzahl", "settings": "einstellung", "sheet": "bl[aä]tt", "streak": "serie", "task": "aufgabe",
    "tick": "haken|hak", "time off": "auszeit", "time zone": "zeitzone", "trial": "versuch", "undated": "ohne tag",
    "without a day": "ohne tag",
}  # fmt: skip
PLURALS = {"memory": "memories", "copy": "copies", "category": "categories"}

# Where a text has its own word, with the reason.
EXCEPTIONS = {
    ("computer's memory", "memory"): r"Arbeitsspeicher",
    ("how a day resembles the one before", "memory"): r"Gedächtnis von Tag zu Tag",
    ("all habits were named just before", "habit"): r"wenn alle gemeint sind",
    ("a short name of a chapter, whose columns are narrow", "mood"): r"^Was zusammen auftritt$",
    ("a sheet of a spreadsheet is a table", "sheet"): r"Arbeitsmappe",
    ("strokes of a drawing", "tick"): r"Senkrechte Striche",
    ("a name of systems", "file"): r"^Laufwerk schreibgeschützt$",
    ("said of the file that the sentence begins with", "file"): r"^ihre Daten ",
    ("a share of it", "disk"): r"^zugeteilter Speicherplatz",
    ("the key of a page", "picture"): r"\b(in|aus) pictures\b",
    ("the key of a page", "prompt"): r"hat prompts, ",
    ("times of the day", "hour"): r"schreib einen Bereich und Zeiten|ohne Uhrzeit|^Zeit für ",
    ("what is typed is the command", "settings"): r"^(Deinen Ort|Alles Weitere) ",
}

CODE = re.compile(
    r'--?[\w-]+ ?"[^"]*"|--[\w-]+|"[^"]*"|„[^“]*“|“[^”]*”|`[^`]*`|\[+[^\]]*\]+|\{\w+\}'
    r"|\bduskbook [^\n]*|[\w./~-]+\.(?:toml|csv|ics|tar|txt|pdf|md)\b"
)
"""What is not German in a German text: quoted samples, options, fields, commands and files."""

STRAIGHT = (
    "journal/folder/", "journal/entry.py", "journal/cli.py", "journal/commands/log", "journal/importing/headings.py",
    "journal/wording/",
)  # fmt: skip
"""Where straight quotes are those of a file or of a shell."""

HELP = "journal/cli.py"

ENGLISH = "the|and|of|is|you|your|not|with|from|this|day|page|please|ok|okay|Feedback|Tracker|checken|updaten|liken"
"""No German word is spelt so."""


class Text(NamedTuple):
    """A text of the German catalogue."""

    context: str
    english: str
    german: str
    names: tuple[str, ...]


def _texts() -> list[Text]:
    found = []
    for message in catalogues.read("de"):
        if message.id:
            english = message.id if isinstance(message.id, str) else message.id[-1]
            forms = message.string if isinstance(message.string, (tuple, list)) else (message.string,)
            names = tuple(str(name) for name, _line in message.locations)
            found += [Text(message.context or "", english, str(form or ""), names) for form in forms]
    return found


@pytest.fixture(scope="module")
def texts() -> list[Text]:
    return _texts()


def _words(text: str) -> str:
    return CODE.sub(" ", text)


def other_words(texts: Iterable[Text]) -> Iterator[str]:
    """The texts that have another word for a term than the glossary."""
    patterns = {
        term: (
            re.compile(rf"\b(?:{term}s?|{PLURALS.get(term, term)})\b", re.IGNORECASE),
            re.compile(stem, re.IGNORECASE),
        )
        for term, stem in TERMS.items()
    }
    for text in texts:
        if text.context in ("placeholder", "journal.toml"):  # an option's value; comments between English keys
            continue
        english = _words(text.english)
        german = re.sub(r"\{\w+\}", " ", text.german)
        for term, (english_term, german_term) in patterns.items():
            found = english_term.search(english)
            if found is None or german_term.search(german):
                continue
            if text.names[0] == HELP and re.search(rf"\b{found.group()}\b", german):  # a value of an option
                continue
            if not any(term == of and re.search(known, text.german) for (_why, of), known in EXCEPTIONS.items()):
                yield f"{term}: {text.english!r}: {text.german!r}"


def slips(text: Text) -> Iterator[str]:
    """What a copy editor would strike out in a German text."""
    german = text.german
    words = _words(german)
    if re.search(r"\b(?:Sie haben|Ihnen|Ihrer Seite)\b|\b(?:bitte|können|möchten|wollen) Sie\b", words):
        yield "a formal address"
    if "!" in words:
        yield "an exclamation mark"
    if '"' in german and not text.names[0].startswith(STRAIGHT) and text.context != "journal.toml":
        yield "straight quotes"
    if german.count("„") != german.count("“"):
        yield "quotes that do not pair"
    if re.search(r"[”‘’]|“\w", german):
        yield "quotes of another language"
    if "  " in german and "  " not in text.english:
        yield "two spaces"
    if re.search(r"\w - \w|--? ?$", words):
        yield "a hyphen for a dash"
    if re.search(r"z\. ?B\.|u\. a\.", german) and text.context != "journal.toml":
        yield "an abbreviation that may break"
    if re.search(r" [,;:.?](?: |$)", german):
        yield "a space before a mark"
    has_keys = text.names[0] == HELP or text.context == "journal.toml"
    if not has_keys and (found := re.search(rf"(?<![\w=-])(?:{ENGLISH})(?![\w=-])", words)):
        yield f"English: {found.group()}"


def test_each_term_has_one_word(texts: list[Text]) -> None:
    assert list(other_words(texts)) == []


def test_no_text_has_a_slip(texts: list[Text]) -> None:
    assert [f"{slip}: {text.german!r}" for text in texts for slip in slips(text)] == []


def test_the_glossary_of_the_catalogue_has_these_words() -> None:
    header = catalogues.read("de").header_comment
    text = " ".join(line.lstrip("# ") for line in header.partition("Glossary;")[2].splitlines())
    words = dict(entry.split(" = ", 1) for entry in text.partition(": ")[2].split("; "))
    held = {term: word for terms, word in words.items() for term in terms.split(", ") if term in TERMS}
    assert len(held) > 30
    assert [term for term, word in held.items() if not re.search(TERMS[term], word, re.IGNORECASE)] == []


def test_every_exception_is_needed(texts: list[Text]) -> None:
    for (reason, term), known in EXCEPTIONS.items():
        assert any(re.search(known, text.german) for text in texts), (reason, term)


@pytest.mark.parametrize(
    ("german", "slip"),
    [
        ("Haben Sie gut geschlafen, möchten Sie?", "a formal address"), ("Gut gemacht!", "an exclamation mark"),
        ('"Leim" ist leer', "straight quotes"), ("„Leim ist leer", "quotes that do not pair"),
        ("Der  Tag", "two spaces"), ("Leim - fest", "a hyphen for a dash"),
        ("schreib z. B. 4", "an abbreviation that may break"), ("Leim , fest", "a space before a mark"),
        ("Der Tag the Woche", "English: the"), ("„Leim”", "quotes of another language"),
    ],
)  # fmt: skip
def test_a_slip_is_found(german: str, slip: str) -> None:
    assert slip in list(slips(Text("", "A day", german, ("journal/evening/x.py",))))


def test_another_word_is_found() -> None:
    found = other_words([Text("", "No habit, {mood}", "Keine Routine", ("journal/x.py",))])
    assert list(found) == ["habit: 'No habit, {mood}': 'Keine Routine'"]
    kept = Text("", 'write "habit" or --habit', "schreib „habit“", ("journal/x.py",))
    assert list(other_words([kept])) == []
