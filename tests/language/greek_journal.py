"""A journal whose own words are Greek, with everything that forms show, and the words of an answer that are not from
the catalogue."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import msgspec

import journal
from tests.language.test_moved_parts import PAGE, SETTINGS, TODAY, foreign

MORE = """
[prompts]
week = ["α;"]
month = ["β;"]
year = ["γ;"]
[lines]
stop_words = []
[[habits]]
key = "ο"
name = "Οθόνη"
every = "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30"
from = 2025-02-01
target = 30
unit = "λ"
aim = "at most"
[[rests]]
from = 2025-03-10
until = 2025-03-16
habits = ["τ"]
reason = "γ"
[[trials]]
key = "α"
question = "Βοηθά;"
habit = "π"
outcome = "mood"
from = 2025-03-10
days = 24
seed = 4711
looked = [2025-03-11]
[[trials]]
key = "β"
question = "Μετά;"
habit = "τ"
outcome = "sleep"
lag = 1
from = 2025-04-10
days = 24
seed = 4711
"""


def build(folder: Path) -> journal.Journal:
    """Twelve days of marks, a page of today, and a task without a day."""
    folder.mkdir()
    (folder / "journal.toml").write_text(SETTINGS + MORE, encoding="utf-8")
    (folder / "2025-03-13.toml").write_text(PAGE, encoding="utf-8")
    for number in range(1, 13):
        marks = f'mood = 4\n[habits]\n"π" = {str(number % 2 == 0).lower()}\n"δ" = {number + 4}\n'
        (folder / f"2025-03-{number:02}.toml").write_text(marks, encoding="utf-8")
    (folder / "undated.toml").write_text('[[tasks]]\ntitle = "Ράφι"\nid = "u2p5"\n', encoding="utf-8")
    return journal.open(folder, today=TODAY, cache=False)


NOT_SHOWN = {"base", "undo", "key", "value", "values", "ref", "control", "default", "schedule", "blank_schedule",
             "path", "kind", "what", "when", "aim", "rule", "colour", "colours", "unit", "picture"}  # fmt: skip
"""The keys of an offer that hold values of files, packed pages and names for the program."""

KNOWN = {"Deutsch", "English", "Europe", "Ljubljana", "format", "rests", "reflection"}
"""The names of languages, each in its own, an example of a time zone, and keys of files."""


def texts(value: Any) -> Iterator[str]:
    """The texts of an offer or an answer that may be shown. A single word in small letters is a name of the program
    or an id."""
    value = msgspec.to_builtins(value)
    if isinstance(value, Mapping):
        for name, part in value.items():
            if name not in NOT_SHOWN:
                yield from texts(part)
    elif isinstance(value, list | tuple):
        for part in value:
            yield from texts(part)
    elif isinstance(value, str) and not re.fullmatch(r"[a-z0-9_.]+", value):
        yield value


def strange(value: Any) -> list[str]:
    """The words of an offer or an answer that are not from the catalogue, in the language of accents."""
    return [word for text in texts(value) for word in foreign(text) if word not in KNOWN]


def told(*results: Any) -> list[str]:
    """The messages of answers that each refuse something."""
    messages = [[one["message"] for one in msgspec.to_builtins(result)["problems"]] for result in results]
    assert all(messages), messages
    return [message for of_result in messages for message in of_result]
