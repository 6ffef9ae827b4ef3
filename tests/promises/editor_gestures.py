"""What a person does to a page in an editor, and a task that is written down again under the same title."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import rtoml

from tests.promises.ledger import ROUTINES, bytes_of
from tests.promises.world import World


def editor(world: World) -> None:
    """Change a page in an editor."""
    path = world.choose.one([world.folder / name for name in sorted(bytes_of(world.folder)) if name != "journal.toml"])
    values = values_of(path)
    rows = values.get("tasks", [])
    kind = world.choose.one(("add", "add", "remove", "reword", "done", "line"))
    waiting = [row for row in rows if row.get("status", "open") == "open" and row["title"] not in ROUTINES]
    if kind == "add":
        title = world.new("Task")
        values["tasks"] = [*rows, {"title": title}]
        world.ledger.add(title)
    elif kind == "line" and path.stem != "undated":
        values["notes"] = [*values.get("notes", []), world.new("Line")]
        world.ledger.texts.add(values["notes"][-1])
    elif kind in ("remove", "reword", "done") and waiting:
        row = world.choose.one(waiting)
        title = row["title"]
        if kind == "remove":
            values["tasks"] = [other for other in rows if other is not row]
            world.ledger.forget(title)
        elif kind == "reword":
            row["title"] = world.new("Task")
            world.ledger.reword(title, row["title"])
        elif path.stem != "undated":
            row["status"] = "done"
            world.ledger.settle(title, "done")
    else:
        return
    path.write_text(rtoml.dumps(values), encoding="utf-8")
    world.told.append(f"{world.today}: editor, {kind} on {path.stem}")


def written_again(world: World) -> None:
    """Write down a task that stands open already, under the same title, in an editor."""
    paths = [world.folder / name for name in sorted(bytes_of(world.folder)) if name != "journal.toml"]
    path = world.choose.one(paths)
    titles = [task.title for task in world.ledger.tasks.values() if task.state == "open" and task.copies == 1]
    here = [row["title"] for row in values_of(path).get("tasks", []) if row["title"] in titles]
    if not titles:
        return
    title = world.choose.one(here if here and world.choose.flip() else titles)
    values = values_of(path)
    path.write_text(rtoml.dumps(values | {"tasks": [*values.get("tasks", []), {"title": title}]}), encoding="utf-8")
    world.ledger.add_again(title)
    world.told.append(f"{world.today}: editor, {title} again on {path.stem}")


def values_of(path: Path) -> dict[str, Any]:
    """The values of a page."""
    return tomllib.loads(path.read_text(encoding="utf-8"))
