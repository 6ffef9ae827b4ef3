"""The other gestures: the page of a day, the week, the month, the terminal, an import, and the night."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from journal.commands import log
from journal.errors import JournalError
from journal.evening import month_fill, triage_list, triage_save
from journal.importing import apply_plan, calendar, planning, spreadsheet
from journal.planning import day_edits, day_offer, task_days, week_ahead
from journal.saving import take_back
from journal.saving.form_values import Trouble
from journal.saving.save_pages import SaveResult
from tests.promises.editor_gestures import values_of
from tests.promises.evening_gestures import marked, with_text, without
from tests.promises.ledger import ROUTINES
from tests.promises.world import DAY, Effect, World, sent


def day_edit(world: World) -> None:
    """One edit of the page of a day."""
    day = world.today + DAY * world.choose.one((-1, 0, 0, 0, 1, 1, 2))
    page = world.shown(f"day {day}", lambda book: day_offer.offer(book, day, world.now))
    made = _edit(world, page)
    if made is None:
        return
    edit, effects = made
    result = day_edits.EditResult(answer=SaveResult(saved=False))

    def save() -> SaveResult:
        nonlocal result
        raw = {"base": page["base"], "day": page["day"], "edit": edit}
        result = day_edits.save(world.book(), sent(raw), now=world.now)
        return result.answer

    world.gesture(f"page of {day}, {edit}", save, *effects, undo=lambda: result.undo)


Made = tuple[dict[str, Any], list[Effect]]
"""An edit as it is sent, and what it says."""


def _edit(world: World, page: dict[str, Any]) -> Made | None:
    of_task, others = (_task_edit,) * 3, (_addition, _taking_in, _line_edit, _appointment_edit, _mark_edit)
    return world.choose.one((*of_task, *others))(world, page)


def _addition(world: World, page: dict[str, Any]) -> Made:
    title, where = world.new("Task"), world.choose.one(("add task", "add undated"))
    estimate = world.choose.one((None, 20))
    return {"what": where, "title": title, "estimate": estimate}, [lambda ledger: ledger.add(title)]


def _taking_in(world: World, page: dict[str, Any]) -> Made | None:
    refs = [task["ref"] for task in page["left"]] + [f"undated/{task['ref']}" for task in page["undated"]]
    return ({"what": "take in", "ref": world.choose.one(refs)}, []) if refs else None


def _line_edit(world: World, page: dict[str, Any]) -> Made:
    choose = world.choose
    name = choose.one(("notes", "gratitude"))
    lines, text = page[name], world.new("Line")
    if not lines or choose.flip():
        return {"what": "line", "list": name, "text": text}, [with_text(text)]
    at = choose.one(range(len(lines)))
    if choose.flip():
        return {"what": "line", "list": name, "at": at, "text": ""}, [without(lines[at])]
    return {"what": "line", "list": name, "at": at, "text": text}, [without(lines[at]), with_text(text)]


def _appointment_edit(world: World, page: dict[str, Any]) -> Made:
    choose = world.choose
    rows, title = [one for one in page["appointments"] if one["from"] == "page"], world.new("Appointment")
    if not rows or choose.flip():
        return {"what": "appointment", "ref": None, "title": title, "start": "11:00"}, [with_text(title)]
    one = choose.one(rows)
    if choose.flip():
        return {"what": "appointment", "ref": one["ref"], "remove": True}, [without(one["title"])]
    edit = {"what": "appointment", "ref": one["ref"], "title": title, "start": one["start"]}
    return edit, [without(one["title"]), with_text(title)]


def _mark_edit(world: World, page: dict[str, Any]) -> Made | None:
    if page["kind"] == "coming":
        return None
    mark = world.choose.one((True, False, None))
    (before,) = (habit["mark"] for habit in page["habits"] if habit["key"] == "walk")
    effects = [] if mark == before else [marked(page["day"], ("habits", "walk"), mark)]
    return {"what": "habit", "key": "walk", "mark": mark}, effects


def _task_edit(world: World, page: dict[str, Any]) -> Made | None:
    choose = world.choose
    if not page["tasks"]:
        return None
    task = choose.one(page["tasks"])
    title, status, named = task["title"], task["status"], {"ref": task["ref"]}
    days = str(world.today + DAY * choose.one((1, 2, 4)))
    values: Made = (named | {"what": "task", "estimate": choose.one((None, 15)), "rank": choose.one((None, 1, 2))}, [])
    ways: list[Made | None] = [values] if status != "dropped" else []
    if status != "dropped" and choose.flip(3):
        ways = [_reworded(world, title, named | {"what": "task"})]
    if status != "carried":
        other = "done" if status == "open" else "open"
        ways.append((named | {"what": "task", "status": other}, [_settled(title, other)]))
    if status == "open":
        ways += [(named | {"what": "move", "to": days}, []), (named | {"what": "put away"}, [])]
        ways.append((named | {"what": "move", "drop": True}, [_settled(title, "dropped")]))
    return choose.one(ways)


def _reworded(world: World, title: str, edit: dict[str, Any]) -> Made | None:
    if title in ROUTINES:
        return None
    new = world.new("Task")
    return edit | {"title": new}, [lambda ledger: ledger.reword(title, new)]


def _settled(title: str, state: str) -> Effect:
    return lambda ledger: ledger.settle(title, state)


def undo(world: World) -> None:
    """Take back an edit or a put, the last one more often than another."""
    if not world.undos:
        return
    back, before, after = world.undos.pop(-1 if world.choose.flip() else world.choose.one(range(len(world.undos))))
    world.gesture(
        "undo",
        lambda: take_back.take_back(world.book(), back, now=world.now, by="day"),
        lambda ledger: ledger.undo(before, after),
    )


def put(world: World) -> None:
    """Put a task on one of the coming days, or on none."""
    page = world.shown("week", week_ahead.offer)
    refs = [task["ref"] for task in page["waiting"]]
    refs += [f"{day['day']}/{task['ref']}" for day in page["days"] for task in day["tasks"] if task["status"] == "open"]
    if not refs:
        return
    ref, to = world.choose.one(refs), world.choose.one(("undated", *(day["day"] for day in page["days"][:4])))
    result = task_days.PutResult(answer=SaveResult(saved=False))

    def save() -> SaveResult:
        nonlocal result
        raw = {"base": page["base"], "day": page["day"], "ref": ref, "to": to}
        result = task_days.put(world.book(), sent(raw), now=world.now)
        return result.answer

    world.gesture(f"put {ref} on {to}", save, undo=lambda: result.undo)


def decide(world: World) -> None:
    """Decide on tasks of the list."""
    page = world.shown("decide", triage_list.offer)
    decisions, effects = [], list[Effect]()
    for task in page["tasks"]:
        if not world.choose.flip():
            continue
        what, made = world.choose.one(("do", "day", "shrink", "drop")), {"ref": task["ref"]}
        if what == "shrink":
            reworded = _reworded(world, task["title"], made | {"what": what, "estimate": 5})
            if reworded is None:
                continue
            made, more = reworded
            effects += more
        made = {"what": what, "to": str(world.today + DAY * world.choose.one((0, 1, 3)))} | made
        decisions.append(made)
        effects.append(_settled(task["title"], "dropped" if what == "drop" else "open"))
    raw = {"base": page["base"], "day": page["day"], "decisions": decisions}

    def save() -> SaveResult:
        return triage_save.decide(world.book(), sent(raw), now=world.now)

    if decisions:
        world.gesture(f"decide {decisions}", save, *effects)


def month(world: World) -> None:
    """Fill in marks of a month."""
    page = world.shown("month", lambda book: month_fill.month(book, "2025-03"))
    day = world.choose.one(page["days"][-3:])
    row, path = world.choose.one((("walk", ("habits", "walk")), ("day/mood", ("mood",))))
    mark = world.choose.one((1, 4, None) if row == "day/mood" else (True, False, None))
    raw = {"base": page["base"], "marks": {row: {day: mark}}}
    effects = [] if page["marks"][row][day] == mark else [marked(day, path, mark)]

    def save() -> SaveResult:
        return month_fill.save_month(world.book(), sent(raw), now=world.now)

    world.gesture(f"month, {row} of {day} {mark}", save, *effects)


def terminal(world: World) -> None:
    """Write something from the terminal."""
    day, line, title = world.today, world.new("Line"), world.new("Task")
    kind = world.choose.one(("note", "add", "mood", "task"))
    page = world.folder / "2025" / f"{day}.toml"
    rows = values_of(page).get("tasks", []) if page.exists() else []
    given, effects = log.Given(notes=(line,)), [with_text(line)]
    if kind == "add":
        given, effects = log.Given(added_tasks=(title,)), [lambda ledger: ledger.add(title)]
    elif kind == "mood":
        given, effects = log.Given(fields={"mood": 3}), [marked(str(day), ("mood",), 3)]
    elif kind == "task" and (waiting := [row for row in rows if row.get("status", "open") == "open"]):
        row, status = world.choose.one(waiting), world.choose.one(("done", "dropped"))
        given, effects = log.Given(tasks=(f"{row['title']}={status}",)), [_settled(row["title"], status)]
    world.gesture(f"log {kind}", _told(lambda: log.log(world.folder, given, day, now=world.now)), *effects)


def _told(write: Callable[[], object]) -> Callable[[], SaveResult]:
    """A command as a save: what it raises is a problem."""

    def save() -> SaveResult:
        try:
            return SaveResult(saved=True, said=str(write()))
        except JournalError as error:
            return SaveResult(saved=False, problems=[Trouble("", str(error))])

    return save


def imported(world: World) -> None:
    """Import notes from a table, or appointments from a calendar."""
    day, text, book = world.today - DAY * world.choose.one((0, 1)), world.new("Line"), world.book()
    file = Path(world.folder.parent, "kept")
    if world.choose.flip():
        file.write_text(f"date,notes\n{day},{text}\n", encoding="utf-8")
        values = spreadsheet.read(file, book.files.basis, today=world.today)
    else:
        event = f"BEGIN:VEVENT\nUID:{text}\nSUMMARY:{text}\nDTSTART:{day:%Y%m%d}T150000\nEND:VEVENT"
        file.write_text(f"BEGIN:VCALENDAR\n{event}\nEND:VCALENDAR\n", encoding="utf-8")
        values = calendar.read(file, [day], {}, book.settings)
    plan = planning.plan(world.folder, values, book.files.basis.known, now=world.now)
    effects = [with_text(text)] if plan.pages else []
    save = _told(lambda: apply_plan.write(world.folder, plan.pages, now=world.now))
    world.gesture(f"import of {day}", save, *effects)


def night(world: World) -> None:
    """Another day begins."""
    world.today += DAY
    world.told.append(f"it is {world.today}")
