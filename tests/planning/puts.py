"""Puts for tests: what the page sends, and what the files hold then."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path
from typing import Any

import msgspec

from journal.planning import task_days, week_ahead
from journal.planning.task_days import PutResult
from journal.saving import take_back
from journal.saving.save_pages import SaveResult
from tests.evening.evenings import opened

TODAY = dt.date(2025, 3, 16)  # a Sunday
NOW = dt.datetime(2025, 3, 16, 17, 5, tzinfo=dt.UTC)  # 18:05 in Ljubljana
PAGES = ("undated", "2025-03-14", "2025-03-16", "2025-03-17", "2025-03-18", "2025-03-21")

TIN = '# Some day.\n[[tasks]]\ntitle = "Sort the tin"   # the blue one\nsince = 2025-01-02\nid = "u2p5"\n\n# The end.\n'


def offered(folder: Path) -> dict[str, Any]:
    plain = msgspec.json.decode(msgspec.json.encode(week_ahead.offer(opened(folder, TODAY))))
    assert isinstance(plain, dict)
    return plain


def put(folder: Path, offer: dict[str, Any], ref: str, to: str) -> PutResult:
    return task_days.put(
        opened(folder, TODAY), {"base": offer["base"], "day": offer["day"], "ref": ref, "to": to}, now=NOW
    )


def undone(folder: Path, undo: object) -> SaveResult:
    return take_back.take_back(opened(folder, TODAY), undo, now=NOW, by="week")


def files(folder: Path) -> dict[str, bytes]:
    """The bytes of all files but the earlier states of pages, and the folders."""
    paths = (path for path in folder.rglob("*") if not {".cache", ".history"} & {*path.parts})
    return {path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else b"" for path in paths}


def tasks(folder: Path, key: str) -> list[dict[str, Any]]:
    path = folder / "undated.toml" if key == "undated" else folder / key[:4] / f"{key}.toml"
    tables = tomllib.loads(path.read_text(encoding="utf-8")).get("tasks", []) if path.exists() else []
    assert isinstance(tables, list)
    return tables


def open_on(folder: Path, title: str) -> list[str]:
    """The pages on which a task is open."""
    return [
        key for key in PAGES for task in tasks(folder, key)
        if task["title"] == title and task.get("status", "open") == "open"
    ]  # fmt: skip
