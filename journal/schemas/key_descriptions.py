"""What each key of a file says, from the manual's tables of keys (`journal/manual/folder.md`).

The tables have a row for every key (a test holds this), so an editor shows the same words as the manual.
"""

from __future__ import annotations

import inspect
import re
from functools import cache
from pathlib import Path
from typing import NamedTuple

import msgspec

from journal.entry import (
    Answer,
    Appointment,
    DecisionDates,
    Entry,
    Hours,
    Review,
    Task,
    UndatedTask,
    Weather,
)
from journal.fields import fields_of
from journal.settings import (
    Category,
    Challenge,
    DaySettings,
    Habit,
    LineSettings,
    Place,
    Prompts,
    Rest,
    Routine,
    Scale,
    Settings,
    Trial,
)

SOURCE = Path(__file__).parents[1] / "manual" / "folder.md"

SECTIONS: dict[type[msgspec.Struct], str] = {
    Entry: "A day",
    Weather: "[weather]",
    Hours: "[hours]",
    Appointment: "[[appointments]]",
    Task: "[[tasks]]",
    Review: "A week, a month, a year",
    Answer: "[[reflection]]",
    DecisionDates: "[decision_dates]",
    UndatedTask: "Undated tasks",
    Settings: "Settings",
    Place: "[[places]]",
    DaySettings: "[day]",
    Scale: "[mood]",
    Category: "[[categories]]",
    Habit: "[[habits]]",
    Challenge: "[[challenges]]",
    Rest: "[[rests]]",
    Trial: "[[trials]]",
    Routine: "[[routines]]",
    Prompts: "[prompts]",
    LineSettings: "[lines]",
}
"""The section of the manual with the keys of a type."""

_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")
_ELSEWHERE = re.compile(r",? see (?:below|\[.*?\]\([^)]*\))$")


class ManualSection(NamedTuple):
    """A section of the manual: its first paragraph on one line, and the last cell of each row of its table of keys."""

    paragraph: str
    rows: dict[str, str]


def of_keys(page: type[msgspec.Struct]) -> dict[str, str]:
    """Return the description of each key of a type, without what only leads elsewhere in the manual.

    A key without a row has the meaning of its field (`journal.fields`). A key without either is left out.

    >>> of_keys(Task)["took"], of_keys(Entry)["tasks"]
    ('minutes it took', 'a list of tables')
    """
    meanings = {field.name: field.meaning for field in fields_of(page) if len(field.path) == 1 and field.meaning}
    return meanings | _section(page).rows


def of_table(page: type[msgspec.Struct]) -> str:
    """Return the description of a table by its type: the first paragraph of its section, else that of its docstring.

    >>> of_table(Place), of_table(Appointment)
    ('The first place is home. A day spent elsewhere names another one with `place`.',
     'An appointment. Without a start it lasts the whole day.')
    """
    return _section(page).paragraph or " ".join((inspect.getdoc(page) or "").partition("\n\n")[0].split())


def _section(page: type[msgspec.Struct]) -> ManualSection:
    return _sections().get(SECTIONS.get(page, ""), ManualSection("", {}))


@cache
def _sections() -> dict[str, ManualSection]:
    """The sections of the manual by title. Of two with one title, the first."""
    sections: dict[str, ManualSection] = {}
    for part in re.split(r"^###? ", SOURCE.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]:
        title, _, text = part.partition("\n")
        first = text.strip().partition("\n\n")[0]
        paragraph = "" if first.startswith(("|", "```", "-")) else _plain(" ".join(first.split()))
        cells = (
            [cell.strip() for cell in row.strip("|").split(" | ")] for row in text.splitlines() if row[:3] == "| `"
        )
        rows = {key.strip("`"): _plain(words) for key, *_, words in cells}
        sections.setdefault(title.strip("`"), ManualSection(paragraph, rows))
    return sections


def _plain(text: str) -> str:
    return _LINK.sub(r"\1", _ELSEWHERE.sub("", text))
