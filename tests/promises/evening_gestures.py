"""An evening: what becomes of each task, what stands on tomorrow, what is written of the day."""

from __future__ import annotations

import datetime as dt
from typing import Any

from journal.evening import form_build, save_evening
from tests.evening.evenings import entered
from tests.promises.ledger import Ledger
from tests.promises.world import DAY, Effect, World, sent

_WHAT = ("open", "done", "carry", "carry", "move", "undated", "drop")
_STATES = {"done": "done", "drop": "dropped"}


def evening(world: World) -> None:
    """Close today, or the day before."""
    day = world.today - DAY * world.choose.flip(5)
    page = world.shown(f"evening {day}", lambda book: form_build.offer(book, day))
    raw = entered(page)
    effects: list[Effect] = []
    _tasks(world, page, raw, effects)
    _tomorrow(world, page, raw, effects)
    _lines(world, page, raw, effects)
    world.gesture(
        f"evening of {day}, {_summary(page, raw)}",
        lambda: save_evening.save(world.book(), sent(raw), now=world.now),
        *effects,
    )


def _summary(page: dict[str, Any], raw: dict[str, Any]) -> str:
    tasks = [task for task in raw["tasks"] if task.get("touched")]
    touched = [f"{task['title']} {task['what']} {task.get('to') or ''}".strip() for task in tasks]
    left = {task["title"] for task in raw["tomorrow"]["tasks"]}
    off = [task["title"] for task in page["tomorrow"]["tasks"] if task["title"] not in left]
    came = [task["title"] for task in raw["tomorrow"]["tasks"] if task["ref"] is None]
    return f"touched {touched}, off {off}, to tomorrow {came}"


def _tasks(world: World, page: dict[str, Any], raw: dict[str, Any], effects: list[Effect]) -> None:
    following, rows = page["tomorrow"], raw["tomorrow"]["tasks"]
    for task, shown in zip(raw["tasks"], page["tasks"], strict=True):
        on_next = any(row["source_ref"] == task["ref"] for row in rows)
        is_away = shown["status"] == "carried" and not on_next
        if is_away and any(_is_same(shown, other) for other in following["undated"]):
            task["what"], is_away = "undated", False
        if not world.choose.flip(3):
            continue
        what = world.choose.one(_WHAT)
        if what == task["what"] and what != "move":
            continue
        task |= {"what": what, "touched": True}
        if what == "move" or (what == "carry" and is_away):
            days = world.choose.one((2, 3, 5))
            to = dt.date.fromisoformat(following["day"]) + DAY * days if what == "move" else following["day"]
            task |= {"what": "move", "to": str(to)}
        elif what == "carry" and not on_next:
            new = {"ref": None, "rank": None, "from": "carried", "source_ref": task["ref"]}
            rows.append({name: shown[name] for name in ("title", "estimate", "id")} | new)
        if what != "carry":
            rows[:] = [row for row in rows if row["source_ref"] != task["ref"] or row.get("from") == "undated"]
        effects.append(_settled(task["title"], _STATES.get(what, "open")))
    if world.choose.flip(4):
        title = world.new("Task")
        raw["tasks"].append({"ref": None, "title": title, "what": "done", "took": 20})
        effects += [_added(title), _settled(title, "done")]


def _is_same(one: dict[str, Any], other: dict[str, Any]) -> bool:
    return (one["id"] is not None and one["id"] == other["ref"]) or (
        (one["title"], one["since"]) == (other["title"], other["since"])
    )


def _tomorrow(world: World, page: dict[str, Any], raw: dict[str, Any], effects: list[Effect]) -> None:
    following, rows = page["tomorrow"], raw["tomorrow"]["tasks"]
    status = {task["ref"]: task["status"] for task in following["tasks"]}
    for row in list(rows):
        if row["ref"] is not None and status[row["ref"]] == "open" and world.choose.flip(4):
            rows.remove(row)
            for task in raw["tasks"]:
                if task["ref"] == row["source_ref"] and task["what"] == "carry":
                    task["what"] = "open"
    for task in following["undated"]:
        if world.choose.flip(5):
            new = {"ref": None, "rank": None, "from": "undated", "source_ref": task["ref"]}
            rows.append({"title": task["title"]} | new)
    for one in following["routines"]:
        if world.choose.flip(4):
            rows.append({"ref": None, "title": one["title"], "rank": None, "from": "routine", "source_ref": None})
    if world.choose.flip():
        title = world.new("Task")
        rows.append({"ref": None, "title": title, "rank": None, "estimate": 30, "from": "new", "source_ref": None})
        effects.append(_added(title))
    if world.choose.flip(6):
        title = world.new("Task")
        raw["tomorrow"]["set_aside"] = [{"title": title, "estimate": None}]
        effects.append(_added(title))
    raw["tomorrow"]["appointments"] = _appointments(world, following["appointments"], effects)
    raw["appointments"] = _appointments(world, page["appointments"], effects)


def _appointments(world: World, shown: list[dict[str, Any]], effects: list[Effect]) -> list[dict[str, Any]]:
    rows = []
    for one in shown:
        if one["from"] == "page" and world.choose.flip(6):
            effects.append(without(one["title"]))
        elif one["from"] == "page":
            rows.append({name: one[name] for name in ("ref", "title", "start", "end")})
    if world.choose.flip(4):
        title = world.new("Appointment")
        rows.append({"ref": None, "title": title, "start": "10:00", "end": None})
        effects.append(with_text(title))
    return rows


def _lines(world: World, page: dict[str, Any], raw: dict[str, Any], effects: list[Effect]) -> None:
    for name in ("notes", "gratitude"):
        lines = list(page[name])
        if lines and world.choose.flip(6):
            effects.append(without(lines.pop(world.choose.one(range(len(lines))))))
        if world.choose.flip(3):
            lines.append(world.new("Line"))
            effects.append(with_text(lines[-1]))
        raw[name] = lines
    if world.choose.flip(3):
        before, raw["mood"] = raw.get("mood"), world.choose.one((1, 2, 3, 4, 5))
        effects += [marked(page["day"], ("mood",), raw["mood"])] * (raw["mood"] != before)
    if world.choose.flip(3):
        before, mark = raw["habits"]["walk"], world.choose.one((True, False, "rest"))
        raw["habits"]["walk"] = mark
        effects += [marked(page["day"], ("habits", "walk"), mark)] * (mark != before)


def _added(title: str) -> Effect:
    return lambda ledger: ledger.add(title)


def _settled(title: str, state: str) -> Effect:
    return lambda ledger: ledger.settle(title, state)


def with_text(text: str) -> Effect:
    """A line or an appointment was written."""
    return lambda ledger: ledger.texts.add(text)


def without(text: str) -> Effect:
    """A line or an appointment was taken out."""
    return lambda ledger: ledger.texts.discard(text)


def marked(day: str, path: tuple[str, ...], mark: Any) -> Effect:
    """A mark was set."""

    def effect(ledger: Ledger) -> None:
        ledger.marks[day, path] = mark

    return effect
