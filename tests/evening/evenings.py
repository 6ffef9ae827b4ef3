"""Evenings for tests: small journals as files, and the values a person enters on their pages."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import msgspec

import journal
from journal.evening import save_evening
from journal.evening.form_build import offer
from journal.fields import nested
from journal.saving.save_pages import SaveResult
from tests import journals

DAY = dt.date(2025, 3, 13)  # a Thursday
NEXT = dt.date(2025, 3, 14)
NOW = dt.datetime(2025, 3, 13, 21, 4, tzinfo=dt.UTC)  # 22:04 in Ljubljana

CATEGORIES = [
    {"key": "sleep", "name": "Sleep", "sleep": True},
    {"key": "workshop", "name": "Workshop", "work": True},
    {"key": "music", "name": "Music"},
]
SETTINGS: dict[str, Any] = {
    "categories": CATEGORIES,
    "hours": {
        "usual": {"sleep": ["00:00-06:15", "22:30-24:00"], "workshop": ["09:00-12:30"]},
        "saturday": {"sleep": ["00:00-07:30"]},
    },
    "habits": [
        {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": dt.date(2025, 3, 1)},
        {
            "key": "read",
            "name": "Read",
            "every": "FREQ=DAILY",
            "from": dt.date(2025, 3, 1),
            "target": 20,
            "unit": "pages",
        },
        {"key": "swim", "name": "Swim", "times": 3, "per": "week", "from": dt.date(2025, 3, 3)},
        {"key": "call", "name": "Call home", "every": "FREQ=WEEKLY;BYDAY=SU", "from": dt.date(2025, 3, 1)},
    ],
    "challenges": [
        {
            "key": "letters",
            "name": "Thirty letters",
            "from": dt.date(2025, 3, 1),
            "until": dt.date(2025, 3, 30),
            "prompts": [f"Letter {i}" for i in range(1, 31)],
        }
    ],
    "routines": [
        {"title": "Sweep", "every": "FREQ=WEEKLY;BYDAY=FR", "from": dt.date(2025, 1, 3), "estimate": 30},
        {"title": "Stock count", "every": "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR", "from": dt.date(2025, 1, 3)},
    ],
}


def written(folder: Path, pages: Mapping[dt.date, Mapping[str, Any]] | None = None, undated: str = "") -> Path:
    """A journal with those pages."""
    journals.write(folder, pages or {}, **SETTINGS)
    if undated:
        (folder / "undated.toml").write_text(undated, encoding="utf-8")
    return folder


def opened(folder: Path, today: dt.date = DAY) -> journal.Journal:
    return journal.open(folder, today=today, cache=False)


def offered(folder: Path, day: dt.date = DAY, today: dt.date | None = None) -> dict[str, Any]:
    """The offer of an evening as the page gets it: converted to JSON and back."""
    plain = msgspec.json.decode(msgspec.json.encode(offer(opened(folder, today or day), day)))
    assert isinstance(plain, dict)
    return plain


def sent_fields(offered_fields: Iterable[Mapping[str, Any]]) -> dict[str, Any]:
    """The fields of an offer as the page sends them."""
    return nested({tuple(field["path"]): field["value"] for field in offered_fields})


def value(page: Mapping[str, Any], *path: str) -> Any:
    """The value of a field in an offer."""
    (field_value,) = [field["value"] for field in page["fields"] if field["path"] == list(path)]
    return field_value


def entered(page: Mapping[str, Any], **changed: Any) -> dict[str, Any]:
    """The form that the page sends if only `changed` was touched."""
    what = {"open": "open", "done": "done", "carried": "carry", "dropped": "drop"}
    following = page["tomorrow"]
    whole = {
        "base": page["base"],
        "day": page["day"],
        **sent_fields(page["fields"]),
        "habits": {habit["key"]: habit["mark"] for habit in page["habits"]},
        "challenges": {challenge["key"]: challenge["ticked"] for challenge in page["challenges"]},
        "gratitude": page["gratitude"],
        "memory": page["memory"],
        "share": page["share"],
        "notes": page["notes"],
        "actual": page["actual"],
        "actual_offered": page["actual"],
        "tasks": [
            {"ref": task["ref"], "title": task["title"], "what": what[task["status"]], "took": task["took"]}
            for task in page["tasks"]
        ],
        "tomorrow": {
            **sent_fields(following["fields"]),
            "appointments": [one for one in following["appointments"] if one["from"] == "page"],
            "planned": following["planned"],
            "planned_offered": following["planned"],
            "tasks": [
                {name: task[name] for name in ("ref", "title", "rank", "estimate", "source_ref")} | {"from": "page"}
                for task in following["tasks"]
            ],
        },
    }
    tomorrow = changed.pop("tomorrow", {})
    return whole | changed | {"tomorrow": whole["tomorrow"] | tomorrow}


def saved(folder: Path, raw: Mapping[str, Any], *, day: dt.date = DAY, now: dt.datetime = NOW) -> SaveResult:
    """The answer to a submitted form, converted to JSON and back as in the browser."""
    sent = msgspec.json.decode(msgspec.json.encode(raw))
    return save_evening.save(opened(folder, day), sent, now=now)


def text(folder: Path, day: dt.date) -> str:
    """A day's page, empty if there is none."""
    path = folder / str(day.year) / f"{day}.toml"
    return path.read_text(encoding="utf-8") if path.exists() else ""


def fields(answer: SaveResult) -> dict[str, str]:
    """The problems of an answer, by field."""
    return {trouble.field: trouble.message for trouble in answer.problems}
