"""From the marks in the boxes of a sheet to the values of its days: mood, habits and challenges.

A field has one or several boxes. What they say together is its value, or a doubt that only the person can settle: a
mark that is not sure, two moods on one day, a half in a box that is either filled or not.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

import msgspec

from journal.entry import Mark
from journal.paper.layout import PaperBox
from journal.paper.sheet_reader import BoxRead, SheetRead


class FieldRead(msgspec.Struct, frozen=True, kw_only=True):
    """A field of a day as it was read: its value, None if its boxes are empty or in doubt.

    `boxes` are those of the field, with the picture's name and their marks. `doubt` is what the boxes look like if that
    has no single meaning, else empty.
    """

    field: str
    date: dt.date
    photo: str
    boxes: tuple[BoxRead, ...]
    value: Mark | None = None
    doubt: str = ""

    @property
    def path(self) -> tuple[str, ...]:
        """The key path on the page of the day."""
        return tuple(self.field.split("."))

    @property
    def is_counted(self) -> bool:
        """Whether the boxes have numbers."""
        return self.boxes[0].box.value is not True


def of(sheet: SheetRead) -> list[FieldRead]:
    """The fields of a sheet, day by day. Where no box is printed, there is a field only if something is marked."""
    by_field: dict[tuple[dt.date, str], list[BoxRead]] = {}
    for box in sheet.boxes:
        if box.box.is_printed or box.mark != "empty" or not box.is_sure:
            by_field.setdefault((box.box.date, box.box.field), []).append(box)
    found = []
    for (date, field), boxes in sorted(by_field.items(), key=lambda one: one[0][0]):
        value, doubt = value_of(field, boxes)
        found.append(
            FieldRead(field=field, date=date, photo=sheet.picture.name, boxes=tuple(boxes), value=value, doubt=doubt)
        )
    return found


def value_of(field: str, boxes: Sequence[BoxRead]) -> tuple[Mark | None, str]:
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
    value = _mood(marked) if field == "mood" else _mark(field, marked)
    return (None, _looks(marked)) if value is None else (value, "")


def _mood(marked: Sequence[BoxRead]) -> Mark | None:
    """One filled box is a mood. A half or a stroke is none: it may be a slip, or a line through one."""
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


def of_box(field: str, box: BoxRead) -> Mark | None:
    """What the mark of one box says by itself: None if it is empty, or says nothing of its own.

    >>> half = BoxRead(PaperBox(field="", date=dt.date(2025, 4, 1), value=20.0, x=0, y=0), "half", 1.0, (0, 0, 9, 9))
    >>> of_box("habits.read", half), of_box("mood", half)
    (10, None)
    """
    if box.mark == "empty":
        return None
    return _mood([box]) if field == "mood" else _mark(field, [box])


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
    by_field: dict[tuple[dt.date, str], list[FieldRead]] = {}
    for field in fields:
        by_field.setdefault((field.date, field.field), []).append(field)
    return [_joined(several) for several in by_field.values()]


def _joined(several: list[FieldRead]) -> FieldRead:
    said = [field for field in several if field.value is not None]
    if not said:
        return next((field for field in several if field.doubt), several[0])
    others = [field for field in said if not is_same(field.value, said[0].value)]
    if not others:
        return said[0]
    looks = f"{words(said[0].value)} in {said[0].photo}, {words(others[0].value)} in {others[0].photo}"
    return msgspec.structs.replace(said[0], value=None, doubt=looks)


def is_same(one: Mark | None, other: Mark | None) -> bool:
    """Whether two values are equal. True is not 1."""
    return isinstance(one, bool) == isinstance(other, bool) and one == other


def words(value: Mark | None) -> str:
    """A value in words.

    >>> words(True), words(False), words("rest"), words(12.5), words(None)
    ('done', 'not done', 'rest', '12.5', 'nothing')
    """
    if isinstance(value, bool):
        return "done" if value else "not done"
    return "nothing" if value is None else value if isinstance(value, str) else f"{value:g}"


def _looks(boxes: Iterable[BoxRead]) -> str:
    """What boxes look like: "3 filled, 4 perhaps filled"."""
    return ", ".join(f"{_name(box.box)}{'' if box.is_sure else 'perhaps '}{box.mark}" for box in boxes)


def _name(box: PaperBox) -> str:
    """The number of a box before its mark; a single box needs no name."""
    return "" if box.value is True else f"{box.value:g} "
