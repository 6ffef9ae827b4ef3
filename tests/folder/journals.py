"""A small valid journal, and functions that write and read one page of it."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from journal.entry import Entry, Review
from journal.errors import Problem
from journal.folder import discover, reading
from tests.journals import HOME

SETTINGS = f"""\
title = "Spine and thread"

{HOME}
[[places]]
key = "graz"
name = "Graz"
latitude = 47.07
longitude = 15.44
timezone = "Europe/Vienna"

[[categories]]
key = "sleep"
name = "Sleep"
sleep = true

[[categories]]
key = "workshop"
name = "Workshop"
work = true

[[habits]]
key = "walk"
name = "Walk by the river"
every = "FREQ=DAILY"
from = 2025-01-01

[[habits]]
key = "read"
name = "Read"
every = "FREQ=DAILY"
from = 2025-01-01
target = 20
unit = "pages"

[[habits]]
key = "swim"
name = "Swim"
times = 3
per = "week"
from = 2025-05-01
until = 2025-09-30

[[challenges]]
key = "letters"
name = "Thirty letters"
from = 2025-03-01
until = 2025-03-30
"""

HERE = Path(__file__).parent
DAY = "2025/2025-03-04.toml"


def begin(folder: Path, settings: str = SETTINGS, pages: dict[str, str | bytes] | None = None) -> Path:
    """Write a journal and some pages by their paths. Return the folder."""
    (folder / "journal.toml").write_text(settings, encoding="utf-8")
    for path, content in (pages or {}).items():
        put(folder, path, content)
    return folder


def load(name: str) -> list[dict[str, str]]:
    """The cases of a TOML file beside this one; read with tomllib, which the journal itself does not use."""
    cases: list[dict[str, str]] = tomllib.loads((HERE / f"{name}.toml").read_text(encoding="utf-8"))["case"]
    return cases


def put(folder: Path, path: str, content: str | bytes) -> Path:
    """Write one file, with the folders it needs."""
    file = folder / path
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(content.encode() if isinstance(content, str) else content)
    return file


def read(folder: Path) -> tuple[dict[str, Entry | Review], list[Problem]]:
    """The content of every page by its period, and all problems of discovery and reading."""
    discovery = discover.find(folder)
    pages, problems = reading.read_pages(folder, discovery.pages, reading.read_settings(folder).known)
    return {page.key: page.content for page in pages}, sorted(discovery.problems + problems)


def read_day(folder: Path, content: str | bytes) -> tuple[Entry | None, list[str]]:
    """The content of one day's page, and its problems as printed, without the path."""
    begin(folder, pages={DAY: content})
    pages, problems = read(folder)
    entry = pages.get("2025-03-04")
    assert entry is None or isinstance(entry, Entry)
    return entry, [str(problem).removeprefix(DAY).removeprefix(":").lstrip() for problem in problems]


@contextmanager
def no_permission(path: Path) -> Iterator[None]:
    """A file or folder without read permission. Root drops to an ordinary user meanwhile."""
    mode = path.stat().st_mode
    path.chmod(0)
    superuser = os.geteuid() == 0
    if superuser:
        os.seteuid(65534)  # "nobody"
    try:
        yield
    finally:
        if superuser:
            os.seteuid(0)
        path.chmod(mode)
