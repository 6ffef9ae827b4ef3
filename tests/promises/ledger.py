"""What a person was promised: each text that was ever saved, and what she said of it; and what the files keep."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Any, Literal, NamedTuple

import msgspec

LISTS = ("notes", "gratitude")
ROUTINES = ("Sweep", "Stock count")  # they come round again, so they may go
MarkPath = tuple[str, ...]
PageValues = dict[str, dict[str, Any]]
"""The values of every page by its key."""


WrongKind = Literal["lost", "twice", "other"]


class Wrong(NamedTuple):
    """What went wrong: something is lost, a task stands open twice, or something else."""

    kind: WrongKind
    sentence: str


class Promised(msgspec.Struct):
    """A task: its newest title, all its titles, and whether it is "open", "done" or "dropped".

    `copies` is how often it was written: two tasks of one title are two (`is_several`). Which of them a gesture meant,
    nobody can tell. So of several tasks, `ended` counts how often one may have ended.
    """

    title: str
    titles: set[str]
    state: str = "open"
    copies: int = 1
    ended: int = 0
    is_several: bool = False


class Ledger(msgspec.Struct):
    """The tasks by every title, the texts that stand (lines, appointments), and the marks by day and path."""

    tasks: dict[str, Promised] = {}
    texts: set[str] = set()
    marks: dict[tuple[str, MarkPath], Any] = {}

    def copy(self) -> Ledger:
        """A copy, to come back to when a gesture is undone."""
        of = {id(task): msgspec.structs.replace(task, titles=set(task.titles)) for task in self.tasks.values()}
        return Ledger(
            tasks={title: of[id(task)] for title, task in self.tasks.items()},
            texts=set(self.texts),
            marks=dict(self.marks),
        )

    def add(self, title: str) -> None:
        """A task was written down."""
        self.tasks[title] = Promised(title=title, titles={title})

    def add_again(self, title: str) -> None:
        """A task was written down that has the title of another one."""
        task = self.tasks[title]
        task.copies, task.ended, task.is_several = task.copies + 1, 0, True

    def reword(self, old: str, new: str) -> None:
        """A task got another title."""
        if (task := self.tasks.get(old)) is not None:
            task.title = new
            task.titles.add(new)
            self.tasks[new] = task

    def settle(self, title: str, state: str) -> None:
        """A task was done or dropped, or opened again."""
        if title in self.tasks:
            self.tasks[title].state = state
            self.tasks[title].ended += state != "open"

    def forget(self, title: str) -> None:
        """Somebody deleted a task in an editor."""
        if title in self.tasks and self.tasks[title].is_several:
            self.tasks[title].ended += 1  # a page that it was carried from has it, and may put it on a day again
            return
        for name in self.tasks.pop(title).titles if title in self.tasks else ():
            self.tasks.pop(name, None)

    def keep_what_stands(self, before: Ledger, folder: Path) -> None:
        """A save left something out: what is new and not on a page is still in the window, and not promised."""
        found = pages(folder) or {}
        titles = {task["title"] for values in found.values() for task in values.get("tasks", [])}
        texts = {text for values in found.values() for text in texts_of(values)}
        self.texts = {text for text in self.texts if text in texts or text in before.texts} | before.texts
        for title in [title for title in self.tasks if title not in before.tasks and title not in titles]:
            del self.tasks[title]

    def undo(self, before: Ledger, after: Ledger) -> None:
        """Take back what one gesture has changed, and leave what came since."""
        self.texts = (self.texts - (after.texts - before.texts)) | (before.texts - after.texts)
        for title in (after.tasks.keys() - before.tasks.keys()) & self.tasks.keys():
            is_rewording = not after.tasks[title].titles.isdisjoint(before.tasks)
            if self.tasks[title].is_several:
                self.tasks[title].ended += not is_rewording  # it stays where somebody has reworded it since
            else:
                del self.tasks[title]
        for title, task in before.tasks.items():
            later = after.tasks[title]
            if later.state != task.state and title in self.tasks:
                self.tasks[title].state = task.state
                self.tasks[title].ended += task.state != "open"  # taken back, it is done or dropped again
            if later.title != task.title and title in self.tasks:
                self.tasks[title].title = task.title
        for place in after.marks.keys() | before.marks.keys():
            if after.marks.get(place) != before.marks.get(place):
                self.marks[place] = before.marks.get(place)


def pages(folder: Path) -> PageValues | None:
    """The values of every page by its key, None while one of them cannot be read."""
    found = {}
    for path in sorted(folder.rglob("*.toml")):
        if path.name != "journal.toml" and not any(part.startswith(".") for part in path.relative_to(folder).parts):
            try:
                found[path.stem] = tomllib.loads(path.read_text(encoding="utf-8"))
            except tomllib.TOMLDecodeError:
                return None
    return found


def bytes_of(folder: Path) -> dict[str, bytes]:
    """The bytes of every page and of journal.toml, by path."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*.toml")
        if not any(part.startswith(".") for part in path.relative_to(folder).parts)
    }


