"""Which words of a message about files are ours. The pages of these tests are English, as those of the tables of
problems are: a word is ours if it is not on the page, and no key or code of a file. Each of ours has accents in the
tests' language.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import msgspec
import pytest

from journal import entry, settings
from journal.errors import JournalError, Problem

_STRUCTS = [
    one
    for module in (entry, settings)
    for one in vars(module).values()
    if isinstance(one, type) and issubclass(one, msgspec.Struct)
]
_KEYS = {part for one in _STRUCTS for field in msgspec.structs.fields(one) for part in field.encode_name.split("_")}
_CODES = {
    "open", "done", "carried", "dropped", "keep", "change", "rest", "drop", "missed", "blank", "breaks", "bridges",
    "cleaned", "true", "false", "week", "month", "usual", "planned", "actual", "at", "least", "most", "are",
}  # fmt: skip
_KNOWN = {
    *_KEYS,
    *_CODES,
    *settings.WEEKDAYS,
    "Duskbook",
    "Europe",
    "Ljubljana",
    *["jpg", "jpeg", "png", "webp", "heic", "heif"],
}
_WORD = re.compile(r"[^\W\d_]+")


def new_folder(above: Path) -> Path:
    """A folder for a journal, with room for files beside it."""
    (folder := above / "journal").mkdir()
    return folder


def ours(text: str, source: str = "") -> list[str]:
    """The words of a text that are neither from the catalogue, nor in the source, nor keys or codes."""
    known = {*_KNOWN, *_WORD.findall(source)}
    words = _WORD.findall(re.sub(r"[\w/.-]*\.(?:toml|ics|json|history|cache)\b", "", text))
    return [word for word in words if re.fullmatch(r"[A-Za-z]{2,}", word) and word not in known and not word.isupper()]


def told(problem: Problem) -> str:
    """The words of a problem, without its place."""
    return f"{problem.expected}|{problem.got}|{problem.remedy}"


def unsaid(problems: list[tuple[Problem, str]]) -> list[tuple[list[str], str]]:
    """The problems with words that are not from the catalogue, or with a remedy that has none, each with its source."""
    words = [(ours(told(problem), source), problem) for problem, source in problems]
    return [(found, told(problem)) for found, problem in words if found or problem.remedy.isascii()]


def raised(*attempts: Callable[[], object]) -> Iterator[str]:
    """What each attempt raises, in the spoken language."""
    for attempt in attempts:
        with pytest.raises((JournalError, ValueError)) as refused:
            attempt()
        yield str(refused.value)
