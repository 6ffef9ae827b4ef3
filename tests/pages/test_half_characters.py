"""Half a character from a page, in any place of what it sends: an answer that can be sent, and nothing is lost."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec

from journal.errors import JournalError
from journal.evening import month_fill
from journal.pages import day_endpoints, form_endpoints
from journal.pages.forms import sendable
from tests.evening.evenings import DAY, NOW, entered, offered, opened, written
from tests.planning.days import shown

HALF = "x\ud800"
PAGE = {"mood": 3, "notes": ["Ask."], "tasks": [{"title": "Quote"}], "appointments": [{"title": "Merchant"}]}
EDITS = [
    {"what": "line", "list": "notes", "text": "Ask."},
    {"what": "quote", "text": "Slowly.", "by": "Aldus"},
    {"what": "habit", "key": "walk", "mark": "rest"},
    {"what": "task", "ref": "Quote", "title": "Quote, first page"},
    {"what": "move", "ref": "Quote", "to": "2025-03-20"},
    {"what": "appointment", "ref": None, "title": "Delivery", "start": "09:00", "end": "10:00"},
    {"what": "fields", "weather": {"sky": "fog"}},
    {"what": "hours", "planned": {"sleep": ["00:00-07:00"]}},
    {"what": "take in", "ref": "undated/Jig"},
]


def places(value: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every text in a value, by its path."""
    if isinstance(value, str):
        yield at
    for name, part in value.items() if isinstance(value, dict) else enumerate(value if isinstance(value, list) else ()):
        yield from places(part, (*at, name))


def put(value: Any, at: tuple[Any, ...]) -> Any:
    changed = inner = copy.deepcopy(value)
    for name in at[:-1]:
        inner = inner[name]
    inner[at[-1]] = HALF
    return changed


def test_half_a_character_anywhere_is_answered(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: PAGE}, '[[tasks]]\ntitle = "Jig"\n')
    evening, day = offered(folder), shown(folder)
    month = month_fill.month(opened(folder), "2025-03")
    whole = entered(
        evening, memory="Sewn.", gratitude=["Bread."], habits={"walk": "rest"}, challenges={"letters": "2025-03-13"},
        appointments=[{"ref": None, "title": "Merchant", "start": "08:30"}],
        tomorrow={"weather": {"sky": "fog"}, "set_aside": [{"title": "Sew"}],
                  "tasks": [{"ref": None, "title": "Fold", "from": "new"}]},
    )  # fmt: skip
    answers = form_endpoints.answers(lambda: opened(folder), lambda: NOW)
    edits = day_endpoints.day_answers(lambda: opened(folder), lambda: NOW, lambda _: None)
    asked = [(answers["save"], whole), (answers["fit"], whole["tomorrow"] | {"day": str(DAY)})]
    asked += [(answers["day"], {"day": "2025-03-12"}), (answers["month"], {"month": "2025-03"})]
    asked.append((answers["save_month"], {"base": month.base, "marks": {"walk": {"2025-03-12": "rest"}}}))
    asked += [(edits["edit"], {"base": day["base"], "day": day["day"], "edit": edit}) for edit in EDITS]
    asked.append((edits["undo"], {"undo": "x", "day": str(DAY)}))
    before = {path: path.read_bytes() for path in folder.rglob("*.toml")}
    count = 0
    for answer, sent in asked:
        for at in places(sent):
            count += 1
            try:
                answered = answer(put(sent, at))
            except JournalError as error:
                answered = {"failed": str(error)}
            msgspec.json.encode(sendable(answered))
            written_now = {path: path.read_bytes() for path in folder.rglob("*.toml") if ".history" not in path.parts}
            assert written_now == before or answered["answer"]["saved"], (at, answered)
            for path in written_now.keys() - before.keys():
                path.unlink()
            for path, data in before.items():
                path.write_bytes(data)
    assert count > 80