def texts_of(values: dict[str, Any]) -> Iterator[str]:
    """The lines and the appointments of a page."""
    for name in LISTS:
        yield from values.get(name, [])
    if "memory" in values:
        yield values["memory"]
    yield from (one["title"] for one in values.get("appointments", []))


def wrong(ledger: Ledger, folder: Path) -> list[Wrong]:
    """What the files do not keep of what was promised, and every task that stands open in two places."""
    found = pages(folder)
    if found is None:  # an editor has broken a page, and is to mend it
        return []
    several = {title for task in ledger.tasks.values() if task.is_several for title in task.titles} | {*ROUTINES}
    faults = [*_wrong_tasks(ledger, found), *_doubles(found, several)]
    texts = {text for values in found.values() for text in texts_of(values)}
    faults += [Wrong("lost", f'"{text}" is on no page') for text in sorted(ledger.texts - texts)]
    for (day, path), mark in ledger.marks.items():
        value: Any = found.get(day, {})
        for name in path:
            value = value.get(name) if isinstance(value, dict) else None
        if value != mark:
            faults.append(Wrong("lost", f"{'.'.join(path)} of {day} is {value}, not {mark}"))
    return faults


def _wrong_tasks(ledger: Ledger, found: PageValues) -> Iterator[Wrong]:
    """Each promised task that is on no page, open nowhere, open in two places, or open although she ended it."""
    standing: dict[str, list[str]] = {}
    written: dict[str, list[str]] = {}
    for key, row in _rows(found):
        written.setdefault(row["title"], []).append(key)
        if row.get("status", "open") == "open":
            standing.setdefault(row["title"], []).append(key)
    for task in {id(task): task for task in ledger.tasks.values()}.values():
        places = [place for title in task.titles for place in standing.get(title, [])]
        if task.is_several:
            if not task.copies - task.ended <= len(places) <= task.copies:
                kind: WrongKind = "twice" if len(places) > task.copies else "lost"
                yield Wrong(kind, f"{task.title}, written {task.copies} times, stands open on {places}")
        elif task.title not in written:
            yield Wrong("lost", f"{task.title} ({task.state}) is on no page")
        elif len(places) > 1:
            yield Wrong("twice", f"{task.title} ({task.state}) stands open on {places}")
        elif task.state == "open" and not places:
            yield Wrong("lost", f"{task.title} stands open nowhere, written on {written[task.title]}")
        elif task.state != "open" and places:
            yield Wrong("other", f"{task.title} is {task.state}, and stands open on {places[0]}")


def _doubles(found: PageValues, several: Collection[str]) -> Iterator[Wrong]:
    """Each id, or title and first day where there is no id, that stands open twice, whoever wrote it.

    The titles in `several` were written more than once. A routine is, whenever an evening takes it in.
    """
    is_open = [(key, row) for key, row in _rows(found) if row.get("status", "open") == "open"]
    named = (_name(key, row) for key, row in is_open if row.get("id") or row["title"] not in several)
    counts = Counter(named)
    yield from (Wrong("twice", f"{name} stands open {n} times") for name, n in counts.items() if n > 1)


def _name(key: str, row: dict[str, Any]) -> str:
    return str(row.get("id") or f"{row['title']} since {row.get('since', key)}")


def _rows(found: PageValues) -> Iterator[tuple[str, dict[str, Any]]]:
    return ((key, row) for key, values in found.items() for row in values.get("tasks", []))
