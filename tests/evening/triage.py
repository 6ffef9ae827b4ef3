"""Decisions on tasks for tests: the list, what is sent, and what the pages hold then."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path
from typing import Any

import msgspec

from journal.evening import triage_list, triage_save
from journal.saving.save_pages import SaveResult
from tests.evening.evenings import opened, text

TODAY = dt.date(2025, 3, 16)  # a Sunday
NEXT = dt.date(2025, 3, 17)
NOW = dt.datetime(2025, 3, 16, 17, 5, tzinfo=dt.UTC)  # 18:05 in Ljubljana
MONDAY, FRIDAY, LATER = dt.date(2025, 3, 10), dt.date(2025, 3, 14), dt.date(2025, 3, 20)

QUOTE: dict[str, Any] = {"title": "Quote", "estimate": 45, "since": dt.date(2025, 3, 3), "id": "t7k2"}
BEFORE: dict[dt.date, dict[str, Any]] = {
    MONDAY: {"tasks": [QUOTE | {"status": "carried"}]},
    FRIDAY: {"tasks": [QUOTE | {"status": "carried"}]},
}
TIN = '# Some day.\n[[tasks]]\ntitle = "Sort the tin"\nsince = 2025-01-02\nid = "u2p5"\n'


def offered(folder: Path, today: dt.date = TODAY) -> dict[str, Any]:
    plain = msgspec.json.decode(msgspec.json.encode(triage_list.offer(opened(folder, today))))
    assert isinstance(plain, dict)
    return plain


def decided(folder: Path, offer: dict[str, Any], *decisions: dict[str, Any]) -> SaveResult:
    """The answer to decisions, each for the task whose title is in "of"; through JSON as in the browser."""
    refs = {task["title"]: task["ref"] for task in offer["tasks"]}
    rows = [{"ref": refs[one["of"]]} | {k: v for k, v in one.items() if k != "of"} for one in decisions]
    sent = msgspec.json.decode(msgspec.json.encode({"base": offer["base"], "day": offer["day"], "decisions": rows}))
    return triage_save.decide(opened(folder, TODAY), sent, now=NOW)


def tasks(folder: Path, day: dt.date | None) -> list[dict[str, Any]]:
    """The tasks of a page, or the undated tasks."""
    whole = text(folder, day) if day else (folder / "undated.toml").read_text(encoding="utf-8")
    task_tables = tomllib.loads(whole).get("tasks", [])
    assert isinstance(task_tables, list)
    return task_tables
