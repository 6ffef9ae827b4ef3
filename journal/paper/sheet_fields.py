"""From the marks in the boxes of a sheet to the values of its days: mood, energy, habits, challenges, hours and tasks.

A field has one or several boxes. A half hour of a category is one field, and so is a task with its two boxes. What they
say together is its value, or a doubt that only the person can settle: a mark that is not sure, two moods on one day, a
half in a box that is either filled or not.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from typing import Literal

import msgspec

from journal.entry import Mark
from journal.language import digits
from journal.language.catalogue import _, _p
from journal.paper import half_hours
from journal.paper.day_plan import PaperTask
from journal.paper.layout import PaperBox, SheetLayout
from journal.paper.sheet_reader import BoxRead, SheetRead
from journal.wording import numbers

SCALES = ("mood", "energy")

FieldValue = Mark | Literal["done", "carried", "open"]
"""What a field says: a mark, true for a half hour, or the status of a task."""

FieldKey = tuple[dt.date, str, str]
"""What tells a field from the others of several sheets."""


class FieldRead(msgspec.Struct, frozen=True, kw_only=True):
    """A field of a day as it was read: its value, None if its boxes are empty or in doubt.

    `boxes` are those of the field, with the picture's name and their marks. `doubt` is what the boxes look like if that
    has no single meaning, else empty. Of a task, `task` is None if the sheet's tasks are not known, `nth` counts those
    of the same title on the sheet, and `line` tells the lines of several parts apart.
    """

    field: str
    date: dt.date
    photo: str
    boxes: tuple[BoxRead, ...]
    value: FieldValue | None = None
    doubt: str = ""
    task: PaperTask | None = None
    nth: int = 0
    line: str = ""

    @property
    def path(self) -> tuple[str, ...]:
        """The key path on the page of the day, except of a task."""
        return tuple(self.field.split(" ")[0].split("."))

    @property
    def key(self) -> FieldKey:
        """What tells it from the other fields: two prints of a day have the same task on different lines."""
        if not self.is_task:
            return self.date, self.field, ""
        return self.date, "task", self.line if self.task is None else f"{self.task.id or self.task.title} {self.nth}"

    @property
    def name(self) -> str:
        """A short name beside the day."""
        if self.is_task:
            return _("a task") if self.task is None else self.task.title
        return self.field.removeprefix("hours.actual.") if self.is_hour else self.path[-1]

    @property
    def is_task(self) -> bool:
        return self.field.startswith("tasks.")

    @property
    def is_hour(self) -> bool:
        return self.field.startswith("hours.")

    @property
    def is_counted(self) -> bool:
        """Whether the boxes have numbers."""
        return self.boxes[0].box.value is not True


def of(sheet: SheetRead) -> list[FieldRead]:
    """The fields of a sheet, day by day. Where no box is printed, there is a field only if something is marked.

    A box that is printed filled says nothing: the page has it.
    """
    by_field: dict[tuple[dt.date, str], list[BoxRead]] = {}
    for box in sheet.boxes:
        if box.box.kind != "done" and (box.box.is_printed or box.mark != "empty" or not box.is_sure):
            field = box.box.field
            name = field.partition(" ")[0] if field.startswith("tasks.") else field
            by_field.setdefault((box.box.date, name), []).append(box)
    found = []
    for (date, field), boxes in sorted(by_field.items(), key=lambda one: one[0][0]):
        value, doubt = value_of(field, boxes)
        one = FieldRead(field=field, date=date, photo=sheet.picture.name, boxes=tuple(boxes), value=value, doubt=doubt)
        found.append(_with_task(one, sheet.layout) if one.is_task else one)
    return _once_a_time(found)


def _with_task(field: FieldRead, layout: SheetLayout) -> FieldRead:
    """A field of a task with that task, if it is known."""
    number, line = int(field.path[1]), f"{layout.part} {field.path[1]}"
    if layout.tasks is None:
        is_marked = field.value or field.doubt
        doubt = _("line {number} is marked, but its task is not known", number=number + 1) if is_marked else ""
        return msgspec.structs.replace(field, value=None, doubt=doubt, line=line)
    task = layout.tasks[number]
    nth = sum((other.id, other.title) == (task.id, task.title) for other in layout.tasks[:number])
    return msgspec.structs.replace(field, task=task, nth=nth, line=line)


def _once_a_time(fields: list[FieldRead]) -> list[FieldRead]:
    """The fields, with a doubt about each half hour that is marked in several categories."""
    marked: dict[tuple[dt.date, str], list[str]] = {}
    for field in fields:
        if field.is_hour and field.value:
            marked.setdefault((field.date, half_hours.start(field.field)), []).append(field.path[-1])
    found = []
    for field in fields:
        others = marked.get((field.date, half_hours.start(field.field)), []) if field.is_hour and field.value else []
        if len(others) > 1:
            also = ", ".join(key for key in others if key != field.path[-1])
            field = msgspec.structs.replace(field, value=None, doubt=_("filled, as it is for {others}", others=also))  # noqa: PLW2901
        found.append(field)
    return found


def value_of(field: str, boxes: Sequence[BoxRead]) -> tuple[FieldValue | None, str]:
    """The value that the boxes of a field say, and the doubt about it; one of them at most.

    >>> date = dt.date(2025, 4, 1)
    >>> def boxes(values, *marks):
    ...     box = [PaperBox(field="", date=date, value=value, x=0, y=0) for value in values]
    ...     return [BoxRead(one, mark, 1.0, (0, 0, 9, 9)) for one, mark in zip(box, marks)]
    >>> value_of("mood", boxes((1, 2, 3), "empty", "filled", "empty"))
    (2, '')
    >>> value_of("mood", boxes((1, 2, 3), "empty", "filled", "filled"))
    (None, '2 filled, 3 filled')
    >>> value_of("habits.read", boxes((5, 10, 20), "filled", "empty", "half")), value_of("habits.walk", boxes([True]))
    ((15, ''), (None, ''))
    """
    marked = [box for box in boxes if box.mark != "empty"]
    if any(not box.is_sure for box in boxes):
        return None, _looks(box for box in boxes if box.mark != "empty" or not box.is_sure)
    if not marked:
        return None, ""
    value = _value(field, marked)
    return (None, _looks(marked)) if value is None else (value, "")


def _value(field: str, marked: Sequence[BoxRead]) -> FieldValue | None:
    if field in SCALES:
        return _step(marked)
    if field.startswith("tasks."):
        return _status(marked)
    return True if field.startswith("hours.") else _mark(field, marked)


def _status(marked: Sequence[BoxRead]) -> FieldValue | None:
    """A task is done or carried, if one of its boxes is filled."""
    one, *others = marked
    if others or one.mark != "filled":
        return None
    return "done" if one.box.field.endswith(" done") else "carried"


def _step(marked: Sequence[BoxRead]) -> Mark | None:
    """One filled box is a step of mood or energy. A half or a stroke is none: it may be a slip."""
    one, *others = marked
    return None if others or one.mark != "filled" else whole(one.box.value)


def _mark(field: str, marked: Sequence[BoxRead]) -> Mark | None:
    """The mark of a habit, or the tick of a challenge, from its marked boxes; None if they have no single meaning.

    A stroke is rest, in one number box or several. Filled number boxes add up, and half of one counts half. Zero
    stands alone. A challenge has no rest.
    """
    kinds = {box.mark for box in marked}
    if kinds == {"stroke"}:
        return "rest" if field.startswith("habits.") else None
    if "stroke" in kinds:
        return None
    if marked[0].box.value is True:
        return True if kinds == {"filled"} else None
    if any(box.box.value == 0 for box in marked):
        return 0 if len(marked) == 1 and kinds == {"filled"} else None
    return whole(sum(float(box.box.value) / (2 if box.mark == "half" else 1) for box in marked))


def of_box(field: str, box: BoxRead) -> FieldValue | None:
    """What the mark of one box says by itself: None if it is empty, or says nothing of its own.

    A filled box of a task is true: its field says what is true of the task.

    >>> half = BoxRead(PaperBox(field="", date=dt.date(2025, 4, 1), value=20.0, x=0, y=0), "half", 1.0, (0, 0, 9, 9))
    >>> of_box("habits.read", half), of_box("mood", half)
    (10, None)
    """
    if box.mark == "empty":
        return None
    value = _value(field, [box])
    return True if value in {"done", "carried"} else value


def whole(value: float) -> float:
    """A number without the last digits of binary sums, an int if it is whole.

    >>> whole(0.1 + 0.2), whole(20.0)
    (0.3, 20)
    """
    rounded = round(float(value), 6)
    return int(rounded) if rounded.is_integer() else rounded


def joined(fields: Iterable[FieldRead]) -> list[FieldRead]:
    """The fields of several sheets, one for each field and day: what any of them says without a doubt counts.

    An empty box says nothing against a mark on another print. Two different values are a doubt.
    """
    by_field: dict[FieldKey, list[FieldRead]] = {}
    for field in fields:
        by_field.setdefault(field.key, []).append(field)
    return [_joined(several) for several in by_field.values()]


def _joined(several: list[FieldRead]) -> FieldRead:
    said = [field for field in several if field.value is not None]
    if not said:
        return next((field for field in several if field.doubt), several[0])
    others = [field for field in said if not is_same(field.value, said[0].value)]
    if not others:
        return said[0]
    looks = _(
        "{one} in {photo}, {other} in {other_photo}",
        one=words(said[0].value),
        photo=said[0].photo,
        other=words(others[0].value),
        other_photo=others[0].photo,
    )
    return msgspec.structs.replace(said[0], value=None, doubt=looks)


def is_same(one: FieldValue | None, other: FieldValue | None) -> bool:
    """Whether two values are equal. True is not 1."""
    return isinstance(one, bool) == isinstance(other, bool) and one == other


def words(value: FieldValue | None) -> str:
    """A value in words.

    >>> words(True), words(False), words("rest"), words(12.5), words(None)
    ('done', 'not done', 'rest', '12.5', 'nothing')
    """
    if isinstance(value, bool):
        return _("done") if value else _("not done")
    if isinstance(value, str):
        return {
            "rest": _("rest"),
            "done": _p("of a task", "done"),
            "carried": _p("of a task", "carried"),
            "open": _p("of a task", "open"),
        }[value]
    return _("nothing") if value is None else digits.signed(f"{value:g}")


def _looks(boxes: Iterable[BoxRead]) -> str:
    """What boxes look like: "3 filled, 4 perhaps filled"."""
    return ", ".join(numbers.joined([_name(box.box), _look(box)], " ") for box in boxes)


def _look(box: BoxRead) -> str:
    if box.is_sure:
        words = {
            "empty": _p("a box", "empty"),
            "filled": _p("a box", "filled"),
            "half": _p("a box", "half"),
            "stroke": _p("a box", "stroke"),
        }
    else:
        words = {
            "empty": _p("a box", "perhaps empty"),
            "filled": _p("a box", "perhaps filled"),
            "half": _p("a box", "perhaps half"),
            "stroke": _p("a box", "perhaps stroke"),
        }
    return words[box.mark]


def _name(box: PaperBox) -> str:
    """The number of a box before its mark, and of a task's what it says; a single box needs no name."""
    if box.field.startswith("tasks."):
        return _p("of a task", "done") if box.field.endswith(" done") else _p("of a task", "carried")
    return "" if box.value is True else digits.signed(f"{box.value:g}")
