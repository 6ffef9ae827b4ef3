"""What the fields of a sheet are called on a page: habits and categories by their names, not their keys."""

from __future__ import annotations

from collections.abc import Iterable

from journal.entry import DAY_FIELDS
from journal.language.catalogue import _
from journal.paper import half_hours, sheet_fields
from journal.paper.sheet_fields import SCALES, FieldRead
from journal.settings import Settings
from journal.wording import numbers


class FieldNames:
    """The names of a journal's fields, and their values in words.

    >>> import datetime as dt
    >>> mood = FieldRead(field="mood", date=dt.date(2025, 4, 2), photo="a.jpg", boxes=(), value=4)
    >>> names = FieldNames(Settings(title="Small", places=()))
    >>> names.of(mood), names.said(mood)
    ('Mood', '4 good')
    """

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._names = {field.path: _(field.label) for field in DAY_FIELDS}
        self._names |= {("habits", habit.key): habit.name for habit in settings.habits}
        self._names |= {("challenges", challenge.key): challenge.name for challenge in settings.challenges}
        self._names |= {("hours", "actual", category.key): category.name for category in settings.categories}

    def of(self, field: FieldRead) -> str:
        """The name of a field."""
        if field.is_task:
            return field.name
        name = self._names.get(field.path, field.path[-1])
        return f"{name}, {half_hours.start(field.field)}" if field.is_hour else name

    def said(self, field: FieldRead) -> str:
        """The value of a field in words, "not clear" if it is in doubt."""
        if field.doubt:
            return _("not clear")
        if field.field in SCALES and isinstance(field.value, int | float):
            scale = self._settings.mood if field.field == "mood" else self._settings.energy
            return " ".join(filter(None, (numbers.number(field.value), scale.word(field.value))))
        return sheet_fields.words(field.value)

    def day(self, fields: Iterable[FieldRead]) -> list[str]:
        """The values of a day, each as a text: its marks, its hours by category, and its tasks."""
        texts, starts = list[str](), dict[str, list[str]]()
        for field in fields:
            if field.is_hour and field.value is True:
                starts.setdefault(self._names.get(field.path, field.path[-1]), []).append(half_hours.start(field.field))
            elif field.doubt or field.value not in {None, "open"}:
                texts.append(f"{self.of(field)}: {self.said(field)}")
        return texts + [f"{name}: {', '.join(half_hours.spans(own))}" for name, own in starts.items()]
