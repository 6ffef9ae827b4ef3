"""A small journal for the day's page, and edits sent as the page sends them."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import msgspec

from journal.folder.writing import REMOVE, Base
from journal.planning import day_edits, day_offer
from tests.evening.evenings import opened, written

TODAY = dt.date(2025, 3, 13)  # a Thursday
TOMORROW = dt.date(2025, 3, 14)
NOW = dt.datetime(2025, 3, 13, 11, 20, tzinfo=dt.UTC)  # 12:20 in Ljubljana

PAGE_OF = "2025/2025-03-13.toml"
PAGE = """\
# What Wednesday evening planned.
place = "home"
notes = ["Ask about the grey thread."]

[hours.planned]
sleep = ["00:00-06:15", "22:30-24:00"]   # early
workshop = ["09:00-12:30", "13:30-17:00"]

[[appointments]]
title = "Paper merchant, by phone"
start = "08:30"
end = "09:00"

[[tasks]]
title = "Cook wheat paste"      # the thick one
rank = 1
estimate = 25

[[tasks]]
title = "Quote for the choir folders"
rank = 2
estimate = 45
since = 2025-03-11
id = "t7k2"

[[tasks]]
title = "Post the order to Graz"
"""
TUESDAY = '[[tasks]]\ntitle = "Quote for the choir folders"\nstatus = "carried"\nid = "t7k2"\n'
WEDNESDAY = """\
mood = 3

[habits]
walk = true

[[tasks]]
title = "Fold the menu covers"
estimate = 30
"""
UNDATED = """\
# Some day.
[[tasks]]
title = "Sort the button tin"
estimate = 20
since = 2025-03-02
id = "u2p5"

[[tasks]]
title = "Ask Bojan about a lid"
"""


def journal_at(folder: Path) -> Path:
    """The journal of a Thursday at noon."""
    written(folder, undated=UNDATED)
    (folder / "2025").mkdir()
    for name, text in (("2025-03-11", TUESDAY), ("2025-03-12", WEDNESDAY), ("2025-03-13", PAGE)):
        (folder / "2025" / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


def shown(folder: Path, day: dt.date = TODAY, *, today: dt.date = TODAY, now: dt.datetime = NOW) -> dict[str, Any]:
    """The page of a day as the browser gets it."""
    plain = msgspec.json.decode(msgspec.json.encode(day_offer.offer(opened(folder, today), day, now)))
    assert isinstance(plain, dict)
    return plain


def edited(
    folder: Path,
    edit: dict[str, Any],
    *,
    on: dict[str, Any] | None = None,
    today: dt.date = TODAY,
    resolve: list[dict[str, Any]] | None = None,
) -> day_edits.EditResult:
    """The result of an edit made on a page (today's, unless `on` is another one), through JSON as in the browser."""
    page = shown(folder, today=today) if on is None else on
    raw = {"base": page["base"], "day": page["day"], "edit": edit, "resolve": resolve}
    return day_edits.save(opened(folder, today), msgspec.json.decode(msgspec.json.encode(raw)), now=NOW)


def undone(folder: Path, undo: str, **more: Any) -> day_edits.EditResult:
    """The result of undoing an edit."""
    return day_edits.undo(opened(folder, TODAY), {"undo": undo} | more, now=NOW)


def files(folder: Path) -> dict[str, bytes]:
    """The journal's files, without the cache."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*.toml"))
        if ".cache" not in path.parts
    }


def changes(folder: Path, before: dict[str, bytes]) -> dict[str, Any]:
    """What differs in the values of the files since then: by file, the changed top-level keys with their values."""
    differing: dict[str, Any] = {}
    now = files(folder)
    for name in sorted({*before, *now}):
        old, new = (Base("undated", name, of.get(name)).values for of in (before, now))
        keys = [key for key in {**old, **new} if old.get(key) != new.get(key)]
        if keys:
            differing[name] = {key: new.get(key, REMOVE) for key in keys}
    return differing
