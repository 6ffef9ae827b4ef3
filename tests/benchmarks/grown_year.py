"""The example year, repeated: a journal of as many years, without a problem in it.

The years before get the same pages with their own dates, tasks with ids of their own, and challenges of their own.
Habits hold from the first year on. So all years count, and what a page shows of the last one is the same.
"""

from __future__ import annotations

import datetime as dt
import os
import re
import shutil
from pathlib import Path

EXAMPLE = Path(__file__).parents[2] / "example_year"
YEAR = 2025
TODAY = dt.date(YEAR, 12, 16)
"""A day on which the pages of the last week, month and year have all that they can show."""

_BLOCK = re.compile(r"^\[\[(\w+)\]\]\n", re.MULTILINE)
_ID = re.compile(r'^id = "(\w+)"$', re.MULTILINE)
_TICKS = re.compile(r"^\[challenges\]\n(?:\w.*\n)+", re.MULTILINE)
_OLD = dt.datetime(YEAR + 1, 1, 2, tzinfo=dt.UTC).timestamp()  # well before any snapshot, which trusts the pages then


def written(folder: Path, years: int) -> Path:
    """Write a journal of so many years, the last of them the example's.

    >>> import tempfile
    >>> import journal
    >>> with tempfile.TemporaryDirectory() as name:
    ...     opened = journal.open(written(Path(name) / "journal", 2), today=TODAY, cache=False)
    >>> opened.tables.first.year, len(opened.problems), opened.tables.days["logged"].sum() > 600
    (2024, 0, True)
    """
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns(".*"))
    settings = folder / "journal.toml"
    settings.write_text(_settings(settings.read_text(encoding="utf-8"), years), encoding="utf-8")
    pages = [(page.name, page.read_text(encoding="utf-8")) for page in sorted((folder / str(YEAR)).glob("*.toml"))]
    for year in range(YEAR - years + 1, YEAR):
        (folder / str(year)).mkdir()
        for name, text in pages:
            if not (name.startswith(f"{YEAR}-W53") and dt.date(year, 12, 28).isocalendar().week < 53):
                path = folder / str(year) / name.replace(str(YEAR), str(year), 1)
                path.write_text(_page(text, year), encoding="utf-8")
    for path in folder.rglob("*.toml"):
        os.utime(path, (_OLD, _OLD))
    return folder


def _page(text: str, year: int) -> str:
    """A page of the example in another year."""
    text = _ID.sub(lambda found: f'id = "{found[1]}{year}"', text.replace(f"{YEAR}-", f"{year}-"))
    return _TICKS.sub(lambda found: re.sub(r"^(\w+) =", rf"\g<1>{year} =", found[0], flags=re.MULTILINE), text)


def _settings(text: str, years: int) -> str:
    """journal.toml with habits and routines from the first year on, and the challenges of each year."""
    head, *blocks = _BLOCK.split(text)
    parts = [head]
    for kind, block in zip(blocks[::2], blocks[1::2], strict=True):
        first = YEAR - years + 1 if kind in {"habits", "routines"} else YEAR
        parts.append(f"[[{kind}]]\n" + re.sub(rf"^from = {YEAR}", f"from = {first}", block, flags=re.MULTILINE))
        for year in range(YEAR - years + 1, YEAR) if kind == "challenges" else ():
            of_year = re.sub(r'^key = "(\w+)"', rf'key = "\g<1>{year}"', block, flags=re.MULTILINE)
            parts.append(f"[[{kind}]]\n{of_year.replace(f'{YEAR}-', f'{year}-').rstrip()}\n\n")
    return "".join(parts)
